"""The minimum wage is tested over the workweek, at each day's own figure; a higher one of the place counts instead."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from payroll.law import Override, PieceWork, TimeWorked, WeekMistakes, WorkerWeek, price
from tests.law.weeks import amounts, terms, week


def test_a_week_across_a_change_tests_each_day_at_its_own_figure() -> None:
    # 29 USC 206(a)(1): 6.55 up to 2009-07-23, 7.25 from 2009-07-24 on, a Friday. Figures read in a secondary source;
    # derived: 32 h x 6.55 + 8 h x 7.25 = 267.60; 200.00 earned.
    monday = date(2009, 7, 20)
    hours = tuple(TimeWorked(date(2009, 7, 20 + day), "piece", Fraction(8)) for day in range(5))
    pieces = (PieceWork(monday, "hang board", Fraction(500), "sq ft", Decimal("0.40")),)
    priced = price(WorkerWeek("us-federal", monday, "A. Example", "", pieces, hours))
    floor = priced.floors[0]
    assert (floor.required, floor.paid, floor.top_up) == (Decimal("267.60"), Decimal("200.00"), Decimal("67.60"))
    assert [value.text for value in floor.because[0].parameters] == ["6.55", "7.25"]


def test_a_higher_minimum_of_the_place_is_held() -> None:
    # 29 USC 218(a), from memory: the higher standard of the place stands. Derived: 40 x 15.00 - 290.00 = 310.00.
    local = Override(Decimal("15.00"), "invented city ordinance, from 2026-01-01")
    priced = price(week("290.00", 40, minimum_wage=local))
    assert amounts(priced)["minimum-wage"] == Decimal("310.00")
    assert "invented city ordinance" in priced.floors[0].because[1].working
    assert any("local minimum wage" in caution for caution in priced.cautions)


def test_a_local_minimum_below_the_federal_one_is_a_mistake() -> None:
    local = Override(Decimal("7.00"), "invented city ordinance")
    with pytest.raises(WeekMistakes, match=r"the rate 7\.00 is below the 7\.25 an hour of us-federal"):
        price(week("290.00", 40, minimum_wage=local))


def test_a_promised_bonus_counts_towards_the_minimum() -> None:
    # 29 CFR 778.209(a), read in the official text: it is pay for the week. Derived: 250 + 20 + 20 = 290.
    priced = price(week("250.00", 40, bonuses=[("flat", "20.00")]))
    assert amounts(priced)["minimum-wage"] == Decimal("20.00")


def test_a_free_gift_does_not_count_towards_the_minimum() -> None:
    # Our choice where the text leaves room, stated in the rule: a discretionary bonus fills no gap. Derived.
    priced = price(week("250.00", 40, bonuses=[("discretionary", "100.00")]))
    assert amounts(priced)["minimum-wage"] == Decimal("40.00")
    assert priced.gross == Decimal("390.00")


def test_a_discretionary_bonus_stays_out_of_the_regular_rate() -> None:
    # 29 CFR 778.211, read in the official text. Derived: 1000 / 50 = 20 with and without it.
    priced = price(week("1000.00", 50, bonuses=[("discretionary", "75.00")]))
    assert priced.regular_rate == 20
    assert priced.gross == Decimal("1175.00")
    line = next(line for line in priced.lines if line.code == "bonus")
    assert line.because[0].cite == "29 CFR 778.211"


def test_a_guarantee_on_all_hours_looks_at_other_time_too() -> None:
    # 29 CFR 778.111(b), the guarantee extended to all hours by agreement. Derived: 50 x 11.00 = 550.00; 491 + 32 paid.
    priced = price(week("491.00", 46, 4, "8.00", terms=terms(hourly_guarantee="11.00", guarantee_hours="all")))
    assert amounts(priced)["guarantee"] == Decimal("27.00")
    assert priced.regular_rate == 11


def test_rounding_of_other_lines_never_leaves_a_worker_a_cent_short() -> None:
    # Derived: three lines of 83.334 round down to 83.33; the floor of 290.00 is reached by what is really paid.
    monday = date(2026, 3, 2)
    pieces = tuple(
        PieceWork(monday, operation, Fraction(1), "wall", Decimal("83.334"))
        for operation in ("board", "studs", "track")
    )
    priced = price(replace(week("1.00", 40), pieces=pieces))
    assert amounts(priced) == {"piece": Decimal("249.99"), "minimum-wage": Decimal("40.01")}
    assert priced.gross == Decimal("290.00")


def test_no_hours_at_all_is_paid_but_cautioned() -> None:
    # 29 CFR 516.2 asks for hours of each day; without them no floor can be tested. From memory.
    priced = price(week("100.00"))
    assert priced.gross == Decimal("100.00")
    assert priced.regular_rate is None
    assert any("Pieces but no hours" in caution for caution in priced.cautions)
