"""A proposed price list over past weeks: to the cent, with the floors it would meet. All sums derived by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction

from hypothesis import given

from payroll.law import PieceWork, PrevailingWork, TimeWorked, WorkerWeek, price
from payroll.law.what_if import Change, ProposedPrice, what_if
from tests.law import any_week
from tests.law.weeks import MONDAY

BOARD = ProposedPrice("hang board", "sq ft", Decimal("0.30"))


def past(name: str, quantity: int, *hours: int, rate: str = "0.40", job: str = "Library") -> WorkerWeek:
    return WorkerWeek(
        "us-federal",
        MONDAY,
        name,
        "journeyman",
        (PieceWork(MONDAY, "hang board", Fraction(quantity), "sq ft", Decimal(rate), job),),
        tuple(TimeWorked(MONDAY + timedelta(days=day), "piece", Fraction(each)) for day, each in enumerate(hours)),
    )


def test_who_loses_and_how_much() -> None:
    # A: 1000 sq ft in 40 h, 400.00 now; 300.00 then. B: 1500 sq ft in 50 h: 600.00 + 10 x 6.00 now; 450.00 + 10 x 4.50.
    found = what_if([past("A", 1000, 8, 8, 8, 8, 8), past("B", 1500, 10, 10, 10, 10, 10)], [BOARD])
    assert found.changes == (
        Change("B", 1, Fraction(50), Decimal("660.00"), Decimal("495.00")),
        Change("A", 1, Fraction(40), Decimal("400.00"), Decimal("300.00")),
    )
    assert (found.now, found.proposed) == (Decimal("1060.00"), Decimal("795.00"))
    assert [change.worker for change in found.lose] == ["B", "A"]
    assert found.gain == ()


def test_a_floor_that_would_bite_is_named_and_stops_the_loss() -> None:
    # 800 sq ft in 40 h: 320.00 now, 240.00 then, topped up to 40 x 7.25 = 290.00.
    found = what_if([past("A", 800, 8, 8, 8, 8, 8)], [BOARD])
    (bite,) = found.floors
    assert (bite.code, bite.now, bite.proposed) == ("minimum-wage", Decimal("0.00"), Decimal("50.00"))
    assert found.changes[0].difference == Decimal("-30.00")


def test_weeks_of_one_person_add_up() -> None:
    second = replace(past("A", 1000, 8, 8), week_start=MONDAY)
    found = what_if([past("A", 1000, 8, 8), second], [replace(BOARD, rate=Decimal("0.45"))])
    assert found.changes == (Change("A", 2, Fraction(32), Decimal("800.00"), Decimal("900.00")),)
    assert found.gain == found.changes


def test_the_price_that_names_more_wins() -> None:
    prices = [BOARD, replace(BOARD, rate=Decimal("0.50"), job="Library"), replace(BOARD, rate=Decimal("0.60"), job="X")]
    found = what_if([past("A", 1000, 8, 8)], prices)
    assert found.proposed == Decimal("500.00")
    assert found.unused == (prices[0], prices[2])


def test_a_price_for_one_old_rate_leaves_the_others() -> None:
    change = replace(BOARD, instead_of=Decimal("0.40"))
    found = what_if([past("A", 1000, 8, 8), past("B", 1000, 8, 8, rate="0.55")], [change])
    assert {one.worker: one.proposed for one in found.changes} == {"A": Decimal("300.00"), "B": Decimal("550.00")}


def test_a_prevailing_job_is_topped_up_from_the_proposed_earnings() -> None:
    # 40 h at 10.00 basic: 400.00 now; 300.00 then and 100.00 of top-up: nothing is saved.
    part = PrevailingWork("Library", "lather", Decimal("10.00"), Decimal("0"), Fraction(40), Decimal("400.00"))
    found = what_if([replace(past("A", 1000, 8, 8, 8, 8, 8), prevailing=(part,))], [BOARD])
    assert found.changes[0].difference == Decimal("0.00")
    assert [(bite.code, bite.proposed) for bite in found.floors] == [("prevailing", Decimal("100.00"))]


def test_a_week_that_cannot_be_priced_is_left_out_and_said() -> None:
    found = what_if([past("A", 1000, 30), past("B", 1000, 8, 8)], [BOARD])
    assert [change.worker for change in found.changes] == ["B"]
    assert found.stopped[0].startswith("A, week of 2026-03-02: left out. hours on 2026-03-02")


@given(any_week.worker_weeks())
def test_a_list_that_changes_nothing_changes_nobody(any_one: WorkerWeek) -> None:
    found = what_if([any_one], [])
    assert found.now == found.proposed == price(any_one).gross
