"""Money: the one place where an amount becomes cents, and the one place where cents are shared out.

How a line is rounded. Everything before a line's amount is an exact fraction. The amount is rounded once, to the cent,
and a half cent goes up (away from zero):

    18.125  -> 18.13        5 overtime hours x 3.625
    42.6956 -> 42.70        4 hours of waiting at 491.00 / 46 an hour
    22.9565 -> 22.96        6 overtime hours x 352.00 / 46 / 2; rounding the rate first would give 22.95

A rate that is printed with four decimals is for reading; it is never put back into a sum.

How a shortfall is made up. A floor (a minimum wage, a guarantee) is tested against what the lines really pay, in whole
cents: the top-up is the floor rounded to the cent less the lines paid so far. So a floor of 290.00 over lines of 83.33,
83.33 and 83.34 is topped up by exactly 40.00, and no worker is left a cent short by the rounding of other lines.

How a line is shared out. The entries behind a line get its cents by largest remainder: everyone the whole cents of an
exact share, then one cent each to the largest remainders; equal remainders in the order of their keys. 1.00 over three
equal entries a, b, c is 0.34, 0.33, 0.33.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from math import lcm
from typing import TYPE_CHECKING, NamedTuple, TypeVar

if TYPE_CHECKING:
    from _typeshed import SupportsRichComparison

ZERO = Decimal("0.00")


Key = TypeVar("Key", bound="SupportsRichComparison")


class TopUp(NamedTuple):
    """What a floor adds: `exact` joins the regular rate, `amount` is the line, in cents."""

    exact: Fraction
    amount: Decimal


def cents(amount: Fraction) -> Decimal:
    """Round an exact amount to the cent, half up (a half cent goes away from zero)."""
    numerator, denominator = amount.numerator, amount.denominator
    whole = (200 * abs(numerator) + denominator) // (2 * denominator)
    return Decimal(whole if numerator >= 0 else -whole).scaleb(-2)


def top_up(required: Fraction, earned: Fraction, paid: Decimal) -> TopUp:
    """What is missing from a floor: `required` and `earned` are exact, `paid` is what the lines that count come to."""
    return TopUp(exact=max(required - earned, Fraction(0)), amount=max(cents(required) - paid, ZERO))


def allot(amount: Decimal, weights: Sequence[tuple[Key, Fraction]]) -> dict[Key, Decimal]:
    """Share whole cents of `amount` over keys in proportion to their weights; the shares sum to it exactly.

    Largest remainder, ties in the order of the keys. A negative amount is shared like the positive one.
    Raises ValueError for an amount finer than a cent, a negative weight, a key given twice, or nothing to share over.
    """
    total_cents = amount.scaleb(2)
    if total_cents != total_cents.to_integral_value():
        raise ValueError(f"{amount} is finer than a cent and cannot be allotted. Round the line first.")
    scale = lcm(*(weight.denominator for _, weight in weights)) if weights else 1
    scaled = {key: weight.numerator * (scale // weight.denominator) for key, weight in weights}
    if len(scaled) != len(weights):
        raise ValueError("the same key is given twice in an allotment. Add its weights up first.")
    if any(weight < 0 for weight in scaled.values()):
        raise ValueError("an allotment has a negative weight. Weights are quantities and cannot be below zero.")
    whole = sum(scaled.values())
    if whole == 0:
        if amount:
            raise ValueError(f"{amount} cannot be allotted: every weight is zero. Give at least one weight above zero.")
        return dict.fromkeys(scaled, ZERO)
    sign, magnitude = (-1 if amount < 0 else 1), abs(int(total_cents))
    parts = {key: divmod(magnitude * weight, whole) for key, weight in scaled.items()}
    spare = magnitude - sum(quotient for quotient, _ in parts.values())
    in_turn = sorted((-remainder, key) for key, (_, remainder) in parts.items()) if spare else []
    lucky = {key for _, key in in_turn[:spare]}
    return {key: Decimal(sign * (quotient + (key in lucky))).scaleb(-2) for key, (quotient, _) in parts.items()}
