"""How figures are printed: exact decimals in tabular figures, never a float."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

SYMBOLS = {"USD": "$", "CAD": "$", "GBP": "\u00a3", "EUR": "\u20ac"}


def plain(value: Decimal, least: int = 2, most: int = 4) -> str:
    """Print with thousands commas and `least` to `most` decimals, rounded half up: 1,228.00, 7.6525."""
    rounded = value.quantize(Decimal(1).scaleb(-most), rounding=ROUND_HALF_UP)
    whole, _, decimals = f"{rounded:,f}".partition(".")
    kept = decimals.rstrip("0").ljust(least, "0")
    return f"{whole}.{kept}" if kept else whole


def money(value: Decimal) -> str:
    """Print an amount with its two decimals, and a leading hyphen-minus when it is negative."""
    return f"{value:,.2f}"


def with_symbol(value: Decimal, currency: str) -> str:
    """Print an amount with its currency: $575.30, and for a currency without a symbol here 575.30 CHF."""
    symbol = SYMBOLS.get(currency)
    sign, size = ("-", -value) if value < 0 else ("", value)
    return f"{sign}{symbol}{money(size)}" if symbol else f"{sign}{money(size)} {currency}"


def count(value: Decimal) -> str:
    """Print a quantity: whole numbers without decimals, others with two to four."""
    return f"{value:,.0f}" if value == value.to_integral_value() else plain(value)
