"""Reading what people type: quantities in the unit they speak, hours, dates. A sentence for what cannot be read."""

from __future__ import annotations

import re
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

STEP = Decimal("0.0001")
LONGEST = 60
_PLAIN = re.compile(r"\d{1,3}(,\d{3})+(\.\d+)?|\d+(\.\d*)?|\.\d+", re.ASCII)
_FRACTION = r"(?:(?P<whole>\d+)(?=\s|$|\"))?\s*(?:(?P<over>\d+)\s*/\s*(?P<under>[1-9]\d*))?"
_INCHES = re.compile(rf"(?:(?P<feet>\d+)\s*'\s*-?\s*)?(?:{_FRACTION}\s*\"?)?", re.ASCII)
_MARKS = str.maketrans({"′": "'", "’": "'", "″": '"', "”": '"', "⁄": "/"})


class Unreadable(ValueError):
    """What was typed is no value of its kind; the message is a whole sentence with the next step."""


def read_quantity(text: str, unit: str) -> Decimal:
    """A quantity with four decimals at most, halves up; by the foot also 12'-6 1/2". Raises Unreadable."""
    said = text.strip().translate(_MARKS)
    example = "Write a number such as 12.5" + (" or 12'-6\"." if unit == "LF" else ".")
    if not said:
        raise Unreadable(f"No quantity was given. {example}")
    if len(said) <= LONGEST and _PLAIN.fullmatch(said):
        return _rounded(Fraction(said.replace(",", "")))
    if unit == "LF" and len(said) <= LONGEST and "'" in said and (found := _INCHES.fullmatch(said)):
        return _rounded(_feet(found))
    raise Unreadable(f"“{said[:LONGEST]}” is no quantity in {unit}. {example}")


def _feet(found: re.Match[str]) -> Fraction:
    inches = Fraction(int(found["whole"] or 0))
    if found["over"]:
        inches += Fraction(int(found["over"]), int(found["under"]))
    return int(found["feet"]) + inches / 12


def _rounded(exact: Fraction) -> Decimal:
    if exact >= 10**9:
        raise Unreadable("That is more than any work unit measures. Check the number.")
    return (Decimal(exact.numerator) / exact.denominator).quantize(STEP, rounding=ROUND_HALF_UP)


def read_rate(text: str) -> Decimal:
    """Money for a unit or an hour, digits and a point alone, six decimals at most. Raises Unreadable."""
    said = text.strip()
    if not said:
        raise Unreadable("No amount was given. Write it as 0.42 or 21.50.")
    if not re.fullmatch(r"[0-9]{1,8}(\.[0-9]{1,6})?", said):
        raise Unreadable(
            f"“{said[:LONGEST]}” is no amount of ours. Write digits and a decimal point alone, six decimals at most, "
            "such as 0.42 or 21.50."
        )
    return Decimal(said)


def read_minutes(text: str) -> int:
    """Hours such as 8, 7.5 or 7:30 as whole minutes. Raises Unreadable."""
    said = text.strip()
    if found := re.fullmatch(r"([0-9]{1,2}):([0-5][0-9])", said):
        return int(found[1]) * 60 + int(found[2])
    if not re.fullmatch(r"[0-9]{1,2}(\.[0-9]{1,4})?", said):
        raise Unreadable(f"“{said[:LONGEST]}” is no time. Write hours such as 8, 7.5 or 7:30.")
    minutes = Fraction(said) * 60
    if minutes.denominator != 1:
        raise Unreadable(f"{said} h is {float(minutes):.2f} minutes. Write whole minutes, such as 7:25.")
    return int(minutes)


def read_day(text: str) -> date:
    """A date as the browser sends it. Raises Unreadable."""
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise Unreadable(f"“{text.strip()[:LONGEST]}” is no date. Write it as 2026-11-23.") from None


def read_weight(text: str) -> Decimal:
    """A person's parts of an entry, 1 where nothing is typed. Raises Unreadable."""
    said = text.strip() or "1"
    if not re.fullmatch(r"[0-9]{1,7}(\.[0-9]{1,4})?", said) or Decimal(said) == 0:
        raise Unreadable(f"“{said[:LONGEST]}” is no number of parts. Write a number above 0, such as 1 or 0.5.")
    return Decimal(said)
