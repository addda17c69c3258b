"""Deciding on one entry: pure, from what `entry_state` read behind the locks."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from zoneinfo import ZoneInfo

from jobs.refusals import AlreadyReplaced, Mistake, OverClaim, invalid, not_found, raise_mistakes
from jobs.requests import EntryRequest, SharesAsked, plain
from jobs.services.entry_state import FirstEntry, State, UnitState, Worker
from jobs.shares import STEP, share_out


@dataclass(frozen=True, slots=True)
class Decided:
    """An entry that will be written."""

    request: EntryRequest
    unit: UnitState
    quantity: Decimal
    shares: dict[int, Decimal]
    replaces: FirstEntry | None


def decide(request: EntryRequest, state: State) -> Decided:
    """Check one request and count it on its work unit. Raises Invalid, NotFound, OverClaim or AlreadyReplaced."""
    first = _first(request, state)
    unit = _unit(request, first, state)
    _check_day(request.worked_on, unit.zone, state.now)
    quantity = _quantity(request, unit, first, state)
    workers = _workers(request.shares, state)
    _check_employed(request.worked_on, workers, request.shares)
    shares = _shares(request.shares, quantity, workers)
    unit.done += quantity - (first.quantity if first else Decimal(0))
    if first is not None:
        state.firsts[first.uuid] = replace(first, replaced=True)
    return Decided(request, unit, quantity, shares, first)


def _first(request: EntryRequest, state: State) -> FirstEntry | None:
    if request.replaces is None:
        return None
    first = state.firsts.get(request.replaces)
    if first is None or first.work_unit not in state.units:
        raise not_found("replaces", "entry", request.replaces)
    if first.replaced:
        raise AlreadyReplaced(
            Mistake("replaces", f"entry {request.replaces} was corrected already. Correct the newest entry instead.")
        )
    return first


def _unit(request: EntryRequest, first: FirstEntry | None, state: State) -> UnitState:
    if first is not None:
        if request.work_unit is not None and request.work_unit != first.work_unit:
            raise invalid(
                "work_unit",
                f"work unit {request.work_unit} is not the one of entry {first.uuid}, {first.work_unit}. "
                "Correct that entry to 0 and log a new one.",
            )
        return state.units[first.work_unit]
    unit = state.units.get(request.work_unit) if request.work_unit is not None else None
    if unit is None:
        raise not_found("work_unit", "work unit", request.work_unit)
    return unit


def _check_day(worked_on: date, zone: str, now: datetime) -> None:
    today = now.astimezone(ZoneInfo(zone)).date()
    if worked_on > today:
        raise invalid("worked_on", f"{worked_on} is after today at the job, {today}. Log work once it is done.")


def _quantity(request: EntryRequest, unit: UnitState, first: FirstEntry | None, state: State) -> Decimal:
    """The quantity asked for, or all that is left. One that does not raise what is done always passes."""
    if request.quantity is not None and (request.quantity < 0 or request.quantity % STEP):
        raise invalid("quantity", f"{request.quantity} is below 0 or finer than {STEP}. Round it to four decimals.")
    stood = first.quantity if first else Decimal(0)
    left = max(unit.measured - unit.done + stood, Decimal(0))
    asked = left if request.quantity is None else request.quantity
    if asked > stood and (asked > left or left == 0):
        raise OverClaim(_over(unit, asked, left, state))
    if asked == 0 and first is None:
        if request.quantity is None:
            raise OverClaim(_over(unit, asked, left, state))
        raise invalid("quantity", "0 finishes nothing. Give what was finished; only a correction may be 0.")
    return asked


def _over(unit: UnitState, asked: Decimal, left: Decimal, state: State) -> Mistake:
    name, measured_in = state.words(unit.id)
    of = f"{plain(left)} left of {plain(unit.measured)} {measured_in}"
    if left == 0:
        return Mistake(
            "quantity", f"{name}: nothing is left, {of}. Have the wall measured again if there is more to it."
        )
    return Mistake("quantity", f"{name}: {plain(asked)} asked, {of}. Claim what is left.")


def _workers(asked: SharesAsked, state: State) -> list[Worker]:
    if asked.crew is not None:
        crew = state.crews.get(asked.crew)
        if not crew:
            raise not_found("shares.crew", "crew with people in it,", asked.crew)
        return crew
    missing = [
        Mistake(f"shares.people[{place}].person", f"person {one.person} was not found among yours.")
        for place, one in enumerate(asked.people)
        if one.person not in state.people
    ]
    if missing:
        refusal = not_found("shares", "person", "")
        refusal.mistakes = tuple(missing)
        raise refusal
    return [state.people[one.person] for one in asked.people]


def _check_employed(worked_on: date, workers: list[Worker], asked: SharesAsked) -> None:
    def path(place: int) -> str:
        return "shares.crew" if asked.crew is not None else f"shares.people[{place}].person"

    raise_mistakes(
        [
            Mistake(
                path(place), f"person {one.person} was not employed on {worked_on}. Leave him out or mend his dates."
            )
            for place, one in enumerate(workers)
            if worked_on < one.started_on or (one.left_on is not None and worked_on > one.left_on)
        ]
    )


def _shares(asked: SharesAsked, quantity: Decimal, workers: list[Worker]) -> dict[int, Decimal]:
    if asked.by == "quantity":
        parts = {one.person: one.quantity or Decimal(0) for one in asked.people}
        together = sum(parts.values(), Decimal(0))
        if together != quantity:
            raise invalid(
                "shares.people",
                f"the shares add up to {plain(together)}, the entry is {plain(quantity)}. Make them equal.",
            )
        return dict(sorted(parts.items()))
    if asked.by == "equal":
        weights = [(one.person, Fraction(1)) for one in workers]
    elif asked.crew is not None:
        weights = [(one.person, one.weight) for one in workers]
    else:
        weights = [(one.person, Fraction(one.weight or Decimal(1))) for one in asked.people]
    return share_out(quantity, weights)
