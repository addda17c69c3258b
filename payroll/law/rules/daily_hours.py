"""Overtime by the day and by the week: each day is classified first, and only hours still straight count in the week.

So no hour is overtime twice. Used where a place has daily limits: California with its seventh day, British Columbia
without one.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from payroll.law import week as w
from payroll.law.earnings import NONE
from payroll.law.explain import clock, money
from payroll.law.money import cents
from payroll.law.parameter_book import ParameterValue
from payroll.law.rules.working import Working
from payroll.law.workweek import days_of


@dataclass(frozen=True, slots=True)
class Limits:
    """Hours of a day past which they are overtime, and double; straight hours of a week past which they are overtime.

    `seventh_day`: on the seventh day of the workweek, if all seven were worked, hours up to the daily limit are
    overtime and those past it double.
    """

    daily: Fraction
    daily_double: Fraction
    weekly: Fraction
    seventh_day: bool


@dataclass(frozen=True, slots=True)
class Classified:
    """The week's hours: straight, overtime and double are together all hours worked.

    `overtime` is made of hours past the day's limit, hours of the seventh day, and straight hours past the week's.
    """

    straight: Fraction
    past_day: Fraction
    of_seventh: Fraction
    past_week: Fraction
    double: Fraction

    @property
    def overtime(self) -> Fraction:
        return self.past_day + self.of_seventh + self.past_week


def classify(by_day: dict[date, Fraction], week_start: date, limits: Limits) -> Classified:
    """Classify a week's hours. 14, 8 and 8 h with limits 8, 12 and 40 are 24 straight, 4 overtime and 2 double."""
    straight = past_day = of_seventh = double = NONE
    days = days_of(week_start)
    all_seven = limits.seventh_day and all(by_day.get(day) for day in days)
    for day, hours in by_day.items():
        if all_seven and day == days[-1]:
            of_seventh += min(hours, limits.daily)
            double += max(hours - limits.daily, NONE)
            continue
        straight += min(hours, limits.daily)
        past_day += max(min(hours, limits.daily_double) - limits.daily, NONE)
        double += max(hours - limits.daily_double, NONE)
    past_week = max(straight - limits.weekly, NONE)
    return Classified(straight - past_week, past_day, of_seventh, past_week, double)


def by_the_day(by_day: dict[date, Fraction], week_start: date, limits: Limits) -> dict[date, tuple[Fraction, Fraction]]:
    """Overtime and double hours of each day, the same hours as `classify` counts. Straight hours past the week's limit
    lie at the end of the week's straight hours, in the order of the days."""
    found = {}
    days = days_of(week_start)
    all_seven = limits.seventh_day and all(by_day.get(day) for day in days)
    straight_before = NONE
    for day, hours in sorted(by_day.items()):
        if all_seven and day == days[-1]:
            found[day] = (min(hours, limits.daily), max(hours - limits.daily, NONE))
            continue
        straight = min(hours, limits.daily)
        past_week = min(max(straight_before + straight - limits.weekly, NONE), straight)
        straight_before += straight
        past_day = max(min(hours, limits.daily_double) - limits.daily, NONE)
        found[day] = (past_day + past_week, max(hours - limits.daily_double, NONE))
    return found


def limits_of(law: dict[str, ParameterValue], seventh_day: bool) -> Limits:
    """The limits among the parameters in force on the week's first day."""
    return Limits(
        law["daily_overtime_hours"].value,
        law["daily_double_hours"].value,
        law["weekly_overtime_hours"].value,
        seventh_day,
    )


def pay_premiums(
    working: Working, found: Classified, regular: Fraction, regular_because: tuple[w.Because, ...]
) -> None:
    """What overtime and double hours earn on top of their straight pay: the multiplier less one."""
    law = working.law
    of_day, of_week = law["daily_overtime_hours"], law["weekly_overtime_hours"]
    overtime, double = law["overtime_multiplier"], law["double_multiplier"]
    counted = " + ".join(
        f"{clock(hours)} {which}"
        for hours, which in (
            (found.past_day, f"past {of_day.text} in a day"),
            (found.of_seventh, "of the seventh day"),
            (found.past_week, f"past {of_week.text} straight ones in the week"),
        )
        if hours
    )
    parts = (
        ("overtime", "overtime premium", found.overtime, overtime, counted, (of_day, of_week)),
        (
            "double",
            "double time premium",
            found.double,
            double,
            clock(found.double),
            (of_day, law["daily_double_hours"]),
        ),
    )
    for code, text, hours, multiplier, sum_of, limits in parts:
        if hours:
            each = regular * (multiplier.value - 1)
            amount = cents(hours * each)
            sum_ = f"{sum_of}; {clock(hours)} x ({multiplier.text} - 1) x {money(regular)} = {amount}"
            reasons = (*regular_because, working.because(code, sum_, *limits, multiplier))
            working.lines.append(w.Line(code, text, hours, "h", each, amount, reasons))
