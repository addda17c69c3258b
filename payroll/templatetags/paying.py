"""Template filters over `payroll.reports.numbers`."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from django import template

from payroll.law.certified import CertifiedRow
from payroll.law.certified_days import DayHours
from payroll.reports.numbers import plain, with_symbol
from payroll.reports.wording import ENGLISH

register = template.Library()


@register.filter
def currency(amount: Decimal | str, code: str) -> str:
    """An amount with its currency: $575.30."""
    return with_symbol(Decimal(amount), code)


@register.filter
def rate(amount: Decimal | str | None) -> str:
    """A rate or hours: two decimals at least, six at most."""
    return "" if amount is None or amount == "" else plain(Decimal(amount), most=6)


@register.filter
def kind_of_time(kind: str) -> str:
    return ENGLISH.kinds.get(kind, kind)


@register.filter
def hundredth(exact: Fraction | None) -> str:
    """Hours or an hourly figure to the hundredth, halves up; nothing for zero."""
    return plain(Decimal(exact.numerator) / exact.denominator, most=2) if exact else ""


@register.filter
def days_beside(row: CertifiedRow) -> list[tuple[DayHours, Fraction]]:
    """Each day on the job beside the hours of that day on all work."""
    return list(zip(row.days, row.days_in_all, strict=True))
