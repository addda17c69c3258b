"""The weekly limit is crossed exactly at 40 hours, by any kind of time that is work."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from payroll.law import TimeWorked, price
from tests.law.weeks import MONDAY, amounts, hourly, week


@pytest.mark.parametrize(
    ("hours", "over", "premium"),
    # 29 USC 207(a)(1): a workweek longer than forty hours. Derived from 1000.00 of pieces: 1000 / H / 2 x (H - 40).
    [
        ("39.99", "0", "0.00"),
        ("40", "0", "0.00"),
        ("40.01", "0.01", "0.12"),
        ("40.25", "0.25", "3.11"),
        ("41", "1", "12.20"),
    ],
)
def test_only_hours_past_forty_are_overtime(hours: str, over: str, premium: str) -> None:
    priced = price(week("1000.00", Fraction(hours)))
    assert priced.hours.overtime == Fraction(over)
    assert amounts(priced).get("overtime", Decimal("0.00")) == Decimal(premium)


def test_one_minute_past_forty_hours_is_paid() -> None:
    # 29 CFR 785.48: no rounding of time that is not neutral, so none here. Derived: 2400 / 40 1/60 h / 2 / 60.
    priced = price(week("2400.00", Fraction(2401, 60)))
    assert priced.hours.overtime == Fraction(1, 60)
    assert amounts(priced)["overtime"] == Decimal("0.50")


@pytest.mark.parametrize("kind", ["waiting", "travel", "meeting", "rework", "rest"])
def test_every_kind_of_paid_time_counts_towards_forty(kind: str) -> None:
    # 29 CFR 785.11, 785.18 read in the official text; 778.223 (pay for such hours is pay for work) likewise.
    priced = price(hourly((kind, 42, "20.00")))
    assert priced.hours.overtime == 2
    assert priced.gross == Decimal("860.00")


def test_a_meal_does_not_count() -> None:
    # 29 CFR 785.19, read in the official text: a bona fide meal period is not work time.
    worked = week("1000.00", 40)
    fed = replace(worked, hours=(*worked.hours, TimeWorked(MONDAY, "meal", Fraction(1))))
    assert price(fed).hours.total == 40
    assert price(fed).gross == Decimal("1000.00")
