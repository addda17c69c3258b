"""Deciding on one entry: pure, from what `entry_state` read behind the locks."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any
from zoneinfo import ZoneInfo

from jobs.refusals import AlreadyReplaced, Mistake, OverClaim, invalid, not_found, raise_mistakes
from jobs.requests import EntryRequest, PartAsked, SharesAsked, plain
from jobs.services.day_spans import at_job, check_on_day
from jobs.services.entry_state import FirstEntry, State, UnitState, Worker
from jobs.shares import STEP, share_out
from jobs.spoken import CRUMB, NotSpoken, Reason, Spoken, crumb_reason, part_quantity


@dataclass(frozen=True, slots=True)
class Decided:
    """An entry that will be written."""

    request: EntryRequest
    unit: UnitState
    quantity: Decimal
    shares: dict[int, Decimal]
    replaces: FirstEntry | None
    said: dict[str, Any] | None = None
    because: tuple[Reason, ...] = ()


def decide(request: EntryRequest, state: State) -> Decided:
    """Check one request and count it on its work unit. Raises Invalid, NotFound, OverClaim or AlreadyReplaced."""
    first = _first(request, state)
    unit = _unit(request, first, state)
    _check_day(request.worked_on, unit.zone, state.now)
    _check_span(request, unit.zone, state.now)
    asked, because = _asked(request, unit, first, state)
    quantity = _quantity(request, asked, unit, first, state)
    workers = _workers(request.shares, state)
    _check_employed(request.worked_on, workers, request.shares)
    shares = _shares(request.shares, quantity, workers)
    unit.done += quantity - (first.quantity if first else Decimal(0))
    if first is not None:
        state.firsts[first.uuid] = replace(first, replaced=True)
    return Decided(request, unit, quantity, shares, first, _said(request, unit, first, state), because)


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


def _check_span(request: EntryRequest, zone: str, now: datetime) -> None:
    """When in the day it was made, if that is told."""
    start, finish = request.started_at, request.finished_at
    if start is None or finish is None:
        if start is not None or finish is not None:
            raise invalid("finished_at", "start and finish are given together. Give both, or neither.")
        return
    if finish <= start:
        raise invalid(
            "finished_at",
            f"the finish, {at_job(finish, zone)}, is not after the start, {at_job(start, zone)}. Mend one of them.",
        )
    check_on_day(start, finish, day=request.worked_on, zone=zone, now=now)


def _left(unit: UnitState, first: FirstEntry | None) -> Decimal:
    return max(unit.measured - unit.done + (first.quantity if first else 0), Decimal(0))


def _asked(
    request: EntryRequest, unit: UnitState, first: FirstEntry | None, state: State
) -> tuple[Decimal, tuple[Reason, ...]]:
    """The quantity asked for in the operation's unit, and how it came of what was told."""
    left = _left(unit, first)
    if request.part is None:
        return (left if request.quantity is None else request.quantity), ()
    spoken = state.spoken[unit.id]
    try:
        quantity, reason = part_quantity(request.part, spoken)
    except NotSpoken as wrong:
        raise invalid("part", str(wrong)) from wrong
    _refuse_sheets_logged(request.part, spoken, unit, first, state)
    if quantity != left and quantity > 0 and abs(left - quantity) <= CRUMB and left > 0:
        return left, (reason, crumb_reason(quantity, left, spoken.unit))
    return quantity, (reason,)


def _refuse_sheets_logged(
    part: PartAsked, spoken: Spoken, unit: UnitState, first: FirstEntry | None, state: State
) -> None:
    logged = state.sheets.get(unit.id, {})
    for step in part.steps:
        by = logged.get((spoken.plan, step))
        if by is not None and (first is None or by != first.uuid):
            raise OverClaim(
                Mistake("part", f"sheet {step} was logged by entry {by} already. Leave it out, or correct that entry.")
            )


def _said(request: EntryRequest, unit: UnitState, first: FirstEntry | None, state: State) -> dict[str, Any] | None:
    """The part as it was told, to be kept; its sheets are known as logged from now on."""
    logged = state.sheets.setdefault(unit.id, {})
    if first is not None:
        for named in [named for named, by in logged.items() if by == first.uuid]:
            del logged[named]
    if request.part is None:
        return None
    said = request.part.canonical()
    if request.part.steps:
        said["plan"] = state.spoken[unit.id].plan
        logged.update({(said["plan"], step): request.uuid for step in request.part.steps})
    return said


def _quantity(
    request: EntryRequest, asked: Decimal, unit: UnitState, first: FirstEntry | None, state: State
) -> Decimal:
    """What was asked for, if it may be. A quantity that does not raise what is done always passes."""
    if asked < 0 or asked % STEP:
        raise invalid("quantity", f"{asked} is below 0 or finer than {STEP}. Round it to four decimals.")
    stood = first.quantity if first else Decimal(0)
    left = _left(unit, first)
    if asked > stood and (asked > left or left == 0):
        raise OverClaim(_over(unit, asked, left, state))
    if asked == 0 and first is None:
        if request.asks_all:
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
