"""British Columbia: Employment Standards Act, s. 1 (regular wage), 16 (minimum wage), 35 and 40 (overtime).

The order, each step on exact fractions: pieces; other time; bonuses; guarantee; minimum wage of all hours; the regular
wage, which is all wages over all hours; what overtime and double hours earn on top; what the week before it in the pay
period adds to that (pay_period). Each day is classified first, and only hours still straight count towards 40. The
minimum wage is tested by the workweek, which never comes to less than a test over the pay period.
"""

from __future__ import annotations

from payroll.law import week as w
from payroll.law.parameter_book import ParameterBook
from payroll.law.rules import steps
from payroll.law.rules.daily_hours import classify, limits_of, pay_premiums
from payroll.law.rules.pay_period import pay_over_period

PLACE = steps.Place(
    "ca-british-columbia",
    "ca-british-columbia 2",
    "CAD",
    ("daily_overtime_hours", "daily_double_hours", "weekly_overtime_hours", "overtime_multiplier", "double_multiplier"),
    ("meal_after_hours", "meal_minutes"),
    by_pay_period=True,
)
SUNDAY = 6

ALWAYS = (
    "British Columbia's rules as far as stated: minimum daily pay, averaging agreements, statutory holidays and "
    "vacation pay are not part of it. Ask the Employment Standards Branch or a licensed payroll practice. This is "
    "not legal advice."
)


def check(week: w.WorkerWeek, book: ParameterBook) -> list[str]:
    """What these rules hold against a week, one sentence each."""
    return steps.check_province(week, book, PLACE)


def price(week: w.WorkerWeek, book: ParameterBook) -> w.PricedWeek:
    """Price one workweek, in which `check` found nothing, under British Columbia's rules."""
    working = steps.begin(week, book, PLACE)
    working.cautions.append(ALWAYS)
    if week.week_start.weekday() != SUNDAY:
        working.cautions.append(
            "Overtime here is counted from Sunday to Saturday, but this week begins on another day."
        )
    if week.terms.overtime_on_piece_rate:
        working.cautions.append("Overtime on the piece rate was agreed, but overtime here is by the regular wage.")
    steps.pay_pieces(working)
    steps.pay_time_at_minimum(working, w.OTHER_TIME)
    steps.pay_bonuses(working)
    steps.pay_guarantee(working)
    steps.hold_minimum(working, working.hours.by_day, working.straight, working.counted, "for the week")
    found = classify(working.hours.by_day, week.week_start, limits_of(working.law, seventh_day=False))
    regular, reasons = steps.regular_rate(working, working.hours.total)
    if regular is not None:
        pay_premiums(working, found, regular, reasons)
    pay_over_period(working, found)
    hours = w.WeekHours(working.hours.total, found.overtime, found.double)
    return steps.finish(working, PLACE, hours, regular, reasons)
