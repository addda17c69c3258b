"""Covered hours reach the basic and fringe rates, and their overtime is never computed on less than the basic rate."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from payroll.law import PrevailingWork, Terms, TimeWorked, WeekMistakes, price
from tests.law.weeks import MONDAY, amounts, week


def library(hours: Any, pieces: str, **more: Any) -> PrevailingWork:
    return PrevailingWork(
        "Library", "lather", Decimal("31.20"), Decimal("7.30"), Fraction(hours), Decimal(pieces), **more
    )


def test_pieces_over_hours_reach_basic_and_fringe() -> None:
    # Davis-Bacon, 29 CFR part 5: 1400.00 for 40 h against 31.20 + 7.30 = 38.50 -> 140.00. Rule from memory, derived.
    priced = price(week("1400.00", 40, prevailing=(library(40, "1400.00"),)))
    assert amounts(priced) == {"piece": Decimal("1400.00"), "fringe": Decimal("140.00")}
    assert priced.gross == Decimal("1540.00")


def test_cash_in_lieu_of_fringe_stays_out_of_the_overtime_base() -> None:
    # 29 CFR 5.32(c), read in the official text. Derived: 48 h, 1680.00 is 35.00 an hour; fringe 38.50 x 48 - 1680 =
    # 168.00 stays out; premium 8 x 17.50 = 140.00.
    priced = price(week("1680.00", 48, prevailing=(library(48, "1680.00", overtime_hours=Fraction(8)),)))
    assert amounts(priced)["fringe"] == Decimal("168.00")
    assert priced.regular_rate == 35
    assert priced.gross == Decimal("1988.00")


def test_what_is_missing_to_the_basic_rate_joins_the_overtime_base() -> None:
    # Derived: 1200.00 in 48 h lacks 297.60 to 31.20 x 48; fringe 7.30 x 48 = 350.40; premium 8 x 15.60 = 124.80.
    priced = price(week("1200.00", 48, prevailing=(library(48, "1200.00", overtime_hours=Fraction(8)),)))
    assert [line.amount for line in priced.lines] == [Decimal(x) for x in ("1200.00", "297.60", "350.40", "124.80")]
    assert priced.regular_rate == Fraction("31.20")


def test_overtime_on_covered_work_is_never_below_the_basic_rate() -> None:
    # 29 CFR 5.32(a), read in the official text. Derived: 20 h covered at 31.20 (624.00), 28 h elsewhere for 560.00;
    # the average is 1184 / 48 = 24.6667; 8 h x 12.3333 = 98.67, and 8 x half of (31.20 - 24.6667) = 26.13 more.
    priced = price(week("1184.00", 48, prevailing=(library(20, "624.00", overtime_hours=Fraction(8)),)))
    assert [line.amount for line in priced.lines if line.code == "overtime"] == [Decimal("98.67"), Decimal("26.13")]
    assert priced.gross == Decimal("1184.00") + Decimal("146.00") + Decimal("98.67") + Decimal("26.13")


def test_cash_in_lieu_fills_no_gap_of_the_minimum_wage() -> None:
    # Our choice, the one that pays no less: fringe is no wage for other hours. Derived: 156.00 for 5 covered hours and
    # 100.00 for 35 others against 290.00; 36.50 of fringe stays beside it.
    priced = price(week("256.00", 40, prevailing=(library(5, "156.00"),)))
    assert amounts(priced)["minimum-wage"] == Decimal("34.00")
    assert priced.gross == Decimal("326.50")


def test_a_plan_takes_the_place_of_cash() -> None:
    # 29 CFR 5.31(a), read in a copy of the official text: contributions count towards the fringe rate. Derived: 3.00 an
    # hour to a plan leaves 4.30 x 40 = 172.00, of which 152.00 is pay above the basic rate.
    part = library(40, "1400.00", fringe_to_plan=Decimal("3.00"))
    assert amounts(price(week("1400.00", 40, prevailing=(part,))))["fringe"] == Decimal("20.00")
    whole = library(40, "1400.00", fringe_to_plan=Decimal("9.00"))
    assert "fringe" not in amounts(price(week("1400.00", 40, prevailing=(whole,))))


def test_other_time_on_the_job_is_pay_of_the_job() -> None:
    # Derived: 38 h of pieces at 1400.00 and 2 h of meeting at 30.00 on the job: 1460.00 against 1540.00.
    worked = week("1400.00", 38, prevailing=(library(40, "1400.00"),))
    meeting = TimeWorked(MONDAY + timedelta(days=4), "meeting", Fraction(2), Decimal("30.00"), job="Library")
    assert amounts(price(replace(worked, hours=(*worked.hours, meeting))))["fringe"] == Decimal("80.00")


def test_overtime_on_the_piece_rate_does_not_mix_with_covered_work() -> None:
    agreed = Terms(overtime_on_piece_rate=True)
    part = library(48, "1680.00", overtime_hours=Fraction(8))
    priced = price(week("1680.00", 48, prevailing=(part,), terms=agreed))
    assert priced.gross == Decimal("1988.00")
    assert any("prevailing-rate work" in caution for caution in priced.cautions)


@pytest.mark.parametrize(
    ("part", "says"),
    [
        (replace(library(40, "1400.00"), worker_class=" "), "has no class."),
        (replace(library(40, "1400.00"), job=""), "has no job."),
        (replace(library(40, "1400.00"), basic=Decimal("0")), "basic 0 is not above zero."),
        (replace(library(40, "1400.00"), fringe=Decimal("-1")), "fringe -1 is below zero."),
        (library(0, "1400.00"), "0 h are covered."),
        (library(49, "1400.00"), "49 h are covered, but only 48 h were worked."),
        (library(48, "1680.01", overtime_hours=Fraction(8)), "pieces of 1680.01 are more than the week's 1680.00"),
        (library(48, "1680.00"), "overtime_hours come to 0 h, but the week has 8 h of overtime and at least 8 h"),
        (library(48, "1680.00", overtime_hours=Fraction(9)), "overtime_hours come to 9 h, but the week has 8 h"),
        (library(5, "100.00", overtime_hours=Fraction(6)), "overtime_hours 6 h do not lie within the job's 5 h."),
    ],
)
def test_covered_work_that_does_not_fit_its_week_is_a_mistake(part: PrevailingWork, says: str) -> None:
    with pytest.raises(WeekMistakes) as wrong:
        price(week("1680.00", 48, prevailing=(part,)))
    assert any(says in sentence for sentence in wrong.value.mistakes), wrong.value.mistakes


def test_a_job_given_twice_is_a_mistake() -> None:
    with pytest.raises(WeekMistakes, match="the job is given twice"):
        price(week("1680.00", 40, prevailing=(library(20, "700.00"), library(20, "700.00"))))


def test_daily_overtime_on_covered_work_in_california() -> None:
    # Labor Code 510(a) with 29 CFR 5.32(a). Derived: 4 x 10 h, 8 h past the day's limit, all covered: 1600.00 is 40.00
    # an hour, above 31.20 + 7.30; 8 h x 20.00.
    hours = tuple(TimeWorked(MONDAY + timedelta(days=day), "piece", Fraction(10)) for day in range(4))
    worked = replace(week("1600.00", rules="us-california"), hours=hours)
    priced = price(replace(worked, prevailing=(library(40, "1600.00", overtime_hours=Fraction(8)),)))
    assert priced.gross == Decimal("1760.00")
    with pytest.raises(WeekMistakes, match="the week has 8 h of overtime and at least 8 h"):
        price(replace(worked, prevailing=(library(40, "1600.00"),)))
