"""How many places every figure has, wherever it is printed: pages, papers, tables, in every language.

| figure | places |
|---|---|
| money | two |
| hours | two, or four where two do not hold them |
| rate of money (an hour, a unit, a square foot) | two, or four where two do not hold it, for reading |
| rate agreed with a person | all it has: two, four or six |
| quantity | as many as it has, at most four, without needless zeros |

Halves go away from zero. What is printed is plain digits with a point; `Marks` sets them apart as a language does.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

_STEPS = (2, 4, 6)


@dataclass(frozen=True, slots=True)
class Marks:
    """What a language puts between thousands and before decimals."""

    thousands: str = ","
    decimals: str = "."

    def set(self, digits: str) -> str:
        """Plain digits with these marks: 1228.5 -> 1,228.5."""
        sign, size = ("-", digits[1:]) if digits.startswith("-") else ("", digits)
        whole, point, rest = size.partition(".")
        grouped = f"{int(whole):,}".replace(",", self.thousands) if len(whole) > 3 else whole
        return f"{sign}{grouped}{self.decimals if point else ''}{rest}"


ENGLISH = Marks()


def money(value: Decimal) -> str:
    """575.3 -> 575.30."""
    return _to(value, 2)


def hundredths(value: Decimal) -> str:
    """To the hundredth, where a form asks for that: 1.666667 -> 1.67."""
    return _to(value, 2)


def hours(value: Decimal) -> str:
    """9.25 -> 9.25, 1.666667 -> 1.6667."""
    return _stepped(value, 4)


def rate(value: Decimal) -> str:
    """0.96 -> 0.96, 0.999 -> 0.9990, 22.587123 -> 22.5871."""
    return _stepped(value, 4)


def agreed_rate(value: Decimal) -> str:
    """A rate as it was agreed, whole: 0.40 -> 0.40, 0.125 -> 0.1250."""
    return _stepped(value, 6)


def quantity(value: Decimal) -> str:
    """1228.5000 -> 1228.5, 48.0 -> 48."""
    digits = _to(value, 4)
    return digits.rstrip("0").rstrip(".")


def _stepped(value: Decimal, most: int) -> str:
    for places in _STEPS:
        if places >= most or value == value.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP):
            return _to(value, places)
    return _to(value, most)


def _to(value: Decimal, places: int) -> str:
    rounded = value.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)
    return f"{abs(rounded) if rounded == 0 else rounded:f}"
