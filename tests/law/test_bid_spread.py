"""How far past weeks lie apart: quartiles by nearest rank, exact."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from payroll.law import PieceWork, TimeWorked, WorkerWeek, price
from payroll.law.bid_spread import Spread, nearest_rank, spreads_of
from tests.law.weeks import MONDAY

BOARD = ("hang board", "sq ft")


def week(name: str, quantity: int, hours: int, waiting: int = 0) -> WorkerWeek:
    times = [TimeWorked(MONDAY, "piece", Fraction(hours))]
    if waiting:
        times.append(TimeWorked(MONDAY, "waiting", Fraction(waiting), Decimal("20.00")))
    return WorkerWeek(
        "us-federal",
        MONDAY,
        name,
        "",
        (PieceWork(MONDAY, "hang board", Fraction(quantity), "sq ft", Decimal("0.40")),),
        tuple(times),
    )


# Nearest rank, the textbook example: of 15, 20, 35, 40, 50 the 30th percentile is 20, the 40th 20, the 50th 35, the
# 100th 50 (from memory of the encyclopedia article "Percentile"; the arithmetic is plain).
@pytest.mark.parametrize(("part", "expected"), [("0.05", 15), ("0.3", 20), ("0.4", 20), ("0.5", 35), ("1", 50)])
def test_nearest_rank(part: str, expected: int) -> None:
    assert nearest_rank([Fraction(one) for one in (15, 20, 35, 40, 50)], Fraction(part)) == expected


def test_paces_of_weeks_and_what_they_pay_beside_pieces() -> None:
    # 40, 50, 60, 70 sq ft an hour over 8 h; the last also waited 2 h at 20.00: 224.00 of pieces, 264.00 in all.
    weeks = [week("A", 320, 8), week("B", 400, 8), week("A", 480, 8), week("C", 560, 8, waiting=2)]
    found = spreads_of([(one, price(one)) for one in weeks])
    assert found.paces == {BOARD: Spread(Fraction(40), Fraction(50), Fraction(60), 4, 3)}
    assert found.paces[BOARD].thin
    assert found.cost is not None
    assert (found.cost.low, found.cost.high) == (1, 1)
    top = spreads_of([(weeks[3], price(weeks[3]))]).cost
    assert top is not None
    assert top.low == Fraction(264, 224)


def test_eight_weeks_of_three_people_are_not_thin() -> None:
    weeks = [week("ABC"[nth % 3], 320, 8) for nth in range(8)]
    assert not spreads_of([(one, price(one)) for one in weeks]).paces[BOARD].thin
    same = [replace(one, worker_name="A") for one in weeks]
    assert spreads_of([(one, price(one)) for one in same]).paces[BOARD].thin


def test_no_weeks_have_no_spread() -> None:
    assert spreads_of([]).cost is None


@given(st.lists(st.integers(1, 10**6).map(Fraction), min_size=1, max_size=40))
def test_the_quarters_are_figures_of_the_list_in_their_order(figures: list[Fraction]) -> None:
    in_order = sorted(figures)
    low, middle, high = (nearest_rank(in_order, Fraction(part, 4)) for part in (1, 2, 3))
    assert low <= middle <= high
    assert {low, middle, high} <= set(figures)
    assert 4 * sum(one <= low for one in figures) >= len(figures)
    assert 4 * sum(one <= high for one in figures) >= 3 * len(figures)
