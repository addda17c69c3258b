"""The limits of 8, 12, 40 and 44 hours, the seventh day, midnight, and days of 23 and 25 hours, in every rule set.

Limits read as each rule set's parameters cite them; hours past them are derived.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from payroll.law import TimeWorked, WeekMistakes, WorkerWeek, price
from payroll.law.rules import NAMED
from tests.law.weeks import amounts, week

FEDERAL, CALIFORNIA, ONTARIO, ALBERTA, COLUMBIA = (
    "us-federal",
    "us-california",
    "ca-ontario",
    "ca-alberta",
    "ca-british-columbia",
)
SUNDAY = date(2026, 3, 1)
MINUTE = Fraction(1, 60)
# Clocks go forward on 2026-03-08 and back on 2026-11-01 in Chicago (15 USC 260a, from memory), in Toronto too.
SHORT, LONG = date(2026, 3, 8), date(2026, 11, 1)


def days(rules: str, *hours: Any, start: date = SUNDAY, earned: str = "2500", **more: Any) -> WorkerWeek:
    """Piece hours day by day from the first day of the week on."""
    entries = tuple(TimeWorked(start + timedelta(days=day), "piece", Fraction(each)) for day, each in enumerate(hours))
    return replace(week(earned, start=start, rules=rules, **more), hours=entries)


EIGHTS = (8, 8, 8, 8)


@pytest.mark.parametrize(
    ("rules", "hours", "overtime", "double"),
    [
        # 8 h in a day: 29 USC 207(a)(1) and Ontario's s. 22(1) know no limit of the day.
        (FEDERAL, (8 + MINUTE,), 0, 0),
        (ONTARIO, (8 + MINUTE,), 0, 0),
        (CALIFORNIA, (8,), 0, 0),
        (CALIFORNIA, (8 + MINUTE,), MINUTE, 0),
        (ALBERTA, (8,), 0, 0),
        (ALBERTA, (8 + MINUTE,), MINUTE, 0),
        (COLUMBIA, (8,), 0, 0),
        (COLUMBIA, (8 + MINUTE,), MINUTE, 0),
        # 12 h in a day: double past them in California (Labor Code 510(a)) and British Columbia (s. 40(1)) only.
        (FEDERAL, (12 + MINUTE,), 0, 0),
        (ONTARIO, (12 + MINUTE,), 0, 0),
        (CALIFORNIA, (12,), 4, 0),
        (CALIFORNIA, (12 + MINUTE,), 4, MINUTE),
        (ALBERTA, (12 + MINUTE,), 4 + MINUTE, 0),
        (COLUMBIA, (12,), 4, 0),
        (COLUMBIA, (12 + MINUTE,), 4, MINUTE),
        # 40 h in the week: not a limit in Ontario and Alberta.
        (FEDERAL, (*EIGHTS, 8), 0, 0),
        (FEDERAL, (*EIGHTS, 8, MINUTE), MINUTE, 0),
        (CALIFORNIA, (*EIGHTS, 8, MINUTE), MINUTE, 0),
        (ONTARIO, (*EIGHTS, 8, MINUTE), 0, 0),
        (ALBERTA, (*EIGHTS, 8, MINUTE), 0, 0),
        (COLUMBIA, (*EIGHTS, 8), 0, 0),
        (COLUMBIA, (*EIGHTS, 8, MINUTE), MINUTE, 0),
        # Only the first 8 h of a day count towards British Columbia's 40: the fifth day holds the last 8 of them.
        (COLUMBIA, (10, 10, 10, 10, 8), 8, 0),
        (COLUMBIA, (10, 10, 10, 10, 8, MINUTE), 8 + MINUTE, 0),
        # 44 h in the week: Ontario and Alberta.
        (FEDERAL, (*EIGHTS, 8, 4 + MINUTE), 4 + MINUTE, 0),
        (CALIFORNIA, (*EIGHTS, 8, 4 + MINUTE), 4 + MINUTE, 0),
        (ONTARIO, (*EIGHTS, 8, 4), 0, 0),
        (ONTARIO, (*EIGHTS, 8, 4 + MINUTE), MINUTE, 0),
        (ALBERTA, (*EIGHTS, 8, 4), 0, 0),
        (ALBERTA, (*EIGHTS, 8, 4 + MINUTE), MINUTE, 0),
        (COLUMBIA, (*EIGHTS, 8, 4 + MINUTE), 4 + MINUTE, 0),
        # The seventh day in a row: a limit in California only, its first 8 h at one and a half, the rest double.
        (FEDERAL, (5, 5, 5, 5, 5, 5, 5), 0, 0),
        (CALIFORNIA, (5, 5, 5, 5, 5, 5, 5), 5, 0),
        (CALIFORNIA, (5, 5, 5, 5, 5, 5, 8 + MINUTE), 8, MINUTE),
        (CALIFORNIA, (5, 5, 5, 5, 5, 0, 8), 0, 0),
        (ONTARIO, (5, 5, 5, 5, 5, 5, 5), 0, 0),
        (ALBERTA, (5, 5, 5, 5, 5, 5, 5), 0, 0),
        (COLUMBIA, (5, 5, 5, 5, 5, 5, 5), 0, 0),
    ],
)
def test_hours_past_a_limit_to_the_minute(rules: str, hours: tuple[Any, ...], overtime: Any, double: Any) -> None:
    found = price(days(rules, *hours)).hours
    assert (found.overtime, found.double) == (overtime, double)


@pytest.mark.parametrize(
    ("rules", "one_day", "two_days"),
    # A shift of 12 h from 18:00 to 06:00 counts on the days it is entered on. Derived: where a day has a limit, 12 h on
    # one day have 4 h past 8, and 6 h on each of two days have none.
    [(FEDERAL, 0, 0), (CALIFORNIA, 4, 0), (ONTARIO, 0, 0), (ALBERTA, 4, 0), (COLUMBIA, 4, 0)],
)
def test_hours_on_both_sides_of_midnight_count_on_their_own_day(rules: str, one_day: int, two_days: int) -> None:
    assert price(days(rules, 12)).hours.overtime == one_day
    assert price(days(rules, 6, 6)).hours.overtime == two_days


@pytest.mark.parametrize("rules", NAMED)
def test_hours_past_the_last_midnight_of_the_week_are_not_of_this_week(rules: str) -> None:
    # 29 CFR 778.104, from memory: each workweek stands alone; the provinces count by the week as well. The last minute
    # of the week is in it, the first of the next is refused with its day.
    last, next_ = SUNDAY + timedelta(days=6), SUNDAY + timedelta(days=7)
    worked = days(rules, 8)
    inside = replace(worked, hours=(*worked.hours, TimeWorked(last, "piece", MINUTE)))
    assert price(inside).hours.total == 8 + MINUTE
    with pytest.raises(WeekMistakes, match=str(next_)):
        price(replace(worked, hours=(*worked.hours, TimeWorked(next_, "piece", MINUTE))))


@pytest.mark.parametrize(
    ("rules", "zone", "day", "hours", "overtime", "double"),
    # All hours that a day has by the clock of the job: 23 when clocks go forward, 25 when they go back. Derived.
    [
        (FEDERAL, "America/Chicago", SHORT, 23, 0, 0),
        (FEDERAL, "America/Chicago", LONG, 25, 0, 0),
        (CALIFORNIA, "America/Los_Angeles", SHORT, 23, 4, 11),
        (CALIFORNIA, "America/Los_Angeles", LONG, 25, 4, 13),
        (ONTARIO, "America/Toronto", SHORT, 23, 0, 0),
        (ONTARIO, "America/Toronto", LONG, 25, 0, 0),
        (ALBERTA, "America/Edmonton", SHORT, 23, 15, 0),
        (COLUMBIA, "America/Creston", LONG, 24, 4, 12),  # keeps its clocks all year, from memory
    ],
)
def test_every_hour_of_a_short_and_of_a_long_day_is_paid(
    rules: str, zone: str, day: date, hours: int, overtime: int, double: int
) -> None:
    worked = days(rules, hours, start=day, time_zone=zone)
    priced = price(worked)
    assert (priced.hours.total, priced.hours.overtime, priced.hours.double) == (hours, overtime, double)
    with pytest.raises(WeekMistakes, match=f"more than that day's {hours} h in {zone}"):
        price(days(rules, hours + MINUTE, start=day, time_zone=zone))


def test_the_hour_that_a_long_day_has_twice_is_paid_twice() -> None:
    # Derived: 2500.00 in 25 h are 100.00 an hour; 4 h at half of it and 13 h at all of it on top.
    priced = price(days(CALIFORNIA, 25, start=LONG, time_zone="America/Los_Angeles"))
    assert amounts(priced) == {
        "piece": Decimal("2500.00"),
        "overtime": Decimal("200.00"),
        "double": Decimal("1300.00"),
    }
