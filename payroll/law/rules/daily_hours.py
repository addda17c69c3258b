"""Overtime by the day and by the week: each day is classified first, and only hours still straight count in the week.

So no hour is overtime twice. Used where a place has daily limits: California with its seventh day, British Columbia
without one.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from payroll.law.earnings import NONE
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
    """The week's hours: together they are all hours worked."""

    straight: Fraction
    overtime: Fraction
    double: Fraction


def classify(by_day: dict[date, Fraction], week_start: date, limits: Limits) -> Classified:
    """Classify a week's hours. 14, 8 and 8 h with limits 8, 12 and 40 are 24 straight, 4 overtime and 2 double."""
    straight = overtime = double = NONE
    days = days_of(week_start)
    all_seven = limits.seventh_day and all(by_day.get(day) for day in days)
    for day, hours in by_day.items():
        if all_seven and day == days[-1]:
            overtime += min(hours, limits.daily)
            double += max(hours - limits.daily, NONE)
            continue
        straight += min(hours, limits.daily)
        overtime += max(min(hours, limits.daily_double) - limits.daily, NONE)
        double += max(hours - limits.daily_double, NONE)
    past_week = max(straight - limits.weekly, NONE)
    return Classified(straight - past_week, overtime + past_week, double)
