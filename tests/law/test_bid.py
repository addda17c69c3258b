"""Units an hour from past weeks, and the labour of a new plan per square foot. Sums derived by hand unless named."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from payroll.law import PieceWork, TimeWorked, WorkerWeek, price
from payroll.law.bid import BidMistakes, Done, History, Planned, bid, history_of, least_price
from tests.law.weeks import MONDAY

PRICES = {("hang board", "sq ft"): Decimal("0.40"), ("stand studs", "each"): Decimal("2.00")}
MINIMUM = Fraction("7.25")


def piece(operation: str, quantity: int, unit: str, rate: str, day: int = 0, **more: Any) -> PieceWork:
    return PieceWork(MONDAY + timedelta(days=day), operation, Fraction(quantity), unit, Decimal(rate), **more)


def past(*pieces: PieceWork, hours: tuple[int, ...], waiting: str = "") -> WorkerWeek:
    entries = [TimeWorked(MONDAY + timedelta(days=day), "piece", Fraction(each)) for day, each in enumerate(hours)]
    if waiting:
        entries.append(TimeWorked(MONDAY, "waiting", Fraction(2), Decimal(waiting)))
    return WorkerWeek("us-federal", MONDAY, "A. Example", "", pieces, tuple(entries))


def done(*weeks: WorkerWeek) -> History:
    return history_of([(week, price(week)) for week in weeks])


def test_hours_of_a_day_are_shared_by_what_its_pieces_earned() -> None:
    # Monday: 300 sq ft earn 120.00, 20 studs earn 40.00, 8 h: 6 h and 2 h. Tuesday 400 sq ft in 8 h: 700 sq ft in 14 h.
    week = past(
        piece("hang board", 300, "sq ft", "0.40"),
        piece("stand studs", 20, "each", "2.00"),
        piece("hang board", 400, "sq ft", "0.40", day=1),
        hours=(8, 8),
    )
    board, studs = done(week).done
    assert (board.quantity, board.hours, board.units_an_hour) == (700, 14, 50)
    assert (studs.quantity, studs.hours, studs.units_an_hour) == (20, 2, 10)


def test_pieces_with_hours_of_their_own_keep_them() -> None:
    week = past(
        piece("hang board", 300, "sq ft", "0.40", hours=Fraction(5)),
        piece("stand studs", 20, "each", "2.00"),
        hours=(8,),
    )
    assert {one.operation: one.hours for one in done(week).done} == {"hang board": 5, "stand studs": 3}


def test_pieces_made_at_the_same_time_share_it() -> None:
    # 6 of 8 h went into both at once: 3 h each, and the other 2 h into the third.
    at_once = {"hours": Fraction(6), "first_hour": Fraction(0)}
    week = past(
        piece("hang board", 300, "sq ft", "0.40", **at_once),
        piece("stand studs", 20, "each", "2.00", **at_once),
        piece("tape joints", 90, "LF", "0.50"),
        hours=(8,),
    )
    assert {one.operation: one.hours for one in done(week).done} == {
        "hang board": 3,
        "stand studs": 3,
        "tape joints": 2,
    }


def test_what_a_week_pays_beside_pieces_is_shared_over_them() -> None:
    # 160.00 of pieces and 2 h of waiting at 16.00: 32.00 more, a fifth: 120.00 cost 144.00, 40.00 cost 48.00.
    week = past(
        piece("hang board", 300, "sq ft", "0.40"),
        piece("stand studs", 20, "each", "2.00"),
        hours=(8,),
        waiting="16.00",
    )
    assert [one.cost for one in done(week).done] == [144, 48]


def test_days_that_show_no_pace_are_left_out_and_said() -> None:
    week = past(piece("hang board", 300, "sq ft", "0.40", day=2), hours=(8,))
    history = done(week)
    assert history.done == ()
    assert "pieces on 2026-03-04 have no piece hours" in history.left_out[0]
    assert "8 h on pieces on 2026-03-02 made no pieces" in history.left_out[1]


def test_the_labour_of_a_plan_per_square_foot() -> None:
    # Pace 50 sq ft and 10 studs an hour, a fifth beside pieces. 5000 sq ft: 100 h, 2000.00, cost 2400.00. 150 studs:
    # 15 h, 300.00, cost 360.00. Over 1200 sq ft of floor: 2760 / 1200 = 2.30.
    history = History(
        (
            Done("hang board", "sq ft", Fraction(700), Fraction(14), Fraction(280), Fraction(336)),
            Done("stand studs", "each", Fraction(20), Fraction(2), Fraction(40), Fraction(48)),
        ),
        (),
    )
    plan = [Planned("hang board", "sq ft", Fraction(5000)), Planned("stand studs", "each", Fraction(150))]
    found = bid(plan, Fraction(1200), history, PRICES, MINIMUM)
    assert (found.hours, found.pieces, found.cost) == (115, Decimal("2300.00"), Decimal("2760.00"))
    assert found.per_sqft == Fraction("2.30")
    assert [row.earns_an_hour for row in found.rows] == [20, 20]
    assert found.rows[0].least_price == Fraction("0.145")
    assert not any(row.floor_bites for row in found.rows)


def test_a_price_below_the_minimum_at_that_pace_is_shown() -> None:
    history = History((Done("hang board", "sq ft", Fraction(700), Fraction(14), Fraction(280), Fraction(280)),), ())
    plan = [Planned("hang board", "sq ft", Fraction(100))]
    for agreed, bites in (("0.144", True), ("0.145", False)):
        found = bid(plan, Fraction(100), history, {("hang board", "sq ft"): Decimal(agreed)}, MINIMUM)
        assert found.rows[0].floor_bites is bites


def test_all_that_is_missing_is_said_at_once() -> None:
    plan = [Planned("corner bead", "LF", Fraction(-1)), Planned("hang board", "sq ft", Fraction(1))]
    with pytest.raises(BidMistakes) as refused:
        bid([*plan, plan[1]], Fraction(0), History((), ()), {("hang board", "sq ft"): Decimal(0)}, MINIMUM)
    said = "\n".join(refused.value.mistakes)
    for words in ("area: 0 sq ft", "quantity -1", "no past week shows a pace", "no price for it", "stands twice"):
        assert words in said
    assert "price 0 is not above zero" in said
    with pytest.raises(BidMistakes, match="it has no quantities"):
        bid([], Fraction(1), History((), ()), {}, MINIMUM)


def test_the_price_that_reaches_a_minimum_wage() -> None:
    # United Kingdom, rated output work, National Minimum Wage Regulations 2015, as gov.uk sets it out: the pace divided
    # by 1.2. 12 units an hour at 12.71: 1.271. Acas: 20, 25 and 30 units an hour average 25; at 12.71 that is 0.6101.
    # Rule and average read on official pages, figures derived.
    allowance = Fraction("1.2")
    assert least_price(Fraction("12.71"), Fraction(12), allowance) == Fraction("1.271")
    average = Fraction(20 + 25 + 30, 3)
    assert average == 25
    assert round(least_price(Fraction("12.71"), average, allowance), 4) == Fraction("0.6101")


def test_history_of_nothing_is_nothing() -> None:
    assert done(replace(past(hours=()), hours=())) == History((), ())
