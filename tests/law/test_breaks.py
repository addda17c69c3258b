"""Breaks: what the hours of a day call for, what is said where less is entered, and the hour for a missed one."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from payroll.law import MissedBreak, PieceWork, TimeWorked, WeekMistakes, WorkerWeek, price, the_book
from payroll.law.rules.breaks import meals_due, rests_due
from tests.law.weeks import MONDAY, amounts, week

CALIFORNIA = "us-california"
WITHOUT_PREMIUM = ["us-federal", "ca-ontario", "ca-alberta", "ca-british-columbia"]


def law(place: str) -> dict[str, Any]:
    return {value.name: value for value in the_book().values if value.jurisdiction == place}


def days(earned: str, *hours: Any, rules: str = CALIFORNIA, **more: Any) -> WorkerWeek:
    entries = tuple(TimeWorked(MONDAY + timedelta(days=day), "piece", Fraction(each)) for day, each in enumerate(hours))
    pieces = (PieceWork(MONDAY, "hang board", Fraction(earned), "piece", Decimal("1")),)
    return replace(week(rules=rules, **more), hours=entries, pieces=pieces)


def missed(*breaks: tuple[int, str]) -> tuple[MissedBreak, ...]:
    return tuple(MissedBreak(MONDAY + timedelta(days=day), kind, "invented") for day, kind in breaks)


@pytest.mark.parametrize(
    ("worked", "meals"), [("5", 0), ("5.01", 1), ("10", 1), ("10.01", 2)]
)  # Labor Code 512(a), read in a copy of the code.
def test_meals_of_a_californian_day(worked: str, meals: int) -> None:
    assert meals_due(Fraction(worked), law(CALIFORNIA)) == meals


@pytest.mark.parametrize(
    ("worked", "rests"),
    # IWC Order 16-2001, s. 11: 10 minutes for each 4 hours or the larger part of them, none below 3.5 h. Read in a
    # secondary source; the steps at 6, 10 and 14 h from memory (Brinker v. Superior Court, 2012).
    [("3.49", 0), ("3.5", 1), ("6", 1), ("6.01", 2), ("10", 2), ("10.01", 3), ("14", 3), ("14.01", 4)],
)
def test_rests_of_a_californian_day(worked: str, rests: int) -> None:
    assert rests_due(Fraction(worked), law(CALIFORNIA)) == rests


def test_rests_of_a_day_in_alberta() -> None:
    # Employment Standards Code, s. 18, read in a secondary source: one past 5 h, two from 10 h on.
    assert [meals_due(Fraction(hours), law("ca-alberta")) for hours in (5, 6, 10)] == [0, 1, 2]


def test_a_missed_break_earns_an_hour_at_the_regular_rate_of_overtime() -> None:
    # Labor Code 226.7(c), read in a copy of the code; Ferra v. Loews (2021), read in a secondary source. Derived: 1000
    # over 5 x 10 h is 20.00; premium 10 x 10.00; two days without a meal 2 x 20.00; the rate does not move.
    priced = price(days("1000", 10, 10, 10, 10, 10, missed_breaks=missed((0, "meal"), (2, "meal"))))
    assert amounts(priced) == {
        "piece": Decimal("1000.00"),
        "overtime": Decimal("100.00"),
        "missed-break": Decimal("40.00"),
    }
    assert priced.regular_rate == 20
    line = next(line for line in priced.lines if line.code == "missed-break")
    assert (line.quantity, line.rate) == (2, 20)
    assert "California Labor Code 226.7(c)" in [reason.cite for reason in line.because]
    assert any("Ferra v. Loews" in reason.cite for reason in line.because)


def test_a_missed_break_counts_promised_bonuses_of_a_set_sum_as_overtime_does() -> None:
    # Derived from Ferra and Alvarado: 800.00 in 40 h and a set sum of 40.00 over 40 straight hours: 20.00 + 1.00.
    worked = days("800", 8, 8, 8, 8, 8, missed_breaks=missed((0, "rest")), bonuses=[("flat", "40.00")])
    assert amounts(price(worked))["missed-break"] == Decimal("21.00")


def test_a_day_can_miss_its_meal_and_its_rests() -> None:
    # United Parcel Service v. Superior Court (2011), from memory: one hour for each kind. Derived.
    priced = price(days("800", 8, 8, 8, 8, 8, missed_breaks=missed((0, "rest"), (0, "meal"))))
    assert amounts(priced)["missed-break"] == Decimal("40.00")


def test_hours_for_missed_breaks_fill_no_floor() -> None:
    # Our reading: they pay for no work, so the minimum wage is met without them. Derived: 40 x 16.90 = 676.00.
    priced = price(days("500", 8, 8, 8, 8, 8, missed_breaks=missed((0, "meal"))))
    assert amounts(priced)["minimum-wage"] == Decimal("176.00")
    assert amounts(priced)["missed-break"] == Decimal("16.90")


@pytest.mark.parametrize("rules", WITHOUT_PREMIUM)
def test_where_no_hour_is_paid_a_missed_break_is_refused_with_the_rule(rules: str) -> None:
    with pytest.raises(WeekMistakes, match=f"{rules} pays no premium hour") as refused:
        price(days("1000", 8, rules=rules, missed_breaks=missed((0, "meal"))))
    assert the_book().rule(rules, "missed-break").cite in str(refused.value)


@pytest.mark.parametrize(
    ("breaks", "says"),
    [
        (missed((5, "meal")), "no hours were worked that day"),
        (missed((9, "meal")), "the date is outside the week"),
        (missed((0, "nap")), "kind 'nap' is unknown"),
        (missed((0, "meal"), (0, "meal")), "that day's meal stands there already"),
    ],
)
def test_a_missed_break_that_does_not_fit_is_a_mistake(breaks: tuple[MissedBreak, ...], says: str) -> None:
    with pytest.raises(WeekMistakes, match=says):
        price(days("1000", 8, missed_breaks=breaks))


def test_missing_meals_and_rests_are_said_once_for_the_week() -> None:
    cautions = [one for one in price(days("1000", 8, 8)).cautions if "entered are less" in one]
    assert len(cautions) == 2
    assert "2026-03-02: 0 of 30 minutes; 2026-03-03: 0 of 30 minutes" in cautions[0]
    assert "2026-03-02: 0 of 20 minutes" in cautions[1]


def test_breaks_that_are_entered_or_named_as_missed_are_not_asked_for() -> None:
    worked = days("1000", 8, missed_breaks=missed((0, "meal")))
    rest = TimeWorked(MONDAY, "rest", Fraction(1, 3))
    cautions = price(replace(worked, hours=(*worked.hours, rest))).cautions
    assert not any("entered are less" in one for one in cautions)


@pytest.mark.parametrize("rules", WITHOUT_PREMIUM)
def test_a_meal_that_is_entered_is_enough_and_none_is_asked_for_by_federal_law(rules: str) -> None:
    # Ontario s. 20, British Columbia s. 32, Alberta s. 18: read in secondary sources; 29 CFR 785.19: official text.
    worked = days("1000", 8, rules=rules)
    asked = [one for one in price(worked).cautions if "Meals entered are less" in one]
    assert len(asked) == (0 if rules == "us-federal" else 1)
    meal = TimeWorked(MONDAY, "meal", Fraction(1, 2))
    fed = price(replace(worked, hours=(*worked.hours, meal)))
    assert not any("entered are less" in one for one in fed.cautions)
