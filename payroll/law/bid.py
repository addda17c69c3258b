"""The bid helper: units an hour from past weeks, and what the labour of a new plan would cost per square foot.

How hours reach an operation. Pieces that carry their own hours keep them; the rest of a day's piece hours is shared
over that day's other pieces in proportion to what they earned. How cost reaches it: what a week paid beside its pieces
(waiting, rests, top-ups, premiums) is shared over all its pieces in the same way. All of it exact; a row of the bid is
rounded once.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from payroll.law import week as w
from payroll.law.earnings import NONE, hours_spent, paid
from payroll.law.explain import clock, plain
from payroll.law.money import ZERO, cents

Key = tuple[str, str]  # operation, unit


class BidMistakes(ValueError):
    """A bid that cannot be reckoned. `mistakes` holds one sentence each."""

    def __init__(self, mistakes: Sequence[str]) -> None:
        self.mistakes = tuple(mistakes)
        super().__init__("\n".join(self.mistakes))


NO_PACE = "no past week shows a pace for it. Give a history with its pieces and hours."


@dataclass(frozen=True, slots=True)
class Done:
    """What past weeks did of one operation: units, hours spent, what the pieces earned, and what all of it cost."""

    operation: str
    unit: str
    quantity: Fraction
    hours: Fraction
    earned: Fraction
    cost: Fraction

    @property
    def units_an_hour(self) -> Fraction:
        return self.quantity / self.hours


@dataclass(frozen=True, slots=True)
class History:
    """Past work by operation, and sentences for what could not be counted."""

    done: tuple[Done, ...]
    left_out: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Planned:
    """So many units of an operation in a new plan."""

    operation: str
    unit: str
    quantity: Fraction


@dataclass(frozen=True, slots=True)
class BidRow:
    """One operation of a bid: `pieces` at the price, `cost` with what history paid beside pieces, `earns_an_hour` at
    that price and pace, and the `least_price` that reaches the minimum wage without a top-up."""

    planned: Planned
    price: Decimal
    units_an_hour: Fraction
    hours: Fraction
    pieces: Decimal
    cost: Decimal
    earns_an_hour: Fraction
    least_price: Fraction

    @property
    def floor_bites(self) -> bool:
        return Fraction(self.price) < self.least_price


@dataclass(frozen=True, slots=True)
class Bid:
    """The rows and their sums; `per_sqft` is the whole cost over the plan's floor area, exact."""

    rows: tuple[BidRow, ...]
    hours: Fraction
    pieces: Decimal
    cost: Decimal
    per_sqft: Fraction


def least_price(minimum_wage: Fraction, units_an_hour: Fraction, allowance: Fraction = Fraction(1)) -> Fraction:
    """The price of a unit at which the pace earns the minimum wage.

    `allowance` is what a law divides the pace by first: 1.2 for rated output work in the United Kingdom (National
    Minimum Wage Regulations 2015), so that nearly everybody reaches it. At 12 units an hour and 12.71 that is 1.271.
    """
    return minimum_wage / (units_an_hour / allowance)


def history_of(weeks: Iterable[tuple[w.WorkerWeek, w.PricedWeek]]) -> History:
    """Add up past weeks by operation and unit. Pieces of days without piece hours are left out, and said."""
    sums: dict[Key, list[Fraction]] = {}
    left_out: list[str] = []
    for week, priced in weeks:
        beside = Fraction(priced.gross - paid(line for line in priced.lines if line.code == "piece"))
        earned = sum((_earned(piece) for piece in week.pieces), NONE)
        hours = _hours_of_pieces(week, left_out)
        for number, piece in enumerate(week.pieces):
            if number not in hours:
                continue
            own = _earned(piece)
            share = beside * own / earned if earned else NONE
            total = sums.setdefault((piece.operation, piece.unit), [NONE] * 4)
            for place, more in enumerate((piece.quantity, hours[number], own, own + share)):
                total[place] += more
    done = tuple(Done(operation, unit, *total) for (operation, unit), total in sorted(sums.items()))
    return History(done, tuple(left_out))


def _earned(piece: w.PieceWork) -> Fraction:
    return piece.quantity * Fraction(piece.rate)


