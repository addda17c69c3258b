"""Logging time: exactly once, never more in a day than the day has."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db import transaction

from jobs import audit
from jobs.actors import Actor
from jobs.models import Hours
from jobs.models.hours import HoursKind
from jobs.refusals import (
    AlreadyReplaced,
    Conflict,
    Mistake,
    NotAllowed,
    Refusal,
    database_refusals,
    invalid,
    not_found,
)
from jobs.requests import HoursRequest
from jobs.services.entry_state import Worker, people_in_reach
from jobs.services.hours_state import FirstHours, HoursAnswer, first_hours, hours_answers, jobs_in_reach, minutes_of_day
from jobs.services.receipts import receipts_known, receipts_write, reuse_refusal
from jobs.tenancy import organisation_scope

MAY_LOG = frozenset({"owner", "office", "foreman"})
Outcome = HoursAnswer | Refusal


def hours_log(*, actor: Actor, request: HoursRequest, now: datetime) -> HoursAnswer:
    """Record the time of one person on one job and day, exactly once, or put it in the place of `request.replaces`.

    Raises Invalid, NotFound, Conflict (more than the day has), AlreadyReplaced, UuidReused, NotAllowed.
    """
    outcome = hours_batch_log(actor=actor, requests=[request], now=now)[0]
    if isinstance(outcome, Refusal):
        raise outcome
    return outcome


def hours_batch_log(*, actor: Actor, requests: Sequence[HoursRequest], now: datetime) -> list[Outcome]:
    """Log many, each on its own: the outcome of every request in its order."""
    if actor.role not in MAY_LOG or actor.membership is None:
        raise NotAllowed(Mistake("", f"the role {actor.role} does not log hours. Ask your foreman or the office."))
    with database_refusals(), transaction.atomic(savepoint=False), organisation_scope(actor.organisation):
        people = people_in_reach(ids={one.person for one in requests}, actor=actor, lock=True)
        zones = jobs_in_reach(ids={one.job for one in requests}, actor=actor)
        return [_one(actor, request, now, people, zones) for request in requests]


def day_minutes(day: date, zone: str) -> int:
    """Minutes the clock of `zone` shows on `day`: 1380, 1440 or 1500."""
    start = datetime.combine(day, time(), ZoneInfo(zone))
    end = datetime.combine(day + timedelta(days=1), time(), ZoneInfo(zone))
    return int((end.astimezone(UTC) - start.astimezone(UTC)).total_seconds()) // 60


def _one(
    actor: Actor, request: HoursRequest, now: datetime, people: dict[int, Worker], zones: dict[int, str]
) -> Outcome:
    try:
        repeated = _repeated(actor, request)
        if repeated is not None:
            return repeated
        first = _check(request, now, people, zones)
        if request.uuid not in receipts_write(actor=actor, kind="hours", requests=[request], now=now):
            # Taken a moment ago by a transaction that has ended by now.
            taken = _repeated(actor, request)
            return taken if taken is not None else Conflict(Mistake("uuid", "Send the hours again."))
    except Refusal as refusal:
        return refusal
    return _write(actor, request, now, first)


def _repeated(actor: Actor, request: HoursRequest) -> Outcome | None:
    known = receipts_known([request.uuid]).get(request.uuid)
    if known is None:
        return None
    return (
        reuse_refusal(known, kind="hours", request=request, actor=actor) or hours_answers([request.uuid])[request.uuid]
    )


def _check(request: HoursRequest, now: datetime, people: dict[int, Worker], zones: dict[int, str]) -> FirstHours | None:
    if request.job not in zones:
        raise not_found("job", "job", request.job)
    worker = people.get(request.person)
    if worker is None:
        raise not_found("person", "person", request.person)
    if request.kind not in HoursKind.values:
        raise invalid("kind", f"{request.kind!r} is no kind of hours. Use one of: {', '.join(HoursKind.values)}.")
    today = now.astimezone(ZoneInfo(zones[request.job])).date()
    if request.worked_on > today:
        raise invalid("worked_on", f"{request.worked_on} is after today at the job, {today}. Log hours once worked.")
    if request.worked_on < worker.started_on or (worker.left_on and request.worked_on > worker.left_on):
        raise invalid(
            "person", f"person {request.person} was not employed on {request.worked_on}. Mend his dates first."
        )
    first = _first(request)
    if request.minutes < 0 or (request.minutes == 0 and first is None):
        raise invalid(
            "hours", f"{request.minutes} minutes is no time worked. Give more than 0; only a correction may be 0."
        )
    stood = minutes_of_day(request.person, request.worked_on)
    if first is not None and first.worked_on == request.worked_on:
        stood -= first.minutes
    longest = day_minutes(request.worked_on, zones[request.job])
    if stood + request.minutes > longest and request.minutes > (first.minutes if first else 0):
        raise Conflict(
            Mistake(
                "hours",
                f"person {request.person} has {_clock(stood)} on {request.worked_on}; {_clock(request.minutes)} more "
                f"is past the {_clock(longest)} of that day. Correct the earlier hours first.",
            )
        )
    return first


def _first(request: HoursRequest) -> FirstHours | None:
    if request.replaces is None:
        return None
    first = first_hours(request.replaces)
    if first is None or first.person != request.person:
        raise not_found("replaces", "hours of this person", request.replaces)
    if first.replaced:
        raise AlreadyReplaced(
            Mistake("replaces", f"hours {request.replaces} were corrected already. Correct the newest.")
        )
    return first


def _clock(minutes: int) -> str:
    return f"{minutes // 60}:{minutes % 60:02d} h"


def _write(actor: Actor, request: HoursRequest, now: datetime, first: FirstHours | None) -> HoursAnswer:
    hours = Hours.objects.create(
        uuid=request.uuid,
        job_id=request.job,
        person_id=request.person,
        worked_on=request.worked_on,
        kind=request.kind,
        minutes=request.minutes,
        logged_by_id=actor.membership,
        received_at=now,
        replaces_id=first.id if first else None,
    )
    change = audit.Change(
        action="hours_correct" if first else "hours_log",
        subject_kind="hours",
        subject_key=str(request.uuid),
        before={"hours": str(request.replaces), "minutes": first.minutes} if first else None,
        after=request.canonical(),
    )
    audit.record(actor=actor, at=now, changes=[change])
    return _answer(hours, request.replaces)


def _answer(hours: Hours, replaces: UUID | None) -> HoursAnswer:
    return HoursAnswer(
        id=hours.pk,
        uuid=hours.uuid,
        job=hours.job_id,
        person=hours.person_id,
        worked_on=hours.worked_on,
        kind=hours.kind,
        minutes=hours.minutes,
        received_at=hours.received_at,
        replaces=replaces,
    )
