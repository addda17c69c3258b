"""Ontario: Employment Standards Act, 2000, s. 1(1) (regular rate), 22 (overtime), 23 (minimum wage).

The 44 straight hours fill in the order of the days. The regular rate is what those hours earned, over them; hours past
44 earn one and a half times that in place of their own pieces and time, unless those are more. The line "overtime" is
the difference, so that all piece lines stay whole.

On the day that crosses the limit, pieces with `hours` and `first_hour` lie where they were made; other pieces and other
time are spread evenly over that day. Promised bonuses belong wholly to the straight hours, guarantees evenly to all.

The workweek is taken as the pay period. The minimum wage is tested twice, on straight and on overtime hours. A reading
that divides all the week's earnings by the straight hours is contested and off unless it is named (`readings`).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from payroll.law import readings
from payroll.law import week as w
from payroll.law.earnings import NONE, whole_line
from payroll.law.explain import added, clock, money
from payroll.law.money import cents, top_up
from payroll.law.parameter_book import ParameterBook
from payroll.law.rules import steps
from payroll.law.rules.working import Working

PLACE = steps.Place(
    "ca-ontario",
    "ca-ontario 1",
    "CAD",
    ("weekly_overtime_hours", "overtime_multiplier"),
    ("meal_after_hours", "meal_minutes"),
)

ALWAYS = (
    "Ontario's rules as far as stated: special thresholds of some kinds of construction, averaging agreements, "
    "public holidays and vacation pay are not part of it, nor overtime by the kind of work done in each hour (s. "
    "22(1.1)). Ask the Ministry of Labour or a licensed payroll practice. This is not legal advice."
)


@dataclass(slots=True)
class Sides:
    """A week cut at 44 hours: straight and overtime hours of each day, and what was earned past the limit."""

    straight: dict[date, Fraction] = field(default_factory=dict)
    overtime: dict[date, Fraction] = field(default_factory=dict)
    earned_past: Fraction = NONE

    @property
    def over(self) -> Fraction:
        return sum(self.overtime.values(), NONE)


def check(week: w.WorkerWeek, book: ParameterBook) -> list[str]:
    """What these rules hold against a week, one sentence each."""
    return steps.check_province(week, book, PLACE)


def price(week: w.WorkerWeek, book: ParameterBook) -> w.PricedWeek:
    """Price one workweek, in which `check` found nothing, under Ontario's rules."""
    working = steps.begin(week, book, PLACE)
    working.cautions.append(ALWAYS)
    if week.terms.overtime_on_piece_rate:
        working.cautions.append("Overtime on the piece rate was agreed, but overtime here is by the regular rate.")
    steps.pay_pieces(working)
    steps.pay_time_at_minimum(working, w.OTHER_TIME)
    steps.pay_bonuses(working)
    steps.pay_guarantee(working)
    sides = _cut(working)
    total = working.hours.total
    if total:
        sides.earned_past += working.added * sides.over / total
    straight = working.straight - sides.earned_past
    steps.hold_minimum(
        working, sides.straight, straight, working.counted - cents(sides.earned_past), "for the straight hours"
    )
    hours = total - sides.over
    if not hours:
        return steps.finish(working, PLACE, w.WeekHours(total, sides.over), None, ())
    reading = readings.used(week, readings.REGULAR_RATE)
    past = NONE if reading.name == "all-earnings" else sides.earned_past
    if reading.caution and sides.over:
        working.cautions.append(reading.caution)
    regular = (working.straight - past) / hours
    parts = (working.pieces + working.other - past, working.bonuses, working.flat, working.added)
    reasons = (working.because("regular-rate", f"{added(parts)} / {clock(hours)} = {money(regular)} an hour"),)
    if sides.over:
        _pay_overtime(working, sides, regular, reasons)
    return steps.finish(working, PLACE, w.WeekHours(total, sides.over), regular, reasons)


def _cut(working: Working) -> Sides:
    """Fill the straight hours in the order of the days, and find what was earned past them."""
    sides, limit, before = Sides(), working.law["weekly_overtime_hours"].value, NONE
    boundary: dict[date, Fraction] = {}
    for day, worked in working.hours.by_day.items():
        boundary[day] = min(max(limit - before, NONE), worked)
        sides.straight[day] = boundary[day]
        sides.overtime[day] = worked - boundary[day]
        before += worked
    for piece in working.week.pieces:
        share = _share_past(piece, boundary.get(piece.date, NONE), working.hours.by_day.get(piece.date, NONE))
        sides.earned_past += share * piece.quantity * Fraction(piece.rate)
    covered = working.week.terms.pieces_cover_all_hours
    for entry in working.week.hours:
        if entry.kind in w.OTHER_TIME:
            worked = working.hours.by_day[entry.date]
            each = Fraction(entry.rate or 0) if entry.rate or covered else working.minimums[entry.date].rate
            past = sides.overtime[entry.date] / worked if worked else NONE
            sides.earned_past += past * entry.hours * each
    return sides


def _share_past(piece: w.PieceWork, boundary: Fraction, worked: Fraction) -> Fraction:
    """The part of an entry made past the limit, `boundary` hours into a day of `worked` hours; none without hours."""
    if not worked or boundary == worked:
        return NONE
    if boundary and piece.hours and piece.first_hour is not None:
        end = piece.first_hour + piece.hours
        return max(end - max(piece.first_hour, boundary), NONE) / piece.hours
    return (worked - boundary) / worked


def _pay_overtime(working: Working, sides: Sides, regular: Fraction, regular_because: tuple[w.Because, ...]) -> None:
    """One and a half times the regular rate in place of what the overtime hours earned, and its own minimum."""
    limit, multiplier = working.law["weekly_overtime_hours"], working.law["overtime_multiplier"]
    over = sides.over
    owed = over * regular * multiplier.value
    extra = max(owed - sides.earned_past, NONE)
    amount = cents(extra)
    sum_ = (
        f"{clock(working.hours.total)} - {clock(limit.value)} = {clock(over)}; {clock(over)} x {multiplier.text} x "
        f"{money(regular)} = {money(owed)}, in place of {money(sides.earned_past)} earned in them: {amount}"
    )
    reasons = (*regular_because, working.because("overtime", sum_, limit, multiplier))
    working.lines.append(w.Line("overtime", "overtime pay above earnings", over, "h", extra / over, amount, reasons))
    required = multiplier.value * sum(
        (hours * working.minimums[day].rate for day, hours in sides.overtime.items()), NONE
    )
    paid = cents(max(owed, sides.earned_past))
    missing = top_up(required, max(owed, sides.earned_past), paid)
    values = dict.fromkeys(working.minimums[day].value for day, hours in sides.overtime.items() if hours)
    floor_sum = f"{clock(over)} at {multiplier.text} times the minimum wage = {cents(required)}; paid {paid}"
    reason = working.because("overtime-minimum", floor_sum, *values)
    text = "minimum wage for the overtime hours"
    working.floors.append(w.Floor("overtime-minimum", text, cents(required), paid, missing.amount, (reason,)))
    if missing.amount:
        working.lines.append(whole_line("minimum-wage", f"to the {text}", missing.amount, (reason,)))
