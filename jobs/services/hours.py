"""Logging time: exactly once, never more in a day than the day has, never twice at the same moment.

As with entries, one path serves a single piece of time and a batch: it locks the people in id order, reads what it
needs behind the locks, decides each in turn and writes all of them together.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from uuid import UUID

from django.db import transaction

from jobs import audit
from jobs.actors import Actor
from jobs.bulk import rows_insert
from jobs.refusals import Mistake, NotAllowed, Refusal, database_refusals
from jobs.requests import HoursRequest
from jobs.services.entry_state import people_in_reach
from jobs.services.hours_decisions import DecidedHours, day_minutes, decide
from jobs.services.hours_state import (
    HoursAnswer,
    HoursState,
    first_hours,
    hours_answers,
    jobs_in_reach,
    minutes_of_days,
    spans_between,
)
from jobs.services.receipts import receipts_known, receipts_write, reuse_refusal, waves
from jobs.tenancy import organisation_scope

__all__ = ["MAY_LOG", "Outcome", "day_minutes", "hours_batch_log", "hours_log"]

MAY_LOG = frozenset({"owner", "office", "foreman"})
Outcome = HoursAnswer | Refusal


def hours_log(*, actor: Actor, request: HoursRequest, now: datetime) -> HoursAnswer:
    """Record the time of one person on one job and day, exactly once, or put it in the place of `request.replaces`.

    Raises Invalid, NotFound, Conflict (more than the day has, or across other hours), AlreadyReplaced, UuidReused,
    NotAllowed.
    """
    outcome = hours_batch_log(actor=actor, requests=[request], now=now)[0]
    if isinstance(outcome, Refusal):
        raise outcome
    return outcome


def hours_batch_log(*, actor: Actor, requests: Sequence[HoursRequest], now: datetime) -> list[Outcome]:
    """Log many, each on its own: the outcome of every request in its order. A correction may come before its first."""
    if actor.role not in MAY_LOG or actor.membership is None:
        raise NotAllowed(Mistake("", f"the role {actor.role} does not log hours. Ask your foreman or the office."))
    outcomes: dict[int, Outcome] = {}
    with database_refusals(), transaction.atomic(savepoint=False), organisation_scope(actor.organisation):
        people = people_in_reach(ids={one.person for one in requests}, actor=actor, lock=True)
        state = HoursState(actor, now, people, jobs_in_reach(ids={one.job for one in requests}, actor=actor))
        for wave in waves(requests):
            outcomes |= _wave(state, wave)
    return [outcomes[place] for place in range(len(requests))]


def _wave(state: HoursState, wave: Mapping[int, HoursRequest]) -> dict[int, Outcome]:
    outcomes = _repeated(state.actor, wave)
    fresh = {place: one for place, one in wave.items() if place not in outcomes}
    _read(state, list(fresh.values()))
    decided: dict[int, DecidedHours] = {}
    for place, request in fresh.items():
        try:
            decided[place] = decide(request, state)
        except Refusal as refusal:
            outcomes[place] = refusal
    answers = _write(state, list(decided.values()))
    outcomes |= {place: answers[one.request.uuid] for place, one in decided.items() if one.request.uuid in answers}
    # Taken by another transaction between our look and our writing: by now it has ended, and its receipt can be seen.
    missing = {place: one.request for place, one in decided.items() if place not in outcomes}
    return outcomes | _repeated(state.actor, missing)


def _read(state: HoursState, requests: Sequence[HoursRequest]) -> None:
    """What stands of the people and days asked about."""
    state.firsts = first_hours({one.replaces for one in requests if one.replaces})
    days = {(one.person, one.worked_on) for one in requests}
    days |= {(first.person, first.worked_on) for first in state.firsts.values()}
    state.minutes = minutes_of_days(days)
    spans = [(one.started_at, one.finished_at) for one in requests if one.started_at and one.finished_at]
    state.spans = (
        spans_between(
            sorted({one.person for one in requests}),
            min(start for start, _ in spans),
            max(finish for _, finish in spans),
        )
        if spans
        else {}
    )


def _repeated(actor: Actor, wave: Mapping[int, HoursRequest]) -> dict[int, Outcome]:
    """Outcomes of requests whose UUID was received before."""
    known = receipts_known(one.uuid for one in wave.values()) if wave else {}
    answers = hours_answers(known) if known else {}
    return {
        place: reuse_refusal(known[one.uuid], kind="hours", request=one, actor=actor) or answers[one.uuid]
        for place, one in wave.items()
        if one.uuid in known
    }


_TYPES = {
    "uuid": "uuid", "job_id": "bigint", "person_id": "bigint", "worked_on": "date", "kind": "text",
    "minutes": "smallint", "started_at": "timestamptz", "finished_at": "timestamptz", "logged_by_id": "bigint",
    "received_at": "timestamptz", "replaces_id": "bigint",
}  # fmt: skip


def _write(state: HoursState, decided: Sequence[DecidedHours]) -> dict[UUID, HoursAnswer]:
    if not decided:
        return {}
    actor, now = state.actor, state.now
    ours = receipts_write(actor=actor, kind="hours", requests=[one.request for one in decided], now=now)
    kept = [one for one in decided if one.request.uuid in ours]
    ids = {
        uuid: pk
        for pk, uuid in rows_insert("jobs_hours", _TYPES, [_row(one, state) for one in kept], returning="id, uuid")
    }
    audit.record(actor=actor, at=now, changes=[_change(one) for one in kept])
    return {one.request.uuid: _answer(ids[one.request.uuid], one.request, now) for one in kept}


def _row(one: DecidedHours, state: HoursState) -> tuple[object, ...]:
    asked = one.request
    return (
        asked.uuid, asked.job, asked.person, asked.worked_on, asked.kind, asked.minutes, asked.started_at,
        asked.finished_at, state.actor.membership, state.now, one.first.id if one.first else None,
    )  # fmt: skip


def _change(one: DecidedHours) -> audit.Change:
    first = one.first
    return audit.Change(
        action="hours_correct" if first else "hours_log",
        subject_kind="hours",
        subject_key=str(one.request.uuid),
        before={"hours": str(first.uuid), "minutes": first.minutes} if first else None,
        after=one.request.canonical(),
    )


def _answer(hours: int, asked: HoursRequest, now: datetime) -> HoursAnswer:
    return HoursAnswer(
        id=hours,
        uuid=asked.uuid,
        job=asked.job,
        person=asked.person,
        worked_on=asked.worked_on,
        kind=asked.kind,
        minutes=asked.minutes,
        received_at=now,
        replaces=asked.replaces,
        started_at=asked.started_at,
        finished_at=asked.finished_at,
    )
