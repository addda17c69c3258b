"""Figures in words: how exact fractions are written so that a sum can be followed with a pencil.

A figure that ends within six decimals is written whole. One that does not is written with four and "about" before it;
the sum goes on with the exact fraction.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from payroll.law.parameter_book import ParameterBook, ParameterValue
from payroll.law.week import Because

_READING_PLACES = 4
_WHOLE_PLACES = 6


@lru_cache(maxsize=65536)
def plain(figure: Fraction, least_places: int = 0) -> str:
    """A figure as a decimal: whole if it ends within six places, else rounded half up to four for reading."""
    places = _WHOLE_PLACES if ends(figure) else _READING_PLACES
    scaled = figure * 10**places
    whole = (2 * abs(scaled.numerator) + scaled.denominator) // (2 * scaled.denominator)
    units, decimals = divmod(whole, 10**places)
    digits = f"{decimals:0{places}d}".rstrip("0").ljust(least_places, "0")
    sign = "-" if figure < 0 else ""
    return f"{sign}{units}.{digits}" if digits else f"{sign}{units}"


def ends(figure: Fraction) -> bool:
    """Whether six decimals hold the figure whole."""
    whole: int = 10**_WHOLE_PLACES
    return whole % figure.denominator == 0


@lru_cache(maxsize=65536)
def said(figure: Fraction, least_places: int = 0) -> str:
    """A figure in a sentence: "about" stands before one that goes on."""
    text = plain(figure, least_places)
    return text if ends(figure) else f"about {text}"


@lru_cache(maxsize=65536)
def clock(hours: Fraction) -> str:
    """Hours in a sentence: `7.5 h`, or `6:20 h` where the decimals would not end but the minutes do."""
    if ends(hours) or 60 % hours.denominator:
        return f"{said(hours)} h"
    minutes = abs(hours.numerator) * (60 // hours.denominator)
    return f"{'-' if hours < 0 else ''}{minutes // 60}:{minutes % 60:02d} h"


def money(figure: Fraction | Decimal) -> str:
    """An amount or a rate in a sentence, with two decimals at least."""
    return said(Fraction(figure), 2)


def rate(figure: Fraction) -> str:
    """A rate as it is printed: two decimals at least, for reading only."""
    return plain(figure, 2)


def added(parts: Iterable[Fraction | Decimal]) -> str:
    """A sum written out: `(491.00 + 32.00)`; nothing is left out but zeros."""
    shown = [money(part) for part in parts if part]
    return f"({' + '.join(shown)})" if len(shown) > 1 else "".join(shown) or "0.00"


def because(
    book: ParameterBook, jurisdiction: str, code: str, working: str = "", parameters: tuple[ParameterValue, ...] = ()
) -> Because:
    """The reason with a rule's words, citation and check from the book. Raises ParameterMissing for an unknown code."""
    rule = book.rule(jurisdiction, code)
    return Because(code, rule.text, rule.cite, rule.checked, working, parameters)
