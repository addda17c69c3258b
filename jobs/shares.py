"""Sharing a quantity among people so that the parts add up to exactly the whole."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

STEP = Decimal("0.0001")


def share_out(quantity: Decimal, weights: Sequence[tuple[int, Fraction]]) -> dict[int, Decimal]:
    """Split `quantity` (four decimals at most) by weight; person id -> part.

    Each part is cut down to four decimals; what is left over goes, one ten-thousandth each, to the largest
    remainders, and among equal ones to the lowest person id. Raises ValueError without people, for a weight of 0 or
    less, or for a person named twice.
    """
    people = [person for person, _ in weights]
    if not people or len(set(people)) != len(people) or any(weight <= 0 for _, weight in weights):
        raise ValueError(f"cannot share among {weights!r}: people once each, weights above 0")
    steps = int(quantity / STEP)
    if steps * STEP != quantity or steps < 0:
        raise ValueError(f"{quantity} is not a positive number of ten-thousandths")
    whole = sum((weight for _, weight in weights), Fraction(0))
    exact = {person: steps * weight / whole for person, weight in weights}
    parts = {person: int(part) for person, part in exact.items()}
    short = steps - sum(parts.values())
    for person in sorted(people, key=lambda person: (parts[person] - exact[person], person))[:short]:
        parts[person] += 1
    return {person: parts[person] * STEP for person in sorted(people)}
