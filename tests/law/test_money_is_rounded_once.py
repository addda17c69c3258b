"""Cents are made in one place, half up, and are shared out without losing or making one."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from payroll.law import allot, cents
from payroll.law.money import top_up


@pytest.mark.parametrize(
    ("exact", "rounded"),
    # Derived from the rule in payroll/law/money.py.
    [
        (Fraction("18.125"), "18.13"),
        (Fraction("18.1249999"), "18.12"),
        (Fraction(4 * 491, 46), "42.70"),
        (Fraction(352, 46) / 2 * 6, "22.96"),
        (Fraction("-0.005"), "-0.01"),
        (Fraction("0.0049"), "0.00"),
        (Fraction(0), "0.00"),
    ],
)
def test_a_half_cent_goes_up(exact: Fraction, rounded: str) -> None:
    assert cents(exact) == Decimal(rounded)
    assert str(cents(exact)) == rounded


@given(st.fractions(min_value=-(10**6), max_value=10**6))
def test_rounding_moves_an_amount_by_half_a_cent_at_most(exact: Fraction) -> None:
    assert abs(Fraction(cents(exact)) - exact) <= Fraction(1, 200)


def test_the_spare_cent_goes_to_the_largest_remainder_then_the_first_key() -> None:
    # Largest remainder, ties by key: the rule of the week file's arithmetic. Derived.
    thirds = allot(Decimal("1.00"), [("c", Fraction(1)), ("a", Fraction(1)), ("b", Fraction(1))])
    assert thirds == {"a": Decimal("0.34"), "b": Decimal("0.33"), "c": Decimal("0.33")}
    uneven = allot(Decimal("0.10"), [(1, Fraction(1)), (2, Fraction(2)), (3, Fraction(4))])
    assert uneven == {1: Decimal("0.01"), 2: Decimal("0.03"), 3: Decimal("0.06")}  # 1.43, 2.86, 5.71 cents


@given(
    st.integers(min_value=-(10**9), max_value=10**9),
    st.dictionaries(st.integers(), st.fractions(min_value=0, max_value=1000, max_denominator=10000), min_size=1),
)
def test_an_allotment_sums_exactly_and_is_fair_to_the_cent(whole: int, weights: dict[int, Fraction]) -> None:
    total = sum(weights.values(), Fraction(0))
    amount = Decimal(whole).scaleb(-2) if total else Decimal("0.00")
    shares = allot(amount, list(weights.items()))
    assert sum(shares.values()) == amount
    for key, weight in weights.items():
        exact = Fraction(amount) * weight / total if total else Fraction(0)
        assert abs(Fraction(shares[key]) - exact) < Fraction(1, 100)


@given(
    st.integers(min_value=0, max_value=10**6), st.lists(st.integers(min_value=0, max_value=99), min_size=1, max_size=9)
)
def test_an_allotment_does_not_depend_on_the_order_of_its_entries(whole: int, sizes: list[int]) -> None:
    weights = [(key, Fraction(size + 1)) for key, size in enumerate(sizes)]
    amount = Decimal(whole).scaleb(-2)
    assert allot(amount, weights) == allot(amount, weights[::-1])


@pytest.mark.parametrize(
    ("amount", "weights", "says"),
    [
        ("1.005", [("a", Fraction(1))], "finer than a cent"),
        ("1.00", [("a", Fraction(-1)), ("b", Fraction(2))], "negative weight"),
        ("1.00", [("a", Fraction(1)), ("a", Fraction(1))], "given twice"),
        ("1.00", [("a", Fraction(0))], "every weight is zero"),
        ("1.00", [], "every weight is zero"),
    ],
)
def test_an_allotment_that_cannot_be_exact_is_refused(
    amount: str, weights: list[tuple[str, Fraction]], says: str
) -> None:
    with pytest.raises(ValueError, match=says):
        allot(Decimal(amount), weights)


def test_a_top_up_reaches_the_floor_in_cents() -> None:
    # Derived: 290.725 rounds to 290.73; 250.01 is paid, 250.006 was earned.
    missing = top_up(Fraction("290.725"), Fraction("250.006"), Decimal("250.01"))
    assert missing.amount == Decimal("40.72")
    assert missing.exact == Fraction("40.719")