def _hours_of_pieces(week: w.WorkerWeek, left_out: list[str]) -> dict[int, Fraction]:
    """Hours of each piece entry by its number; entries of days that give none are missing from it."""
    named = f"{week.worker_name}, week of {week.week_start}"
    found: dict[int, Fraction] = {}
    producing: dict[date, Fraction] = {}
    for entry in week.hours:
        if entry.kind == w.PIECE_TIME:
            producing[entry.date] = producing.get(entry.date, NONE) + entry.hours
    days = {piece.date for piece in week.pieces}
    for day in sorted(days):
        entries = [(number, piece) for number, piece in enumerate(week.pieces) if piece.date == day]
        own = hours_spent(piece for _, piece in entries)
        told = sum((piece.hours or NONE for _, piece in entries), NONE)
        rest = producing.get(day, NONE) - own
        without = [(number, _earned(piece)) for number, piece in entries if piece.hours is None]
        shares = without or [(number, _earned(piece)) for number, piece in entries]
        weight = sum((share for _, share in shares), NONE)
        # Pieces made at the same time share that time by their hours.
        found.update({number: piece.hours * own / (told or 1) for number, piece in entries if piece.hours is not None})
        if rest > 0 and weight:
            for number, share in shares:
                found[number] = found.get(number, NONE) + rest * share / weight
        elif without:
            left_out.append(
                f"{named}: pieces on {day} have no piece hours and are not counted. Enter that day's hours."
            )
    for day, hours in sorted((day, hours) for day, hours in producing.items() if day not in days and hours):
        left_out.append(f"{named}: {clock(hours)} on pieces on {day} made no pieces and are not counted.")
    return found


def bid(
    plan: Sequence[Planned],
    area_sqft: Fraction,
    history: History,
    prices: Mapping[Key, Decimal],
    minimum_wage: Fraction,
) -> Bid:
    """The labour of a plan at a price list, at the pace and with the costs beside pieces that history shows.

    Raises BidMistakes with all that is missing: an area, a price, a past pace.
    """
    past = {(done.operation, done.unit): done for done in history.done if done.hours and done.quantity and done.earned}
    mistakes = _mistakes(plan, area_sqft, past, prices)
    if mistakes:
        raise BidMistakes(mistakes)
    rows = tuple(_row(one, past[(one.operation, one.unit)], prices, minimum_wage) for one in plan)
    cost = sum((row.cost for row in rows), ZERO)
    return Bid(
        rows,
        sum((row.hours for row in rows), NONE),
        sum((row.pieces for row in rows), ZERO),
        cost,
        Fraction(cost) / area_sqft,
    )


def _row(one: Planned, done: Done, prices: Mapping[Key, Decimal], minimum_wage: Fraction) -> BidRow:
    agreed = prices[(one.operation, one.unit)]
    pieces = one.quantity * Fraction(agreed)
    pace = done.units_an_hour
    return BidRow(
        planned=one,
        price=agreed,
        units_an_hour=pace,
        hours=one.quantity / pace,
        pieces=cents(pieces),
        cost=cents(pieces * done.cost / done.earned),
        earns_an_hour=pace * Fraction(agreed),
        least_price=least_price(minimum_wage, pace),
    )


def _mistakes(
    plan: Sequence[Planned], area_sqft: Fraction, past: Mapping[Key, Done], prices: Mapping[Key, Decimal]
) -> list[str]:
    found = [] if plan else ["plan: it has no quantities. Take it off first."]
    if area_sqft <= 0:
        found.append(f"area: {plain(area_sqft)} sq ft is not above zero. Give the plan's floor area.")
    seen: set[Key] = set()
    for one in plan:
        key = (one.operation, one.unit)
        name = f"{one.operation}, {one.unit}"
        if key in seen:
            found.append(f"{name}: stands twice in the plan. Add its quantities up.")
        seen.add(key)
        if one.quantity < 0:
            found.append(f"{name}: quantity {plain(one.quantity)} is negative. Correct it.")
        if key not in past:
            found.append(f"{name}: {NO_PACE}")
        agreed = prices.get(key)
        if agreed is None:
            found.append(f"{name}: the price list has no price for it. Add one.")
        elif not agreed.is_finite() or agreed <= 0:
            found.append(f"{name}: price {agreed} is not above zero. Correct it.")
    return found
