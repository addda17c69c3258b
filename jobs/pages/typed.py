"""Reading what people type: quantities in the unit they speak, hours, dates. A sentence for what cannot be read."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal
from fractions import Fraction

from jobs.days import NoDay, day_told
from jobs.spoken import Number, number_said

LONGEST = 60


class Unreadable(ValueError):
    """What was typed is no value of its kind; the message is a whole sentence with the next step."""


def read_number(text: str, unit: str) -> Number:
    """A number as people say it: 12.5, 10 1/2, or feet and inches. Raises Unreadable."""
    said = text.strip()
    example = "Write a number such as 12.5 or 10 1/2" + (" or 12'-6\"." if unit == "LF" else ".")
    if not said:
        raise Unreadable(f"No quantity was given. {example}")
    number = number_said(said)
    if number is None:
        raise Unreadable(f"“{said[:LONGEST]}” is no quantity in {unit}. {example}")
    if number.value >= 10**9:
        raise Unreadable("That is more than any work unit measures. Check the number.")
    return number


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
    if not text.strip():
        raise Unreadable("No date was given. Write it as 2026-11-23.")
    try:
        return day_told(text.strip())
    except NoDay as wrong:
        raise Unreadable(f"“{text.strip()[:LONGEST]}” {wrong}") from None


def read_weight(text: str) -> Decimal:
    """A person's parts of an entry, 1 where nothing is typed. Raises Unreadable."""
    said = text.strip() or "1"
    if not re.fullmatch(r"[0-9]{1,7}(\.[0-9]{1,4})?", said) or Decimal(said) == 0:
        raise Unreadable(f"“{said[:LONGEST]}” is no number of parts. Write a number above 0, such as 1 or 0.5.")
    return Decimal(said)
