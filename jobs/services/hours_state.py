"""What a decision about hours needs to know, read in a few statements whatever their number."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db import connection
from django.db.models import Exists, OuterRef

from jobs.actors import Actor
from jobs.models import Hours, Job, JobAccess
from jobs.services.entry_state import Worker
from jobs.tenancy import organisation_in_scope


@dataclass(frozen=True, slots=True)
class FirstHours:
    """Hours that others ask to replace."""

    id: int
    uuid: UUID
    person: int
    worked_on: date
    minutes: int
    replaced: bool


@dataclass(frozen=True, slots=True)
class Span:
    """From when to when a person worked, by the UUID of the hours."""

    hours: UUID
    started_at: datetime
    finished_at: datetime


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
    started_at: datetime | None = None
    finished_at: datetime | None = None


@dataclass(slots=True)
class HoursState:
    """All of it. `firsts`, `minutes` and `spans` move on as hours of one batch are decided one after the other."""

    actor: Actor
    now: datetime
    people: dict[int, Worker]
    zones: dict[int, str]
    firsts: dict[UUID, FirstHours] = field(default_factory=dict)
    minutes: dict[tuple[int, date], int] = field(default_factory=dict)
    spans: dict[int, list[Span]] = field(default_factory=dict)


def _rows(sql: str, *values: Any) -> list[Any]:
    with connection.cursor() as cursor:
        cursor.execute(sql, [organisation_in_scope(), *values])
        return cursor.fetchall()


def jobs_in_reach(*, ids: Iterable[int], actor: Actor) -> dict[int, str]:
    """Time zone of each job among `ids` that the actor sees."""
    jobs = Job.objects.filter(pk__in=list(ids))
    if not actor.sees_every_job:
        jobs = jobs.filter(Exists(JobAccess.objects.filter(job=OuterRef("pk"), membership=actor.membership)))
    return dict(jobs.values_list("pk", "time_zone"))


def first_hours(uuids: Iterable[UUID]) -> dict[UUID, FirstHours]:
    """The hours named by `uuids` and whether each was replaced already. Read behind the lock of their people."""
    wanted = list(uuids)
    if not wanted:
        return {}
    rows = _rows(
        """
        SELECT h.id, h.uuid, h.person_id, h.worked_on, h.minutes,
               EXISTS (SELECT 1 FROM jobs_hours n WHERE n.organisation_id = h.organisation_id AND n.replaces_id = h.id)
          FROM jobs_hours h WHERE h.organisation_id = %s AND h.uuid = ANY(%s)
        """,
        wanted,
    )
    return {row[1]: FirstHours(*row) for row in rows}


def minutes_of_days(days: Iterable[tuple[int, date]]) -> dict[tuple[int, date], int]:
    """Minutes in force of people on days, over all jobs and kinds."""
    wanted = sorted(set(days))
    if not wanted:
        return {}
    rows = _rows(
        """
        SELECT h.person_id, h.worked_on, sum(h.minutes)
          FROM jobs_hours h
         WHERE h.organisation_id = %s
           AND (h.person_id, h.worked_on) IN (SELECT * FROM unnest(%s::bigint[], %s::date[]))
           AND NOT EXISTS (SELECT 1 FROM jobs_hours n
                            WHERE n.organisation_id = h.organisation_id AND n.replaces_id = h.id)
         GROUP BY h.person_id, h.worked_on
        """,
        [person for person, _ in wanted],
        [day for _, day in wanted],
    )
    return {(person, day): minutes for person, day, minutes in rows}


def spans_between(people: Sequence[int], earliest: datetime, latest: datetime) -> dict[int, list[Span]]:
    """Spans in force of people that touch the time between, oldest first."""
    rows = _rows(
        """
        SELECT s.person_id, h.uuid, s.started_at, s.finished_at
          FROM jobs_hoursspan s
          JOIN jobs_hours h ON h.organisation_id = s.organisation_id AND h.id = s.hours_id
         WHERE s.organisation_id = %s AND s.person_id = ANY(%s) AND s.started_at < %s AND s.finished_at > %s
         ORDER BY s.started_at
        """,
        list(people),
        latest,
        earliest,
    )
    spans: dict[int, list[Span]] = {}
    for person, *span in rows:
        spans.setdefault(person, []).append(Span(*span))
    return spans


def hours_answers(uuids: Iterable[UUID]) -> dict[UUID, HoursAnswer]:
    columns = (
        "pk", "uuid", "job_id", "person_id", "worked_on", "kind", "minutes", "received_at", "replaces__uuid",
        "started_at", "finished_at",
    )  # fmt: skip
    return {row[1]: HoursAnswer(*row) for row in Hours.objects.filter(uuid__in=list(uuids)).values_list(*columns)}
