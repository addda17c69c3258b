"""Alberta: Employment Standards Code, s. 21 (overtime hours), 22 (overtime pay); its Regulation, part 2.

Overtime hours are the larger of two sums: hours past 8 of each day, and hours past 44 of the week. They lie on the days
that passed 8, or, if the week's sum is the larger, after the first 44 hours in the order of the days; a day's overtime
is spread evenly over all that was done that day.

Overtime hours of time paid by the hour earn half their rate on top. For piece work the text leaves a question open, and
`readings` names the answers. How the one used was chosen: the province's own summary says that a worker paid only by
piece work has no established rate of pay and that the minimum wage is then the wage rate for overtime; the Code counts
overtime pay as earnings of its own besides wages; and it is owed at one and a half times the wage rate. So that is paid
on top of the pieces. Where an hourly rate was agreed for other time or guaranteed, a higher one is the base: the
summary takes the salary of a worker paid both ways.

The minimum wage is held over all hours before any overtime pay; the workweek is taken as the pay period.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from payroll.law import readings
from payroll.law import week as w
from payroll.law.earnings import NONE
from payroll.law.explain import clock, money
from payroll.law.money import cents
from payroll.law.parameter_book import ParameterBook, ParameterValue
from payroll.law.rules import steps
from payroll.law.rules.working import Working

PLACE = steps.Place(
    "ca-alberta",
    "ca-alberta 1",
    "CAD",
    ("daily_overtime_hours", "weekly_overtime_hours", "overtime_multiplier"),
    ("meal_after_hours", "second_meal_from_hours", "meal_minutes"),
)

ALWAYS = (
    "Alberta's rules as far as stated: averaging and overtime agreements, industries with limits of their own, the "
    "three-hour minimum, general holidays and vacation pay are not part of it. Ask Employment Standards or a licensed "
    "payroll practice. This is not legal advice."
)


@dataclass(frozen=True, slots=True)
class Over:
    """Overtime hours of each day, and how they were found."""

    by_day: dict[date, Fraction]
    working: str

    @property
    def hours(self) -> Fraction:
        return sum(self.by_day.values(), NONE)


def check(week: w.WorkerWeek, book: ParameterBook) -> list[str]:
    """What these rules hold against a week, one sentence each."""
    return steps.check_province(week, book, PLACE)


def price(week: w.WorkerWeek, book: ParameterBook) -> w.PricedWeek:
    """Price one workweek, in which `check` found nothing, under Alberta's rules."""
    working = steps.begin(week, book, PLACE)
    working.cautions.append(ALWAYS)
    if week.terms.overtime_on_piece_rate:
        working.cautions.append("Overtime on the piece rate was agreed, but overtime here is by the wage rate.")
    steps.pay_pieces(working)
    steps.pay_time_at_minimum(working, w.OTHER_TIME)
    steps.pay_bonuses(working)
    steps.pay_guarantee(working)
    steps.hold_minimum(working, working.hours.by_day, working.straight, working.counted, "for the week")
    over = overtime_of(working.hours.by_day, working.law)
    regular, reasons = _pay_overtime(working, over) if over.hours else (None, ())
    return steps.finish(working, PLACE, w.WeekHours(working.hours.total, over.hours), regular, reasons)


def overtime_of(by_day: dict[date, Fraction], law: dict[str, ParameterValue]) -> Over:
    """The larger of the daily and the weekly sum, laid on its days. 9, 9, 9, 9, 8 and 8 h: 4 h and 8 h, so 8 h."""
    daily, weekly = law["daily_overtime_hours"].value, law["weekly_overtime_hours"].value
    past_day = {day: max(hours - daily, NONE) for day, hours in by_day.items()}
    of_days = sum(past_day.values(), NONE)
    of_week = max(sum(by_day.values(), NONE) - weekly, NONE)
    found = (
        f"{clock(of_days)} past {_bare(daily)} in a day, {clock(of_week)} past {_bare(weekly)} in the week; "
        f"the larger is {clock(max(of_days, of_week))}"
    )
    if of_days >= of_week:
        return Over(past_day, found)
    past_week, before = {}, NONE
    for day, hours in by_day.items():
        before += hours
        past_week[day] = min(max(before - weekly, NONE), hours)
    return Over(past_week, found)


def _bare(limit: Fraction) -> str:
    """A limit in hours without its unit, as the sentence already has one."""
    return clock(limit).removesuffix(" h")


def _pay_overtime(working: Working, over: Over) -> tuple[Fraction | None, tuple[w.Because, ...]]:
    """The overtime lines, and the rate they were paid by where it is one rate."""
    reading = readings.used(working.week, readings.OVERTIME_OF_PIECES)
    if reading.name == "half-average-earnings":
        working.cautions.append(reading.caution)
        return _by_average(working, over)
    of_pieces = _piece_overtime(working, over)
    if of_pieces:
        working.cautions.append(reading.caution)
    bases = {_base(working, day) for day in of_pieces}
    _pay_pieces_overtime(working, over, of_pieces, reading.name == "minimum-wage-on-top")
    _pay_hourly_overtime(working, over)
    if len(bases) != 1:
        return None, ()
    (base,) = bases
    return base, (working.because("wage-rate", f"{money(base)} an hour", *_minimums(working, of_pieces)),)


