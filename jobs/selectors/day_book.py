"""What was logged for one job and day: entries and hours."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.db.models import Exists, OuterRef, Sum

from jobs.actors import Actor
from jobs.models import Entry, Hours
from jobs.models.hours import HoursKind
from jobs.refusals import not_found
from jobs.selectors.entry_sheet import EntryRow, entry_rows
from jobs.selectors.job_sheet import JobLine, job_line
from jobs.selectors.reach import hours_of


@dataclass(frozen=True, slots=True)
class HoursRow:
    """Hours in force of one person, one kind."""

    uuid: UUID
    person: str
    kind: str
    minutes: int


@dataclass(frozen=True, slots=True)
class HoursSheet:
    """Hours of one person and kind on a job and day. `replaced`: others stand in their place already."""

    uuid: UUID
    job: JobLine
    person: int
    name: str
    worked_on: date
    kind: str
    minutes: int
    replaced: bool


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


def hours_sheet(actor: Actor, uuid: UUID) -> HoursSheet:
    """Hours in the actor's reach. Raises NotFound."""
    replaced = Exists(Hours.objects.filter(replaces=OuterRef("pk")))
    found = hours_of(actor).filter(uuid=uuid).annotate(replaced=replaced).select_related("person").first()
    if found is None:
        raise not_found("hours", "hours", uuid)
    return HoursSheet(
        uuid=found.uuid,
        job=job_line(actor, found.job_id),
        person=found.person_id,
        name=found.person.name,
        worked_on=found.worked_on,
        kind=found.kind,
        minutes=found.minutes,
        replaced=found.replaced,
    )


def minutes_by_person(people: Iterable[int], day: date, besides: Iterable[UUID] = ()) -> dict[int, int]:
    """Minutes in force of each on a day, over all jobs and kinds; those under the UUIDs `besides` left out."""
    replaced = Exists(Hours.objects.filter(replaces=OuterRef("pk")))
    found = Hours.objects.filter(~replaced, person__in=list(people), worked_on=day, minutes__gt=0)
    sums = found.exclude(uuid__in=list(besides)).values("person").annotate(sum=Sum("minutes")).order_by()
    return dict(sums.values_list("person", "sum"))


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
