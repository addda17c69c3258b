"""Exact lengths: feet, inches and fractions, or metric, as whole ticks.

One inch is 81,280,000 ticks and one millimetre 3,200,000, so 1/64 in (1,270,000), 1/1000 in, 1 mm and 1/1000 mm
are all whole numbers of ticks (1 in = 25.4 mm exactly, the international inch of 1959). Nothing is ever rounded on
the way in: a text that is not a whole number of ticks is refused, never bent to fit.
"""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from math import gcd
from typing import TypeAlias

Length: TypeAlias = int
"""A length in ticks."""

TICKS_PER_INCH = 81_280_000
TICKS_PER_MM = 3_200_000
TICKS_PER_FOOT = 12 * TICKS_PER_INCH
SQUARE_TICKS_PER_SQUARE_FOOT = TICKS_PER_FOOT**2

_KEPT = 16_384  # texts of lengths: a building has few different ones, each in many places
_LONGEST_TEXT = 60
_LONGEST = 1_000_000 * TICKS_PER_INCH  # about 16 miles: anything longer is a slip of the key
_NUMBER = r"\d+(?:\.\d+)?|\.\d+"
_METRIC = re.compile(rf"(?P<sign>[-+]?)\s*(?P<number>{_NUMBER})\s*(?P<unit>mm|cm|m)")
_IMPERIAL = re.compile(
    rf"""(?P<sign>[-+]?)\s*
    (?:(?P<feet>{_NUMBER})\s*(?:'|ft\.?)(?:\s*-\s*(?=[\d.])|\s*))?
    (?:
        (?P<whole>\d+)(?:\s+|-)(?P<top>\d+)/(?P<bottom>\d+)
      | (?P<only_top>\d+)/(?P<only_bottom>\d+)
      | (?P<inches>{_NUMBER})
    )?\s*(?P<mark>"|in\.?)?""",
    re.VERBOSE,
)
_METRIC_TICKS = {"mm": TICKS_PER_MM, "cm": 10 * TICKS_PER_MM, "m": 1000 * TICKS_PER_MM}
_UNIT_TICKS = {"in": TICKS_PER_INCH, "mm": TICKS_PER_MM}


class LengthMistake(ValueError):
    """A text or number that is not a length, with the reason and what to write instead."""


def inch(whole: int, top: int = 0, bottom: int = 1) -> Length:
    """`inch(3, 5, 8)` is 3 5/8 in. Raises LengthMistake if that is no whole number of ticks."""
    return from_fraction((Fraction(whole) + Fraction(top, bottom)) * TICKS_PER_INCH)


def from_fraction(ticks: Fraction) -> Length:
    """Whole ticks from an exact fraction of ticks. Raises LengthMistake where it is not whole or far too long."""
    if ticks.denominator != 1:
        raise LengthMistake(
            "is finer than can be held exactly. Write a fraction of an inch such as 5/8 or 11/64, or at most "
            "four decimals of a millimetre"
        )
    if abs(ticks.numerator) > _LONGEST:
        raise LengthMistake("is longer than a million inches. Check the unit")
    return ticks.numerator


def parse_length(value: str | int | Decimal, unit: str = "in") -> Length:
    """Read a length exactly.

    A string is feet, inches and fractions (`12'-3 5/8"`, `3 5/8`, `40`: inches whatever the unit), or metric with
    its unit (`3734 mm`, `3.734 m`); a bare number is in `unit` ("in" or "mm"). Raises LengthMistake.
    """
    if isinstance(value, bool) or not isinstance(value, str | int | Decimal):
        raise LengthMistake('is not a length. Write a text such as "12\'-3 5/8\\"" or "3734 mm", or a number')
    if isinstance(value, str):
        return _parse_text(value)
    if isinstance(value, Decimal) and (not value.is_finite() or abs(value.adjusted()) > 30):
        raise LengthMistake("is not a number that a length can have")
    return from_fraction(Fraction(value) * _UNIT_TICKS[unit])


def _parse_text(value: str) -> Length:
    text = value.strip().replace("\u2032", "'").replace("\u2033", '"').replace("''", '"')
    if not text or len(text) > _LONGEST_TEXT:
        raise LengthMistake('is empty or too long for a length. Write a text such as "12\'-3 5/8\\""')
    if not text.isascii():
        raise LengthMistake("has a character that no length has. Use digits, ' \" / - and mm, cm or m")
    metric = _METRIC.fullmatch(text)
    if metric:
        ticks = Fraction(metric["number"]) * _METRIC_TICKS[metric["unit"]]
        return from_fraction(-ticks if metric["sign"] == "-" else ticks)
    found = _IMPERIAL.fullmatch(text)
    has_inches = found and (found["whole"] or found["only_top"] or found["inches"])
    if not found or not (found["feet"] or has_inches) or (found["mark"] and not has_inches):
        raise LengthMistake(
            'cannot be read as a length. Write feet, inches and a fraction ("12\'-3 5/8\\""), inches ("3 5/8") '
            'or metric with its unit ("3734 mm")'
        )
    total = Fraction(found["feet"] or 0) * 12
    for top, bottom in ((found["top"], found["bottom"]), (found["only_top"], found["only_bottom"])):
        if top:
            if int(bottom) == 0:
                raise LengthMistake("divides by zero. Check the fraction")
            total += Fraction(int(top), int(bottom))
    part = Fraction(found["whole"] or found["inches"] or 0)
    if found["feet"] and part >= 12:
        raise LengthMistake("has 12 inches or more after the feet. Write them as feet, or the whole length in inches")
    total += part
    ticks = total * TICKS_PER_INCH
    return from_fraction(-ticks if found["sign"] == "-" else ticks)


