"""Figures of an English paper, page or message: places from `jobs.figures`, thousands apart by commas."""

from __future__ import annotations

from decimal import Decimal

from jobs import figures
from jobs.figures import ENGLISH

SYMBOLS = {"USD": "$", "CAD": "$", "GBP": "\u00a3", "EUR": "\u20ac"}


def money(value: Decimal) -> str:
    """An amount with its two decimals, and a leading hyphen-minus when it is negative."""
    return ENGLISH.set(figures.money(value))


def with_symbol(value: Decimal, currency: str) -> str:
    """An amount with its currency: $575.30, and for a currency without a symbol here 575.30 CHF."""
    symbol = SYMBOLS.get(currency)
    sign, size = ("-", -value) if value < 0 else ("", value)
    return f"{sign}{symbol}{money(size)}" if symbol else f"{sign}{money(size)} {currency}"


def hundredths(value: Decimal) -> str:
    return ENGLISH.set(figures.hundredths(value))


def hours(value: Decimal) -> str:
    return ENGLISH.set(figures.hours(value))


def rate(value: Decimal) -> str:
    """A rate for reading: 0.9990, 0.96."""
    return ENGLISH.set(figures.rate(value))


def agreed_rate(value: Decimal) -> str:
    """A rate that was agreed, with every decimal it has."""
    return ENGLISH.set(figures.agreed_rate(value))


def quantity(value: Decimal) -> str:
    """A quantity without needless zeros."""
    return ENGLISH.set(figures.quantity(value))
