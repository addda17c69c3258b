"""Breaks of a week: what each day owes by its hours, against what the week records, and what to say where it is less.

Only the hours of a day are known, not their course, so "hours in a row" is looked at as hours of the day: what is said
is a caution, never a sum. Meals are entered as hours of kind meal (unpaid), paid rests as hours of kind rest.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from payroll.law import week as w
from payroll.law.earnings import NONE, Hours
from payroll.law.explain import plain
from payroll.law.parameter_book import ParameterValue


@dataclass(frozen=True, slots=True)
class DayBreaks:
    """Minutes of meals and of paid rests that a day owes and has, and the parameters that say so. What the office
    entered as missed is not owed."""

    day: date
    worked: Fraction
    meal_owed: Fraction
    meal: Fraction
    rest_owed: Fraction
    rest: Fraction
    meal_law: tuple[ParameterValue, ...] = ()
    rest_law: tuple[ParameterValue, ...] = ()


def week_breaks(week: w.WorkerWeek, hours: Hours, law: dict[str, ParameterValue]) -> tuple[DayBreaks, ...]:
    """Every day's breaks under a place's parameters. `law` may be without those of a second meal and of rests."""
    had: dict[tuple[date, str], Fraction] = {}
    for entry in week.hours:
        if entry.kind in (w.UNPAID_TIME, "rest"):
            key = (entry.date, entry.kind)
            had[key] = had.get(key, NONE) + entry.hours * 60
    missed = {(one.date, one.kind) for one in week.missed_breaks}
    meal_law = tuple(value for name, value in law.items() if not name.startswith("rest_"))
    rest_law = tuple(value for name, value in law.items() if name.startswith("rest_"))
    return tuple(
        DayBreaks(
            day,
            worked,
            NONE if (day, "meal") in missed else meals_due(worked, law) * law["meal_minutes"].value,
            had.get((day, w.UNPAID_TIME), NONE),
            NONE if (day, "rest") in missed or not rest_law else rests_due(worked, law) * law["rest_minutes"].value,
            had.get((day, "rest"), NONE),
            meal_law,
            rest_law,
        )
        for day, worked in hours.by_day.items()
    )


def meals_due(worked: Fraction, law: dict[str, ParameterValue]) -> int:
    """Meals that the hours of a day owe: one past the first limit, one more past or from the second, where there is
    one. California: 5 h none, 5.1 h one, 10.1 h two. Alberta: 10 h two."""
    due = int(worked > law["meal_after_hours"].value)
    if "second_meal_after_hours" in law:
        due += worked > law["second_meal_after_hours"].value
    if "second_meal_from_hours" in law:
        due += worked >= law["second_meal_from_hours"].value
    return due


def rests_due(worked: Fraction, law: dict[str, ParameterValue]) -> int:
    """Rests that the hours of a day owe: one for each full 4 h or the larger part of them, none below 3.5 h. So 3.5 to
    6 h owe one, more than 6 to 10 h two, more than 10 to 14 h three."""
    if worked < law["rest_from_hours"].value:
        return 0
    each = law["rest_per_hours"].value
    return -((each / 2 - worked) // each)


def break_cautions(days: Iterable[DayBreaks]) -> Iterator[tuple[str, tuple[ParameterValue, ...]]]:
    """A sentence for the meals and one for the rests that are owed and not entered, with the parameters behind it."""
    listed = tuple(days)
    meals = [one for one in listed if one.meal < one.meal_owed]
    if meals:
        days_ = "; ".join(f"{one.day}: {plain(one.meal)} of {plain(one.meal_owed)} minutes" for one in meals)
        yield (
            f"Meals entered are less than the hours call for ({days_}). Enter those taken as hours of kind meal; time "
            "worked in one is time worked.",
            meals[0].meal_law,
        )
    rests = [one for one in listed if one.rest < one.rest_owed]
    if rests:
        days_ = "; ".join(f"{one.day}: {plain(one.rest)} of {plain(one.rest_owed)} minutes" for one in rests)
        yield (
            f"Paid rests entered are less than the hours call for ({days_}). Enter them as hours of kind rest, which "
            "are paid apart from pieces, or the day under missed_breaks.",
            rests[0].rest_law,
        )