@lru_cache(maxsize=_KEPT)
def length_text(ticks: Length) -> str:
    """Print exactly: feet-inches to 1/64 in where that is exact (`12'-3 5/8"`), else millimetres (`3734 mm`).

    `parse_length(length_text(x)) == x` for every x: a tick has a finite decimal in millimetres.
    """
    sign = "-" if ticks < 0 else ""
    size = abs(ticks)
    sixty_fourths, rest = divmod(size * 64, TICKS_PER_INCH)
    if rest:
        return f"{sign}{_plain(Fraction(size, TICKS_PER_MM))} mm"
    inches, part = divmod(sixty_fourths, 64)
    feet, inches = divmod(inches, 12)
    common = gcd(part, 64)
    tail = f" {part // common}/{64 // common}" if part else ""
    if feet:
        return f"{sign}{feet}'-{inches}{tail}\""
    if part and not inches:
        return f'{sign}{tail.strip()}"'
    return f'{sign}{inches}{tail}"'


_TENTH_MM = TICKS_PER_MM // 10
_DECIMAL_INCH = 127
"""1 in = 127 x 640,000 ticks, and 640,000 = 2^10 x 5^4: a multiple of 127 ticks ends within ten decimals of an inch."""


@lru_cache(maxsize=_KEPT)
def exact_words(ticks: Length) -> str:
    """Exact, for a term: feet and inches where that is exact to 1/64 in, millimetres where those are whole tenths, else
    decimal inches."""
    text = length_text(ticks)
    return text if text.endswith('"') or ticks % _TENTH_MM == 0 else f"{inches(ticks)} in"


def unit_text(ticks: Length, unit: str) -> str:
    """Exact, in the unit of whoever asks: "mm" gives millimetres; "in" gives feet and inches where that is exact to
    1/64 in, else decimal inches, else what only millimetres can say."""
    if unit == "mm":
        return f"{millimetres(ticks)} mm"
    text = length_text(ticks)
    return f"{inches(ticks)} in" if not text.endswith('"') and ticks % _DECIMAL_INCH == 0 else text


@lru_cache(maxsize=_KEPT)
def in_words(ticks: Length) -> str:
    """For a sentence: as `exact_words`, but what would be a long decimal is short: three decimals under a foot, else
    `about` and feet and inches to 1/16 in."""
    text = length_text(ticks)
    if text.endswith('"') or ticks % _TENTH_MM == 0:
        return text
    if abs(ticks) < TICKS_PER_FOOT:
        return f"{rounded(Fraction(ticks, TICKS_PER_INCH), 3)} in"
    return f"about {length_text(to_sixteenth(ticks))}"


def to_sixteenth(ticks: Length) -> Length:
    """The nearest 1/16 in, half up."""
    step = TICKS_PER_INCH // 16
    return (2 * ticks + step) // (2 * step) * step


@lru_cache(maxsize=_KEPT)
def inches(ticks: Length) -> str:
    """Decimal inches for the printed JSON, no trailing zeros.

    Exact where the decimal ends (every length given in inches); a length that came from millimetres is rounded half
    up to 4 decimals here and nowhere before.
    """
    if ticks % _DECIMAL_INCH == 0:
        return _decimal_text(ticks // _DECIMAL_INCH * 15_625, 10)
    return rounded(Fraction(ticks, TICKS_PER_INCH))


def millimetres(ticks: Length) -> str:
    """Decimal millimetres, exact (every tick ends within seven decimals), no trailing zeros."""
    return _plain(Fraction(ticks, TICKS_PER_MM))


def _decimal_text(scaled: int, places: int) -> str:
    """`scaled` / 10^places as decimal text without trailing zeros."""
    sign = "-" if scaled < 0 else ""
    whole, rest = divmod(abs(scaled), 10**places)
    return f"{sign}{whole}.{rest:0{places}d}".rstrip("0").rstrip(".")


def square_feet(square_ticks: Fraction | int) -> Fraction:
    """An area in square ticks as exact square feet."""
    return Fraction(square_ticks) / SQUARE_TICKS_PER_SQUARE_FOOT


def rounded(value: Fraction | int, places: int = 4) -> str:
    """Decimal text of an exact fraction, rounded half away from zero to `places`, no trailing zeros."""
    top = abs(value.numerator) * 10**places * 2 + value.denominator
    whole = top // (2 * value.denominator)
    return _decimal_text(-whole if value < 0 else whole, places)


def _plain(value: Fraction) -> str:
    """Decimal text of a fraction whose decimal ends within 12 places (any number of ticks, in millimetres)."""
    return _decimal_text(value.numerator * (10**12 // value.denominator), 12)
