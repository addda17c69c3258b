"""The days of a week and their length by the clock of the job's own time zone."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction

import pytest

from payroll.law import TimeWorked, WeekMistakes, WorkerWeek, price
from payroll.law.workweek import day_length, days_of, last_day
from tests.law.weeks import week

# Clocks of the United States: forward on 2026-03-08, back on 2026-11-01 (second Sunday of March, first of November;
# 15 USC 260a, from memory). Arizona keeps its clocks.
FORWARD, BACK = date(2026, 3, 8), date(2026, 11, 1)


@pytest.mark.parametrize(
    ("day", "zone", "hours"),
    [
        (FORWARD, "America/Chicago", 23),
        (BACK, "America/Chicago", 25),
        (BACK - timedelta(days=1), "America/Chicago", 24),
        (BACK, "America/Phoenix", 24),
        (BACK, "", 24),
        (date(2026, 4, 5), "Australia/Lord_Howe", Fraction(49, 2)),  # half an hour back, from memory
    ],
)
def test_a_day_is_as_long_as_its_clock_says(day: date, zone: str, hours: Fraction) -> None:
    assert day_length(day, zone) == hours


def day_of(hours: str, day: date, zone: str) -> WorkerWeek:
    worked = week("1000.00", 0, start=day - timedelta(days=6), time_zone=zone)
    return replace(worked, hours=(TimeWorked(day, "piece", Fraction(hours)),))


def test_25_hours_are_worked_only_where_the_clock_has_them() -> None:
    assert price(day_of("25", BACK, "America/Chicago")).hours.total == 25
    with pytest.raises(
        WeekMistakes, match=r"hours on 2026-11-01: 25 h are more than that day's 24 h in America/Phoenix"
    ):
        price(day_of("25", BACK, "America/Phoenix"))
    with pytest.raises(WeekMistakes, match="25 are allowed where time_zone is given"):
        price(day_of("25", BACK, ""))


def test_23_hours_are_all_that_a_short_day_has() -> None:
    assert price(day_of("23", FORWARD, "America/Chicago")).hours.total == 23
    with pytest.raises(WeekMistakes, match=r"23\.5 h are more than that day's 23 h"):
        price(day_of("23.5", FORWARD, "America/Chicago"))


def test_an_unknown_zone_is_a_mistake() -> None:
    with pytest.raises(WeekMistakes, match="'America/Nowhere' is not a known time zone"):
        price(day_of("8", BACK, "America/Nowhere"))


def test_a_week_is_seven_days_from_any_first_day() -> None:
    # 29 CFR 778.105, from memory: any fixed seven consecutive days.
    first = date(2026, 2, 26)
    assert days_of(first)[-1] == last_day(first) == date(2026, 3, 4)
    assert len(days_of(first)) == 7
