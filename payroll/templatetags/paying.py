"""Template filters over `payroll.reports.numbers` in English, and over a statement's words in its language."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction

from django import template

from payroll.law.certified import CertifiedRow
from payroll.law.certified_days import DayHours
from payroll.reports import numbers
from payroll.reports.figures import PayLine
from payroll.reports.wording import ENGLISH, Words

register = template.Library()


@register.filter
def currency(amount: Decimal | str, code: str) -> str:
    """An amount with its currency: $575.30."""
    return numbers.with_symbol(Decimal(amount), code)


@register.filter
def rate(amount: Decimal | str | None) -> str:
    """A rate for reading: two decimals, or four."""
    return "" if amount is None or amount == "" else numbers.rate(Decimal(amount))


@register.filter
def hours(amount: Decimal | str | None) -> str:
    """Hours: two decimals, or four."""
    return "" if amount is None or amount == "" else numbers.hours(Decimal(amount))


@register.filter
def kind_of_time(kind: str) -> str:
    return ENGLISH.kind(kind)


@register.filter
def hundredth(exact: Fraction | None) -> str:
    """Hours or an hourly figure to the hundredth, halves up; nothing for zero."""
    return numbers.hundredths(Decimal(exact.numerator) / exact.denominator) if exact else ""


@register.filter
def days_beside(row: CertifiedRow) -> list[tuple[DayHours, Fraction]]:
    """Each day on the job beside the hours of that day on all work."""
    return list(zip(row.days, row.days_in_all, strict=True))


@register.simple_tag
def say(words: Words, key: str, **values: object) -> str:
    """A label of the statement's language with its places filled in."""
    return words.label(key, **values)


@register.filter
def kind_in(kind: str, words: Words) -> str:
    return words.kind(kind)


@register.filter
def hours_in(value: Decimal, words: Words) -> str:
    return words.places.hours(value)


@register.filter
def rate_in(value: Decimal, words: Words) -> str:
    return words.places.rate(value)


@register.filter
def money_in(value: Decimal, words: Words) -> str:
    return words.places.money(value)


@register.filter
def amount_in(value: Decimal, words: Words) -> str:
    return words.amount(value)


@register.filter
def quantity_in(value: Decimal, words: Words) -> str:
    return words.places.quantity(value)


@register.filter
def day_in(value: date, words: Words) -> str:
    return words.day(value)


@register.filter
def line_quantity(line: PayLine, words: Words) -> str:
    """How much of it: hours as hours, anything else as a quantity."""
    return words.places.hours(line.quantity) if line.unit == "h" else words.places.quantity(line.quantity)


@register.filter
def line_rate(line: PayLine, words: Words) -> str:
    """An agreed rate whole, one that was worked out for reading."""
    return words.places.agreed_rate(line.rate) if line.work else words.places.rate(line.rate)
