"""Logging finished work: exactly once, never more than is measured, shared out to the last ten-thousandth.

One path serves a single entry and a batch. It locks the work units in id order, reads what it needs behind the
locks, decides each entry in turn, and writes all of them in one statement. The database counts again by
itself (see migration 0002), so that nothing that goes round this module can over-claim either.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from uuid import UUID

from django.db import transaction

from jobs.actors import Actor
from jobs.refusals import Mistake, NotAllowed, Refusal, database_refusals
from jobs.requests import EntryRequest
from jobs.selectors.spoken_parts import sheets_logged, spoken_of_units
from jobs.services.entry_decisions import Decided, decide
from jobs.services.entry_notices import entries_notice
from jobs.services.entry_state import (
    EntryAnswer,
    State,
    crews_in_reach,
    entry_answers,
    first_entries,
    people_in_reach,
    unit_words,
    units_lock,
    units_of_entries,
)
from jobs.services.entry_write import entries_write
from jobs.services.receipts import receipts_known, reuse_refusal, waves
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
        originals = units_of_entries({one.replaces for one in requests if one.replaces})
        named = {one.work_unit for one in requests if one.work_unit is not None}
        state = State(actor, now, units_lock(ids=named | set(originals.values()), actor=actor), unit_words)
        state.crews = crews_in_reach(
            ids={one.shares.crew for one in requests if one.shares.crew is not None}, actor=actor
        )
        state.people = people_in_reach(ids={who.person for one in requests for who in one.shares.people}, actor=actor)
        if any(one.part for one in requests):
            state.spoken = spoken_of_units(state.units)
            state.sheets = sheets_logged(state.units)
        for wave in waves(requests):
            outcomes |= _wave(state, wave)
    return [outcomes[place] for place in range(len(requests))]


def _wave(state: State, wave: Mapping[int, EntryRequest]) -> dict[int, Outcome]:
    outcomes = _repeated(state, wave)
    fresh = {place: request for place, request in wave.items() if place not in outcomes}
    state.firsts = first_entries({request.replaces for request in fresh.values() if request.replaces})
    decided: dict[int, Decided] = {}
    for place, request in fresh.items():
        try:
            decided[place] = decide(request, state)
        except Refusal as refusal:
            outcomes[place] = refusal
    fit = list(decided.values())
    answers = entries_write(actor=state.actor, decided=fit, notices=entries_notice(fit, state), now=state.now)
    outcomes |= {place: answers[one.request.uuid] for place, one in decided.items() if one.request.uuid in answers}
    # Taken by another transaction between our look and our writing: by now it has ended, and its receipt can be seen.
    outcomes |= _repeated(state, {place: one.request for place, one in decided.items() if place not in outcomes})
    return outcomes


def _repeated(state: State, wave: Mapping[int, EntryRequest]) -> dict[int, Outcome]:
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
