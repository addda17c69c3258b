"""What was logged for one job and day: entries and hours."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.db.models import Exists, OuterRef

from jobs.actors import Actor
from jobs.models import Entry, Hours
from jobs.models.hours import HoursKind
from jobs.selectors.entry_sheet import EntryRow, entry_rows
from jobs.selectors.job_sheet import JobLine, job_line


@dataclass(frozen=True, slots=True)
class HoursRow:
    """Hours in force of one person, one kind."""

    uuid: UUID
    person: str
    kind: str
    minutes: int


@dataclass(frozen=True, slots=True)
class DayBook:
    """A job's day. `days` are the last days with something logged, newest first."""

    job: JobLine
    day: date
    entries: tuple[EntryRow, ...]
    hours: tuple[HoursRow, ...]
    days: tuple[date, ...]

    @property
    def minutes(self) -> int:
        return sum(row.minutes for row in self.hours)


def day_book(actor: Actor, job: int, day: date) -> DayBook:
    """Raises NotFound."""
    line = job_line(actor, job)
    replaced = Exists(Hours.objects.filter(replaces=OuterRef("pk")))
    hours = (
        Hours.objects.filter(~replaced, job=job, worked_on=day, minutes__gt=0)
        .order_by("person__name", "kind", "pk")
        .values_list("uuid", "person__name", "kind", "minutes")
    )
    worked = set(
        Entry.objects.filter(job=job).order_by("-worked_on").values_list("worked_on", flat=True).distinct()[:14]
    )
    worked |= set(
        Hours.objects.filter(job=job).order_by("-worked_on").values_list("worked_on", flat=True).distinct()[:14]
    )
    return DayBook(
        job=line,
        day=day,
        entries=tuple(entry_rows(actor, job=job, worked_on=day)),
        hours=tuple(HoursRow(uuid, person, HoursKind(kind).label, minutes) for uuid, person, kind, minutes in hours),
        days=tuple(sorted(worked, reverse=True)[:14]),
    )
