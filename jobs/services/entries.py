"""Logging finished work: exactly once, never more than is measured, shared out to the last ten-thousandth.

One path serves a single entry and a batch. It locks the work units in id order, reads what it needs behind the
locks, decides each entry in turn, and writes all of them in one statement a table. The database counts again by
itself (see migration 0002), so that nothing that goes round this module can over-claim either.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from django.db import transaction

from jobs import audit
from jobs.actors import Actor
from jobs.bulk import rows_insert
from jobs.refusals import Mistake, NotAllowed, Refusal, database_refusals
from jobs.requests import EntryRequest, plain
from jobs.services.entry_decisions import Decided, decide
from jobs.services.entry_state import (
    EntryAnswer,
    State,
    crews_in_reach,
    entry_answers,
    first_entries,
    people_in_reach,
    units_lock,
    units_of_entries,
)
from jobs.services.receipts import receipts_known, receipts_write, reuse_refusal
from jobs.tenancy import organisation_scope

MAY_LOG = frozenset({"owner", "office", "foreman"})
Outcome = EntryAnswer | Refusal


def entry_log(*, actor: Actor, request: EntryRequest, now: datetime) -> EntryAnswer:
    """Record work finished on a work unit, exactly once.

    A UUID seen before gets the first answer again. Raises OverClaim, UuidReused, AlreadyReplaced, NotFound, Invalid,
    NotAllowed; then nothing is stored.
    """
    outcome = entry_batch_log(actor=actor, requests=[request], now=now)[0]
    if isinstance(outcome, Refusal):
        raise outcome
    return outcome


def entry_correct(*, actor: Actor, request: EntryRequest, now: datetime) -> EntryAnswer:
    """Put a new entry in the place of `request.replaces`. It passes the same guard; one that lowers always passes."""
    if request.replaces is None:
        raise Refusal(Mistake("replaces", "a correction names the entry it replaces. Log a new entry otherwise."))
    return entry_log(actor=actor, request=request, now=now)


def entry_batch_log(*, actor: Actor, requests: Sequence[EntryRequest], now: datetime) -> list[Outcome]:
    """Log many entries, each on its own: the outcome of every request in its order, an answer or a refusal.

    A correction may name an entry of the same batch, in any order, and a UUID may stand twice: such requests wait
    for the next wave.
    """
    if actor.role not in MAY_LOG or actor.membership is None:
        raise NotAllowed(Mistake("", f"the role {actor.role} does not log entries. Ask your foreman or the office."))
    outcomes: dict[int, Outcome] = {}
    # No savepoint of its own: whatever is refused here was not written, and is told by value, not by exception.
    with database_refusals(), transaction.atomic(savepoint=False), organisation_scope(actor.organisation):
        waiting = dict(enumerate(requests))
        originals = units_of_entries({one.replaces for one in requests if one.replaces})
        named = {one.work_unit for one in requests if one.work_unit is not None}
        state = State(actor, now, units_lock(ids=named | set(originals.values()), actor=actor))
        state.crews = crews_in_reach(
            ids={one.shares.crew for one in requests if one.shares.crew is not None}, actor=actor
        )
        state.people = people_in_reach(ids={who.person for one in requests for who in one.shares.people}, actor=actor)
        while waiting:
            wave = _next_wave(waiting)
            outcomes |= _wave(state, wave)
            waiting = {place: request for place, request in waiting.items() if place not in wave}
    return [outcomes[place] for place in range(len(requests))]


def _next_wave(waiting: dict[int, EntryRequest]) -> dict[int, EntryRequest]:
    """The first request of each UUID whose original is not itself still waiting; all of them if they wait in a ring."""
    uuids = {request.uuid for request in waiting.values()}
    wave: dict[int, EntryRequest] = {}
    taken: set[UUID] = set()
    for place, request in waiting.items():
        if request.uuid not in taken and request.replaces not in uuids:
            wave[place] = request
            taken.add(request.uuid)
    return wave or dict([next(iter(waiting.items()))])


def _wave(state: State, wave: dict[int, EntryRequest]) -> dict[int, Outcome]:
    outcomes = _repeated(state, wave)
    fresh = {place: request for place, request in wave.items() if place not in outcomes}
    state.firsts = first_entries({request.replaces for request in fresh.values() if request.replaces})
    decided: dict[int, Decided] = {}
    for place, request in fresh.items():
        try:
            decided[place] = decide(request, state)
        except Refusal as refusal:
            outcomes[place] = refusal
    ours = receipts_write(
        actor=state.actor, kind="entry", requests=[one.request for one in decided.values()], now=state.now
    ) if decided else set()  # fmt: skip
    written = {place: one for place, one in decided.items() if one.request.uuid in ours}
    answers = _write(state, list(written.values()))
    outcomes |= {place: answers[one.request.uuid] for place, one in written.items()}
    # Taken by another transaction between our look and our writing: by now it has ended, and its receipt can be seen.
    outcomes |= _repeated(state, {place: one.request for place, one in decided.items() if place not in written})
    return outcomes


def _repeated(state: State, wave: dict[int, EntryRequest]) -> dict[int, Outcome]:
    """Outcomes of requests whose UUID was received before."""
    if not wave:
        return {}
    known = receipts_known(request.uuid for request in wave.values())
    if not known:
        return {}
    outcomes: dict[int, Outcome] = {}
    same: dict[int, UUID] = {}
    for place, request in wave.items():
        if request.uuid in known:
            refusal = reuse_refusal(known[request.uuid], kind="entry", request=request, actor=state.actor)
            if refusal is None:
                same[place] = request.uuid
            else:
                outcomes[place] = refusal
    answers = entry_answers(same.values())
    return outcomes | {place: answers[uuid] for place, uuid in same.items()}


def _write(state: State, decided: Sequence[Decided]) -> dict[UUID, EntryAnswer]:
    """Write entries, shares, notes and audit records, one statement each."""
    if not decided:
        return {}
    actor, now = state.actor, state.now
    entry_types = {
        "uuid": "uuid",
        "job_id": "bigint",
        "work_unit_id": "bigint",
        "worked_on": "date",
        "quantity": "numeric",
        "logged_by_id": "bigint",
        "received_at": "timestamptz",
        "replaces_id": "bigint",
    }
    rows = [
        (
            one.request.uuid,
            one.unit.job,
            one.unit.id,
            one.request.worked_on,
            one.quantity,
            actor.membership,
            now,
            one.replaces.id if one.replaces else None,
        )
        for one in decided
    ]
    ids: dict[UUID, int] = dict(rows_insert("jobs_entry", entry_types, rows, returning="uuid, id"))
    rows_insert(
        "jobs_entryshare",
        {"entry_id": "bigint", "person_id": "bigint", "quantity": "numeric"},
        [(ids[one.request.uuid], person, part) for one in decided for person, part in one.shares.items()],
    )
    notes = [(ids[one.request.uuid], one.request.note) for one in decided if one.request.note]
    rows_insert("jobs_entrynote", {"entry_id": "bigint", "text": "text"}, notes)
    audit.record(actor=actor, at=now, changes=[_change(one) for one in decided])
    return {one.request.uuid: _answer(ids[one.request.uuid], one, now) for one in decided}


def _change(one: Decided) -> audit.Change:
    return audit.Change(
        action="entry_correct" if one.replaces else "entry_log",
        subject_kind="entry",
        subject_key=str(one.request.uuid),
        before={"entry": str(one.replaces.uuid), "quantity": plain(one.replaces.quantity)} if one.replaces else None,
        after={
            "work_unit": one.unit.id,
            "worked_on": one.request.worked_on.isoformat(),
            "quantity": plain(one.quantity),
            "shares": [[person, plain(part)] for person, part in one.shares.items()],
        },
    )


def _answer(entry_id: int, one: Decided, now: datetime) -> EntryAnswer:
    return EntryAnswer(
        id=entry_id,
        uuid=one.request.uuid,
        work_unit=one.unit.id,
        worked_on=one.request.worked_on,
        quantity=one.quantity,
        shares=tuple(one.shares.items()),
        received_at=now,
        replaces=one.replaces.uuid if one.replaces else None,
    )
