"""How figures, money and days are set in each language: marks and money from the CLDR by Babel, places from
`jobs.figures`.

Babel is asked once for each language and currency; after that a figure is set by putting its marks in. Day's patterns
are ours, shorter than the CLDR's, with its names of months and days.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import lru_cache

from babel import Locale
from babel.dates import get_day_names, get_month_names
from babel.numbers import format_currency, get_decimal_symbol, get_group_symbol

from jobs import figures
from jobs.figures import Marks

# The place whose habits of writing a language follows, by the money a statement is in.
PLACES = {
    ("en", "USD"): "en_US",
    ("en", "CAD"): "en_CA",
    ("es", "USD"): "es_US",
    ("es", "CAD"): "es_US",
    ("fr", "USD"): "fr_CA",
    ("fr", "CAD"): "fr_CA",
}
_DAYS = {"en": "{day} {month} {year}", "es": "{day} de {month} de {year}", "fr": "{day} {month} {year}"}
_FIRST = {"fr": "1er"}  # the first of a month is an ordinal in French
_NARROW, _FIXED = "\u202f", "\u00a0"  # the wide space is in every typeface


@dataclass(frozen=True, slots=True)
class Places:
    """Everything that setting a figure needs in one language and currency."""

    language: str
    currency: str
    marks: Marks
    before: str
    after: str
    months: tuple[str, ...]
    weekdays: tuple[str, ...]

    def quantity(self, value: Decimal) -> str:
        return self.marks.set(figures.quantity(value))

    def hours(self, value: Decimal) -> str:
        return self.marks.set(figures.hours(value))

    def rate(self, value: Decimal) -> str:
        return self.marks.set(figures.rate(value))

    def agreed_rate(self, value: Decimal) -> str:
        return self.marks.set(figures.agreed_rate(value))

    def money(self, value: Decimal) -> str:
        """An amount without its currency, which stands once over the column."""
        return self.marks.set(figures.money(value))

    def amount(self, value: Decimal) -> str:
        """An amount with its currency: $575.30, 575,30 $."""
        sign, size = ("-", -value) if value < 0 else ("", value)
        return f"{sign}{self.before}{self.money(size)}{self.after}"

    def day(self, day: date) -> str:
        number = _FIRST.get(self.language, "1") if day.day == 1 else str(day.day)
        return _DAYS[self.language].format(day=number, month=self.months[day.month - 1], year=day.year)

    def weekday(self, day: date) -> str:
        """The short name of the day: Mon, lun, lun."""
        return self.weekdays[day.weekday()]


@lru_cache(maxsize=64)
def places_of(language: str, currency: str) -> Places:
    """The habits of a language for money of a currency; one without a place of its own is written by its code."""
    locale = Locale.parse(PLACES.get((language, currency), PLACES[(language, "USD")]))
    sample = format_currency(Decimal("1"), currency, locale=locale)
    decimals = get_decimal_symbol(locale)
    before, _, after = sample.partition(f"1{decimals}00")
    if len(before) == 3 and before.isalpha():
        before += _FIXED
    months = get_month_names("wide", locale=locale)
    days = get_day_names("abbreviated", locale=locale)
    return Places(
        language=language,
        currency=currency,
        marks=Marks(get_group_symbol(locale).replace(_NARROW, _FIXED), decimals),
        before=before.replace(_NARROW, _FIXED),
        after=after.replace(_NARROW, _FIXED),
        months=tuple(months[number] for number in range(1, 13)),
        weekdays=tuple(days[number].rstrip(".") for number in range(7)),
    )
