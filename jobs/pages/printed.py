"""How pages print figures: feet and inches with real fractions, quantities, money, time. Exact, never a float."""

from __future__ import annotations

import re
from datetime import date
from decimal import ROUND_HALF_UP, Decimal, InvalidOperation
from fractions import Fraction

from jobs import figures

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_OVER = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")
_UNDER = str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉")
# A fraction of an inch: followed by its mark, or by the word.
_INCHES = re.compile(r"\b(\d{1,3})/(\d{1,2})(\"| in\b)")
_WITHIN_WORD = re.compile(r"(?<=[^\W\d_])'(?=[^\W\d_])")
_PRIMES = str.maketrans({'"': "″", "'": "′"})
FINEST = 64
MM_PER_INCH = Fraction(254, 10)


def feet_inches(inches: str | Decimal | None, metric: bool = False) -> str:
    """Decimal inches as feet, inches and a fraction: '121.8125' -> 10′-1 ¹³⁄₁₆″; below one foot inches alone.

    What is no multiple of 1/64 in was not drawn in inches: it is printed to the nearest 1/16 with 'about'. In metric,
    millimetres.
    """
    if inches is None or inches == "":
        return ""
    exact = Fraction(inches)
    if metric:
        return f"{tidy(Decimal(round(exact * MM_PER_INCH * 10)) / 10)} mm"
    about = "" if (exact * FINEST).denominator == 1 else "about "
    shown = exact if not about else Fraction(round(exact * 16), 16)
    sign, size = ("-", -shown) if shown < 0 else ("", shown)
    feet, rest = divmod(size, 12)
    return f"{about}{sign}{f'{feet}′-' if feet else ''}{_whole_and_fraction(rest)}″"


def set_fractions(text: str) -> str:
    """A sentence of the engine with its lengths set like ours: 10'-1 13/16" -> 10′-1 ¹³⁄₁₆″; "reader's" stays."""
    set_so = _INCHES.sub(lambda found: f"{_fraction(found[1], found[2])}{found[3]}", text)
    return _WITHIN_WORD.sub("’", set_so).translate(_PRIMES)


def _fraction(over: int | str, under: int | str) -> str:
    return f"{str(over).translate(_OVER)}⁄{str(under).translate(_UNDER)}"


def _whole_and_fraction(size: Fraction) -> str:
    whole, rest = divmod(size, 1)
    if not rest:
        return str(whole)
    fraction = _fraction(rest.numerator, rest.denominator)
    return f"{whole} {fraction}" if whole else fraction


def tidy(value: Decimal | int | str | Fraction | None) -> str:
    """A figure without needless zeros, thousands apart, at most four decimals: 1228.5000 -> 1,228.5."""
    if value is None or value == "":
        return ""
    try:
        number = Decimal(value.numerator) / value.denominator if isinstance(value, Fraction) else Decimal(value)
    except InvalidOperation:
        return str(value)
    return figures.ENGLISH.set(figures.quantity(number))


def to_hundredths(value: Decimal) -> str:
    """A figure to two decimals, halves up, for a summary whose exact figures stand elsewhere."""
    return tidy(value.quantize(Decimal("0.01"), rounding=ROUND_HALF_UP))


def money(value: Decimal | str | None) -> str:
    """Two decimals, thousands apart."""
    return "" if value is None or value == "" else figures.ENGLISH.set(figures.money(Decimal(value)))


def clock(minutes: int) -> str:
    """Minutes as hours and minutes: 450 -> 7:30."""
    return f"{minutes // 60}:{minutes % 60:02d}"


def day(value: date) -> str:
    """Mon 23 Nov 2026."""
    return f"{DAYS[value.weekday()]} {value.day} {MONTHS[value.month - 1]} {value.year}"


def span(first: date, last: date) -> str:
    """23 to 29 Nov 2026; both months, or years, where they differ."""
    end = f"{last.day} {MONTHS[last.month - 1]} {last.year}"
    if first.year != last.year:
        return f"{first.day} {MONTHS[first.month - 1]} {first.year} to {end}"
    return f"{first.day} to {end}" if first.month == last.month else f"{first.day} {MONTHS[first.month - 1]} to {end}"


def hundredths(part: Decimal, whole: Decimal) -> int:
    """How many hundredths of the whole the part is; 100 only when nothing is missing, 0 only when nothing is there."""
    if whole <= 0 or part <= 0:
        return 0 if part <= 0 else 100
    if part >= whole:
        return 100
    return min(99, max(1, int(part * 100 / whole)))
