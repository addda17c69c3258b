"""Alberta's rules: overtime hours by the larger of two sums, and the readings of what they earn on piece work."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from payroll.law import PieceWork, Terms, TimeWorked, WeekMistakes, WorkerWeek, price
from tests.law.weeks import amounts, hourly, terms, week

ALBERTA = "ca-alberta"
SUNDAY = date(2026, 3, 1)


def days(earned: str, *hours: Any, kinds: dict[int, tuple[str, str]] | None = None, **more: Any) -> WorkerWeek:
    """Hours day by day: on pieces, or of the kind and at the rate given for the day's number."""
    named = kinds or {}
    entries = tuple(
        TimeWorked(
            SUNDAY + timedelta(days=day),
            named.get(day, ("piece", ""))[0],
            Fraction(each),
            Decimal(named[day][1]) if day in named and named[day][1] else None,
        )
        for day, each in enumerate(hours)
    )
    pieces = (PieceWork(SUNDAY, "hang board", Fraction(earned), "piece", Decimal("1")),)
    return replace(week(start=SUNDAY, rules=ALBERTA, **more), hours=entries, pieces=pieces)


SIX_EIGHTS = days("1200", 8, 8, 8, 8, 8, 8)


@pytest.mark.parametrize(
    ("hours", "over"),
    # Employment Standards Code, s. 21: the larger of hours past 8 in each day and past 44 in the week. Rule read in the
    # province's fact sheet; the first two weeks as law offices print them (secondary), the others derived.
    [
        ((8, 8, 8, 8, 8, 8), "4"),
        ((5, 7, 0, 0, 11), "3"),
        ((10, 10, 10, 10, 10), "10"),
        ((12, 8, 8, 8, 8), "4"),
        ((9, 9, 9, 9, 8, 8), "8"),
        ((8, 8, 8, 8, 8), "0"),
        (("8.01", 8), "0.01"),
        ((8, 8, 8, 8, 8, 4), "0"),
        ((8, 8, 8, 8, 8, "4.01"), "0.01"),
        ((10, 10, 8, 8, 8), "4"),
        ((12, 12, 12, 12), "16"),
    ],
)
def test_overtime_hours_are_the_larger_of_two_sums(hours: tuple[Any, ...], over: str) -> None:
    assert price(days("1200", *hours)).hours.overtime == Fraction(over)


@pytest.mark.parametrize(
    ("readings", "gross"),
    # 1200.00 for 6 x 8 h at a minimum wage of 15.00, derived: 4 h x 22.50; 4 h x 7.50; 4 h x 25.00 / 2. That the
    # minimum wage is the base was read in the province's own words as quoted by others (secondary).
    [
        ((), "1290.00"),
        (("minimum-wage-on-top",), "1290.00"),
        (("half-minimum-wage",), "1230.00"),
        (("half-average-earnings",), "1250.00"),
    ],
)
def test_overtime_of_piece_work_by_each_reading(readings: tuple[str, ...], gross: str) -> None:
    priced = price(replace(SIX_EIGHTS, readings=readings))
    assert priced.gross == Decimal(gross)
    assert any("Ask Employment Standards" in caution and "reading" in caution for caution in priced.cautions)


def test_a_contested_reading_says_so_on_the_statement() -> None:
    for name in ("half-minimum-wage", "half-average-earnings"):
        cautions = price(replace(SIX_EIGHTS, readings=(name,))).cautions
        assert any(f"Contested reading {name}" in caution for caution in cautions)


def test_two_answers_to_one_question_are_refused() -> None:
    both = replace(SIX_EIGHTS, readings=("half-minimum-wage", "half-average-earnings"))
    with pytest.raises(WeekMistakes, match="half-average-earnings is a second answer"):
        price(both)


