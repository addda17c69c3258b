"""California's rules come out to the cent: rests, daily and seventh-day overtime, set-sum bonuses, hourly minimum.

Older examples are priced in a year whose minimum wage they met.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from payroll.law import Terms, TimeWorked, WeekMistakes, WorkerWeek, price
from tests.law.weeks import MONDAY, amounts, hourly, week

CALIFORNIA = "us-california"
REST = Fraction(100, 60)  # 100 minutes


def days(earned: str, *hours: Any, start: date = MONDAY, rest: Fraction = Fraction(0), **more: Any) -> WorkerWeek:
    """Piece hours day by day, of which `rest` on the first day."""
    entries = [TimeWorked(start + timedelta(days=day), "piece", Fraction(each)) for day, each in enumerate(hours)]
    if rest:
        entries[0] = replace(entries[0], hours=entries[0].hours - rest)
        entries.append(TimeWorked(start, "rest", rest))
    return replace(week(earned, start=start, rules=CALIFORNIA, **more), hours=tuple(entries))


def test_rests_earn_the_average_of_the_week_exactly() -> None:
    # Labor Code 226.2(a)(3): 500.00 in 40 h with 100 minutes of rests. A published example rounds on the way (1.67 h,
    # 13.04) to 21.78, read in a secondary source; exact 500 / 38 1/3 x 1 2/3 = 21.74, derived: our stated policy.
    priced = price(days("500.00", 8, 8, 8, 8, 8, start=date(2016, 3, 7), rest=REST))
    assert amounts(priced) == {"piece": Decimal("500.00"), "rest": Decimal("21.74")}


def test_rests_of_a_week_of_600() -> None:
    # The same rule: rate 15.65, rest pay 26.09, total 626.09. Read in a secondary source.
    priced = price(days("600.00", 8, 8, 8, 8, 8, start=date(2023, 3, 6), rest=REST))
    rest = next(line for line in priced.lines if line.code == "rest")
    assert round(rest.rate, 2) == Fraction("15.65")
    assert (rest.amount, priced.gross) == (Decimal("26.09"), Decimal("626.09"))


def test_rests_join_the_regular_rate_before_daily_overtime() -> None:
    # 5 x 10 h, 1000.00, 100 minutes of rests: rest rate 20.69, rest pay 34.48, premium 103.45, total 1137.93. Derived.
    priced = price(days("1000.00", 10, 10, 10, 10, 10, rest=REST))
    assert amounts(priced) == {
        "piece": Decimal("1000.00"),
        "rest": Decimal("34.48"),
        "overtime": Decimal("103.45"),
    }
    assert priced.gross == Decimal("1137.93")


def test_rests_earn_the_minimum_wage_at_least() -> None:
    # Labor Code 226.2(a)(3)(A)(ii): 400.00 for 38 1/3 h is 10.43; topped up to 16.90, rests earn 16.90 too. Derived.
    priced = price(days("400.00", 8, 8, 8, 8, 8, rest=REST))
    assert amounts(priced) == {
        "piece": Decimal("400.00"),
        "minimum-wage": Decimal("247.83"),
        "rest": Decimal("28.17"),
    }


def test_a_set_sum_bonus_is_spread_over_straight_hours() -> None:
    # Alvarado v. Dart Container Corp. (2018), from memory: 1400.00 and 50.00 flat in 5 x 10 h -> 1608.75. Derived.
    priced = price(days("1400.00", 10, 10, 10, 10, 10, bonuses=[("flat", "50.00")]))
    assert amounts(priced)["overtime"] == Decimal("140.00") + Decimal("18.75")
    assert priced.gross == Decimal("1608.75")


def test_a_set_sum_bonus_in_a_week_past_forty_hours() -> None:
    # The same rule where the limit is the week's: 40.00 over 40 straight hours of 48; 8 h x 1.5 x 1.00. Derived.
    priced = price(days("960.00", 8, 8, 8, 8, 8, 8, bonuses=[("flat", "40.00")]))
    assert amounts(priced)["overtime"] == Decimal("80.00") + Decimal("12.00")


def test_an_agreed_rate_of_rests_holds_if_it_is_more() -> None:
    # Labor Code 226.2(a)(3): no less than the average, 600 / 20 = 30.00. Derived.
    worked = days("600.00", 8, 8, 4)
    for agreed, paid in (("31.00", "31.00"), ("20.00", "30.00")):
        rest = TimeWorked(MONDAY + timedelta(days=2), "rest", Fraction(1), Decimal(agreed))
        assert amounts(price(replace(worked, hours=(*worked.hours, rest))))["rest"] == Decimal(paid)


def test_rests_alone_earn_the_minimum_wage() -> None:
    # Labor Code 226.2(a)(3)(A)(ii), where no other hours make an average. Derived.
    alone = replace(week(rules=CALIFORNIA), hours=(TimeWorked(MONDAY, "rest", Fraction(1)),))
    assert price(alone).gross == Decimal("16.90")


def test_a_production_bonus_is_spread_over_all_hours() -> None:
    # Derived: (1400 + 50) / 50 = 29.00; 10 h x 14.50.
    priced = price(days("1400.00", 10, 10, 10, 10, 10, bonuses=[("production", "50.00")]))
    assert (priced.regular_rate, priced.gross) == (29, Decimal("1595.00"))


def test_piece_pay_lends_nothing_to_other_hours() -> None:
    # 1000.00 for 30 h and 10 h of waiting at the minimum wage of 16.90 -> 1169.00. Derived.
    worked = days("1000.00", 8, 8, 8, 6)
    waiting = tuple(TimeWorked(MONDAY + timedelta(days=day), "waiting", Fraction(5)) for day in (4, 5))
    assert price(replace(worked, hours=(*worked.hours, *waiting))).gross == Decimal("1169.00")


def test_other_time_lends_nothing_to_piece_hours() -> None:
    # Derived: 300.00 for 20 h is topped up to 338.00 although 20 h of meetings at 40.00 would cover it many times.
    worked = days("300.00", 8, 8, 4)
    meetings = tuple(TimeWorked(MONDAY + timedelta(days=day), "meeting", Fraction(8), Decimal("40")) for day in (3, 4))
    priced = price(replace(worked, hours=(*worked.hours, *meetings)))
    assert amounts(priced)["minimum-wage"] == Decimal("38.00")


def test_hours_past_twelve_are_double() -> None:
    # 14 + 8 + 8 h, 1500.00 -> 1700.00. Derived from Labor Code 510(a): 4 h x 25.00 and 2 h x 50.00.
    priced = price(days("1500.00", 14, 8, 8))
    assert (priced.hours.overtime, priced.hours.double) == (4, 2)
    assert priced.gross == Decimal("1700.00")


def test_the_seventh_day_worked() -> None:
    # 6 x 6 h and 9 h on the seventh day, 3000.00 -> 3333.34 by line. Derived: 8 x 33.3333 and 1 x 66.6667.
    priced = price(days("3000.00", 6, 6, 6, 6, 6, 6, 9))
    assert (priced.hours.overtime, priced.hours.double) == (8, 1)
    assert priced.gross == Decimal("3333.34")


@pytest.mark.parametrize(
    ("hours", "overtime", "double"),
    # Labor Code 510(a), read in a secondary source; figures derived. No hour is overtime twice.
    [
        ((8, 8, 8, 8, 8), "0", "0"),
        ((8, 8, 8, 8, 8, "0.25"), "0.25", "0"),
        (("8.25", 8), "0.25", "0"),
        ((12, 8), "4", "0"),
        (("12.5", 8), "4", "0.5"),
        ((10, 10, 10, 10, 10), "10", "0"),
        ((10, 10, 10, 10, 0, 8), "8", "0"),
        ((9, 9, 9, 9, 9, 9), "14", "0"),
        ((6, 6, 6, 6, 6, 6, 8), "8", "0"),
        ((6, 6, 0, 6, 6, 6, 9), "1", "0"),
        ((8, 8, 8, 8, 8, 8, 13), "16", "5"),
    ],
)
def test_limits_of_the_day_the_week_and_the_seventh_day(hours: tuple[Any, ...], overtime: str, double: str) -> None:
    priced = price(days("3000.00", *hours))
    assert (priced.hours.overtime, priced.hours.double) == (Fraction(overtime), Fraction(double))


def test_pieces_cannot_cover_other_time() -> None:
    with pytest.raises(WeekMistakes, match="must be paid apart from pieces"):
        price(days("1000.00", 8, terms=Terms(pieces_cover_all_hours=True)))


def test_overtime_is_never_by_the_piece_rate() -> None:
    priced = price(days("1500.00", 14, 8, 8, terms=Terms(overtime_on_piece_rate=True)))
    assert priced.gross == Decimal("1700.00")
    assert any("by the regular rate" in caution for caution in priced.cautions)


def test_a_guarantee_on_all_hours_leaves_rests_to_their_own_rule() -> None:
    # Derived: 24.50 x 38 1/3 h = 939.17 for the piece hours, and 1 2/3 h of rests at the same average: 40.83.
    agreed = Terms(hourly_guarantee=Decimal("24.50"), guarantee_hours="all")
    assert price(days("500.00", 8, 8, 8, 8, 8, rest=REST, terms=agreed)).gross == Decimal("980.00")


def test_a_week_of_hours_alone() -> None:
    # Derived: 9 h of meeting at 20.00: 180.00 and half of 20.00 for the ninth hour.
    worked = replace(hourly(("meeting", 9, "20.00")), rules=CALIFORNIA)
    assert price(worked).gross == Decimal("190.00")
