"""What a decision about hours needs to know."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db.models import Exists, OuterRef, Sum

from jobs.actors import Actor
from jobs.models import Hours, Job, JobAccess


@dataclass(frozen=True, slots=True)
class FirstHours:
    """Hours that others ask to replace."""

    id: int
    person: int
    worked_on: date
    minutes: int
    replaced: bool


@dataclass(frozen=True, slots=True)
class HoursAnswer:
    """What is told of hours: facts that never change."""

    id: int
    uuid: UUID
    job: int
    person: int
    worked_on: date
    kind: str
    minutes: int
    received_at: datetime
    replaces: UUID | None


def _replaced() -> Exists:
    return Exists(Hours.objects.filter(replaces=OuterRef("pk")))


def jobs_in_reach(*, ids: Iterable[int], actor: Actor) -> dict[int, str]:
    """Time zone of each job among `ids` that the actor sees."""
    jobs = Job.objects.filter(pk__in=list(ids))
    if not actor.sees_every_job:
        jobs = jobs.filter(Exists(JobAccess.objects.filter(job=OuterRef("pk"), membership=actor.membership)))
    return dict(jobs.values_list("pk", "time_zone"))


def first_hours(uuid: UUID) -> FirstHours | None:
    row = (
        Hours.objects.filter(uuid=uuid)
        .annotate(replaced=_replaced())
        .values_list("pk", "person_id", "worked_on", "minutes", "replaced")
        .first()
    )
    return FirstHours(*row) if row else None


def minutes_of_day(person: int, day: date) -> int:
    """Minutes in force of a person on a day, over all jobs and kinds."""
    stood = Hours.objects.filter(~_replaced(), person=person, worked_on=day).aggregate(minutes=Sum("minutes"))[
        "minutes"
    ]
    return stood or 0


def hours_answers(uuids: Iterable[UUID]) -> dict[UUID, HoursAnswer]:
    columns = ("pk", "uuid", "job_id", "person_id", "worked_on", "kind", "minutes", "received_at", "replaces__uuid")
    return {row[1]: HoursAnswer(*row) for row in Hours.objects.filter(uuid__in=list(uuids)).values_list(*columns)}