def test_time_paid_by_the_hour_earns_one_and_a_half_times_its_own_rate() -> None:
    # Employment Standards Code, s. 22, read on the province's page. Derived: 46 h at 20.00 are 44 x 20 + 2 x 30.
    worked = replace(hourly(("meeting", 46, "20.00"), start=SUNDAY), rules=ALBERTA)
    # 12 + 12 + 12 + 10 h pass 8 by 14 h: 46 x 20 + 14 x 10.
    assert price(worked).gross == Decimal("1060.00")
    six = days("0", 8, 8, 8, 8, 8, 6, kinds=dict.fromkeys(range(6), ("meeting", "20.00")))
    assert price(replace(six, pieces=())).gross == Decimal("940.00")


def test_a_day_of_both_kinds_has_overtime_of_both() -> None:
    # Derived: 8 h of pieces and 2 h of waiting at 18.00 on one day, 2 h past 8: 1.6 h on pieces at the higher agreed
    # rate, 1.6 x 27.00 = 43.20; 0.4 h of waiting at half of 18.00: 3.60. Straight: 300.00 and 36.00.
    both = days("300", 8)
    waiting = TimeWorked(SUNDAY, "waiting", Fraction(2), Decimal("18.00"))
    priced = price(replace(both, hours=(*both.hours, waiting)))
    assert amounts(priced) == {
        "piece": Decimal("300.00"),
        "waiting": Decimal("36.00"),
        "overtime": Decimal("46.80"),
    }


def test_weekly_overtime_lies_after_the_first_44_hours() -> None:
    # Derived: 5 x 8 h of pieces, then 8 h of meeting at 20.00 on the sixth day: its last 4 h are overtime, 4 x 10.00.
    worked = days("1000", 8, 8, 8, 8, 8, 8, kinds={5: ("meeting", "20.00")})
    priced = price(worked)
    assert amounts(priced)["overtime"] == Decimal("40.00")
    assert [line.text for line in priced.lines if line.code == "overtime"] == ["overtime on meeting"]


def test_incentive_pay_is_topped_up_to_the_minimum_before_overtime() -> None:
    # Employment Standards Regulation, s. 10, read in a secondary source. Derived: 48 x 15.00 = 720.00; 4 x 22.50.
    priced = price(days("500", 8, 8, 8, 8, 8, 8))
    assert amounts(priced) == {
        "piece": Decimal("500.00"),
        "minimum-wage": Decimal("220.00"),
        "overtime": Decimal("90.00"),
    }


def test_hours_that_pieces_cover_have_overtime_like_piece_hours() -> None:
    # Derived: 10 h in one day, 2 of them waiting covered by the pieces: 2 h x 22.50.
    covered = days("300", 8, terms=Terms(pieces_cover_all_hours=True))
    waiting = TimeWorked(SUNDAY, "waiting", Fraction(2))
    priced = price(replace(covered, hours=(*covered.hours, waiting)))
    assert amounts(priced)["overtime"] == Decimal("45.00")


def test_a_guarantee_above_the_minimum_is_the_base_of_overtime() -> None:
    # Our choice, stated in the module: an hourly rate agreed above the minimum is the base. Derived: 4 x 1.5 x 24.00.
    priced = price(replace(SIX_EIGHTS, terms=terms(hourly_guarantee="24.00")))
    assert amounts(priced)["overtime"] == Decimal("144.00")
    assert priced.regular_rate == 24


def test_exception_an_hour_more_can_move_overtime_from_piece_days_to_cheaper_ones() -> None:
    # 2 x 10 h of pieces, then meetings at 20.00: at 48 h both sums are 4 h and lie on piece days, 4 x 30.00. Half an
    # hour of meeting more and the week's sum is larger: 4.5 h at the end of the week, 4.5 x 10.00. Derived from s. 21.
    meetings = dict.fromkeys(range(2, 6), ("meeting", "20.00"))
    assert price(days("600", 10, 10, 8, 8, 8, 4, kinds=meetings)).gross == Decimal("600.00") + 560 + 120
    assert price(days("600", 10, 10, 8, 8, 8, "4.5", kinds=meetings)).gross == Decimal("600.00") + 570 + 45
