"""What a phone kept while it had no line, received in one go: entries, hours, inspections and corrections of them.

Each operation stands on its own: one that is refused leaves the others alone, and tells its UUID and why. The order of
the list does not matter, for the phone's clock may be wrong and its list scrambled: a correction may stand before what
it corrects. Sent again, whole or in part, the list gets the same answers and changes nothing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime

from django.db import transaction

from jobs.actors import Actor
from jobs.refusals import Mistake, NotAllowed, Refusal, database_refusals
from jobs.requests import EntryRequest, HoursRequest, InspectionRequest
from jobs.services.entries import entry_batch_log
from jobs.services.entry_state import EntryAnswer, people_in_reach, units_lock, units_of_entries
from jobs.services.hours import hours_batch_log
from jobs.services.hours_state import HoursAnswer
from jobs.services.inspections import InspectionAnswer, inspection_batch_record
from jobs.tenancy import organisation_scope

MAY_SYNC = frozenset({"owner", "office", "foreman"})
Operation = EntryRequest | HoursRequest | InspectionRequest
Answer = EntryAnswer | HoursAnswer | InspectionAnswer
Outcome = Answer | Refusal


def operations_receive(*, actor: Actor, operations: Sequence[Operation], now: datetime) -> list[Outcome]:
    """Receive operations of every kind, each on its own: their outcomes in the order of the list.

    Of one UUID under two kinds the first kind received stands: entries, then hours, then inspections. All is written
    in one transaction, so an accident half-way leaves nothing and the list can be sent again. Raises NotAllowed.
    """
    if actor.role not in MAY_SYNC or actor.membership is None:
        raise NotAllowed(
            Mistake("", f"the role {actor.role} does not send operations. Ask your foreman or the office.")
        )
    entries = {place: one for place, one in enumerate(operations) if isinstance(one, EntryRequest)}
    hours = {place: one for place, one in enumerate(operations) if isinstance(one, HoursRequest)}
    inspections = {place: one for place, one in enumerate(operations) if isinstance(one, InspectionRequest)}
    outcomes: dict[int, Outcome] = {}
    with database_refusals(), transaction.atomic(savepoint=False), organisation_scope(actor.organisation):
        _lock(actor, entries, hours, inspections)
        if entries:
            logged = entry_batch_log(actor=actor, requests=list(entries.values()), now=now)
            outcomes |= zip(entries, logged, strict=True)
        if hours:
            timed = hours_batch_log(actor=actor, requests=list(hours.values()), now=now)
            outcomes |= zip(hours, timed, strict=True)
        if inspections:
            seen = inspection_batch_record(actor=actor, requests=list(inspections.values()), now=now)
            outcomes |= zip(inspections, seen, strict=True)
    return [outcomes[place] for place in range(len(operations))]


def _lock(
    actor: Actor,
    entries: Mapping[int, EntryRequest],
    hours: Mapping[int, HoursRequest],
    inspections: Mapping[int, InspectionRequest],
) -> None:
    """Lock every work unit, then every person of the list, in id order: two lists never wait for each other."""
    originals = units_of_entries({one.replaces for one in entries.values() if one.replaces})
    units = {one.work_unit for one in entries.values() if one.work_unit is not None}
    units |= {one.work_unit for one in inspections.values()}
    units_lock(ids=units | set(originals.values()), actor=actor)
    people_in_reach(ids={one.person for one in hours.values()}, actor=actor, lock=True)
