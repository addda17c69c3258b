"""The labour of a new plan at today's prices and the pace of past weeks, with how far those weeks lie apart."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from jobs.geometry import CountedPlan, count_plan
from jobs.refusals import Invalid, Mistake, invalid, raise_mistakes
from jobs.selectors.planned_units import PlannedWall, wanted_units
from payroll.law import ParameterMissing, PricedWeek, WeekMistakes, WorkerWeek, price, the_book
from payroll.law.bid import NO_PACE, Bid, BidMistakes, Done, History, Key, Planned, bid, history_of
from payroll.law.bid_spread import Spread, Spreads, spreads_of
from payroll.selectors.gathered import Names, names
from payroll.selectors.proposed_prices import OwnFigures, general_prices, own_figures
from payroll.selectors.what_if import weeks_between, weeks_told_apart


@dataclass(frozen=True, slots=True)
class BidLine:
    """A row of the bid beside the spread of its pace; `slow_hours` at the pace of the slow quarter of weeks."""

    operation: str
    unit: str
    quantity: Fraction
    price: Decimal
    pace: Fraction
    spread: Spread | None
    own_pace: bool
    hours: Fraction
    slow_hours: Fraction
    pieces: Decimal
    cost: Decimal
    earns_an_hour: Fraction
    floor_bites: bool


@dataclass(frozen=True, slots=True)
class BidSheet:
    """The bid, its lines, how low and high its cost per square foot lies over past weeks, and what to be careful of."""

    plan_name: str
    area_sqft: Decimal
    bid: Bid
    lines: tuple[BidLine, ...]
    low_per_sqft: Fraction
    high_per_sqft: Fraction
    weeks: int
    cautions: tuple[str, ...]


def plan_mistakes(source: bytes, source_name: str) -> list[str]:
    """What is wrong with a plan by itself, for a form that cannot be bid for other reasons too."""
    try:
        count_plan(source, source_name)
    except Invalid as refused:
        return [mistake.sentence for mistake in refused.mistakes]
    return []


def bid_sheet(
    *, source: bytes, source_name: str, area_sqft: Decimal, first: date, last: date, on: date, rules: str, own: str
) -> BidSheet:
    """Count a plan and price its labour. `own` may give prices and paces by operation, as CSV.

    Raises Invalid with the plan's mistakes, those of `own`, and all that is missing: an area, a price, a past pace.
    """
    known = names([])
    figures, mistakes = own_figures(own)
    raise_mistakes([Mistake("own", sentence) for sentence in mistakes])
    try:
        least = the_book().at(rules, "minimum_wage", on, newer=on)
    except ParameterMissing as missing:
        raise invalid("rules", str(missing)) from missing
    counted = count_plan(source, source_name)
    planned = _planned(counted, known)
    pay_weeks = weeks_between(first, last)
    left_out: list[str] = []
    weeks = _priced([one.week for one in weeks_told_apart(pay_weeks, left_out)], left_out)
    history = history_of(weeks)
    spreads = spreads_of(weeks)
    left_out += history.left_out
    given = {
        known.operation_labels[pk]: figures[one.code] for pk, one in known.operations.items() if one.code in figures
    }
    prices = _prices(known, given, on)
    try:
        found = bid(planned, Fraction(area_sqft), _with_own_paces(history, given, prices, spreads), prices, least.value)
    except BidMistakes as refused:
        raise_mistakes([Mistake("", _next_step(sentence, known)) for sentence in refused.mistakes])
        raise
    cost = spreads.cost
    return BidSheet(
        plan_name=source_name,
        area_sqft=area_sqft,
        bid=found,
        lines=tuple(_lines(found, spreads.paces, given)),
        low_per_sqft=Fraction(found.pieces) * (cost.low if cost else 1) / Fraction(area_sqft),
        high_per_sqft=Fraction(found.pieces) * (cost.high if cost else 1) / Fraction(area_sqft),
        weeks=len(pay_weeks),
        cautions=tuple(_cautions(found, spreads, given, counted, left_out)),
    )


def _next_step(sentence: str, known: Names) -> str:
    """The sentence, with the row that gives a pace where none is known."""
    for pk, label in known.operation_labels.items():
        one = known.operations[pk]
        if sentence == f"{label}, {one.unit}: {NO_PACE}":
            return (
                f"{label}, {one.unit}: no past week shows a pace for it. Write its pace in units an hour below, as a "
                f"row under operation,amount,units_an_hour, such as {one.code},,60."
            )
    return sentence


def _planned(counted: CountedPlan, known: Names) -> list[Planned]:
    """Quantities of the operations in use over the whole plan."""
    levels = {-nth: level for nth, level in enumerate(counted.levels, start=1)}
    walls = [
        PlannedWall(-nth, level, wall)
        for nth, (level, wall) in enumerate(
            ((number, wall) for number, level in levels.items() for wall in level["walls"]), start=1
        )
    ]
    sums: dict[int, Fraction] = {}
    for (_, _, operation, *_), one in wanted_units(walls, levels):
        sums[operation] = sums.get(operation, Fraction(0)) + Fraction(one.quantity)
    return [
        Planned(known.operation_labels[pk], known.operations[pk].unit, quantity)
        for pk, quantity in sums.items()
        if quantity
    ]


def _priced(weeks: list[WorkerWeek], left_out: list[str]) -> list[tuple[WorkerWeek, PricedWeek]]:
    found = []
    for week in weeks:
        try:
            found.append((week, price(week)))
        except WeekMistakes as refused:
            left_out += [f"{week.worker_name}, week of {week.week_start}: {one}" for one in refused.mistakes]
    return found


def _prices(known: Names, given: Mapping[str, OwnFigures], on: date) -> dict[Key, Decimal]:
    listed = general_prices(on=on)
    found: dict[Key, Decimal] = {}
    for pk, label in known.operation_labels.items():
        own = given.get(label)
        amount = own.amount if own and own.amount is not None else listed.get(pk)
        if amount is not None:
            found[label, known.operations[pk].unit] = amount
    return found


def _with_own_paces(
    history: History, given: Mapping[str, OwnFigures], prices: Mapping[Key, Decimal], spreads: Spreads
) -> History:
    """History with the paces that were given by hand in place of its own; pay beside pieces as in all of history."""
    paces = {label: own.units_an_hour for label, own in given.items() if own.units_an_hour is not None}
    beside = spreads.cost.middle if spreads.cost else Fraction(1)
    kept = [done for done in history.done if done.operation not in paces]
    for label, unit in prices:
        if label in paces:
            earned = paces[label] * Fraction(prices[label, unit])
            kept.append(Done(label, unit, paces[label], Fraction(1), earned, earned * beside))
    return History(tuple(kept), history.left_out)


def _lines(found: Bid, paces: Mapping[Key, Spread], given: Mapping[str, OwnFigures]) -> list[BidLine]:
    lines = []
    for row in found.rows:
        one = row.planned
        own = given.get(one.operation)
        own_pace = own is not None and own.units_an_hour is not None
        spread = None if own_pace else paces.get((one.operation, one.unit))
        lines.append(
            BidLine(
                one.operation, one.unit, one.quantity, row.price, row.units_an_hour, spread, own_pace, row.hours,
                one.quantity / spread.low if spread else row.hours, row.pieces, row.cost, row.earns_an_hour,
                row.floor_bites,
            )
        )  # fmt: skip
    return lines


def _cautions(
    found: Bid, spreads: Spreads, given: Mapping[str, OwnFigures], counted: CountedPlan, left_out: list[str]
) -> list[str]:
    said = [
        "Labour as wages alone: taxes, insurance, supervision, tools and profit are not in it. Past pace was made on "
        "other walls, by the people of that time; high, steep, cramped or finished work goes slower."
    ]
    for row in found.rows:
        one = row.planned
        spread = spreads.paces.get((one.operation, one.unit))
        own = given.get(one.operation)
        by_hand = own is not None and own.units_an_hour is not None
        if spread is not None and spread.thin and not by_hand:
            said.append(
                f"{one.operation}: thin history, {spread.weeks} weeks of {spread.people} people. Do not lean on it."
            )
        if row.floor_bites:
            said.append(
                f"{one.operation}: at this price and pace an hour earns less than the minimum wage; pay is topped up."
            )
    if counted.cautions:
        said.append(f"The plan has {len(counted.cautions)} cautions of its own; take it off and read them first.")
    if left_out:
        said.append(f"Not counted: {len(left_out)} days or weeks that show no pace, such as: {left_out[0]}")
    return said