def _by_average(working: Working, over: Over) -> tuple[Fraction | None, tuple[w.Because, ...]]:
    regular, reasons = steps.regular_rate(working, working.hours.total)
    multiplier = working.law["overtime_multiplier"]
    if regular is not None:
        each = regular * (multiplier.value - 1)
        amount = cents(over.hours * each)
        sum_ = f"{over.working}; {clock(over.hours)} x ({multiplier.text} - 1) x {money(regular)} = {amount}"
        reason = working.because("overtime-average", sum_, *working.law.values())
        line = w.Line("overtime", "overtime premium", over.hours, "h", each, amount, (*reasons, reason))
        working.lines.append(line)
    return regular, reasons


def _piece_overtime(working: Working, over: Over) -> dict[date, Fraction]:
    """Overtime hours of each day that pieces pay for: piece time, and other time that pieces cover by agreement."""
    covered = working.week.terms.pieces_cover_all_hours
    found: dict[date, Fraction] = {}
    for entry in working.week.hours:
        paid_by_pieces = entry.kind == w.PIECE_TIME or (covered and entry.kind in w.OTHER_TIME and entry.rate is None)
        if paid_by_pieces and entry.hours and over.by_day.get(entry.date):
            share = over.by_day[entry.date] / working.hours.by_day[entry.date]
            found[entry.date] = found.get(entry.date, NONE) + share * entry.hours
    return found


def _base(working: Working, day: date) -> Fraction:
    """The wage rate of a piece worker on a day: its minimum wage, or the highest hourly rate agreed if that is more."""
    agreed = [entry.rate for entry in working.week.hours if entry.rate is not None]
    guarantee = working.week.terms.hourly_guarantee
    agreed += [guarantee] if guarantee is not None else []
    agreed += [part.rate for part in working.week.terms.part_guarantees if day in part.days]
    return max(working.minimums[day].rate, Fraction(max(agreed, default=Decimal(0))))


def _minimums(working: Working, days: dict[date, Fraction]) -> tuple[ParameterValue, ...]:
    return tuple(dict.fromkeys(working.minimums[day].value for day in days))


def _pay_pieces_overtime(working: Working, over: Over, of_pieces: dict[date, Fraction], on_top: bool) -> None:
    """One line for each base: one and a half times it besides the pieces, or half of it."""
    multiplier = working.law["overtime_multiplier"]
    times = multiplier.value if on_top else multiplier.value - 1
    by_base: dict[Fraction, dict[date, Fraction]] = {}
    for day, hours in of_pieces.items():
        by_base.setdefault(_base(working, day), {})[day] = hours
    code = "overtime-on-top" if on_top else "overtime-half"
    factor = multiplier.text if on_top else f"({multiplier.text} - 1)"
    for base, days in by_base.items():
        hours = sum(days.values(), NONE)
        amount = cents(hours * base * times)
        sum_ = f"{over.working}; {clock(hours)} of them on pieces; {clock(hours)} x {factor} x {money(base)} = {amount}"
        values = (*working.law.values(), *_minimums(working, days))
        reasons = (working.because("overtime-hours"), working.because(code, sum_, *values))
        text = "overtime pay for piece time"
        working.lines.append(w.Line("overtime", text, hours, "h", base * times, amount, reasons))


def _pay_hourly_overtime(working: Working, over: Over) -> None:
    """Half its own rate on top for other time in overtime hours: its straight pay stands above."""
    multiplier = working.law["overtime_multiplier"]
    covered = working.week.terms.pieces_cover_all_hours
    sums: dict[tuple[str, str, Fraction], Fraction] = {}
    for entry in working.week.hours:
        past = over.by_day.get(entry.date)
        if entry.kind in w.OTHER_TIME and entry.hours and past and not (covered and entry.rate is None):
            each = Fraction(entry.rate) if entry.rate is not None else working.minimums[entry.date].rate
            key = (entry.kind, entry.job, each)
            sums[key] = sums.get(key, NONE) + past / working.hours.by_day[entry.date] * entry.hours
    for (kind, job, each), hours in sums.items():
        half = each * (multiplier.value - 1)
        amount = cents(hours * half)
        sum_ = f"{over.working}; {clock(hours)} of them on {kind}; {clock(hours)} x {money(half)} = {amount}"
        reasons = (working.because("overtime-hours"), working.because("overtime-hourly", sum_, *working.law.values()))
        working.lines.append(w.Line("overtime", f"overtime on {kind}", hours, "h", half, amount, reasons, job))
