"""Template filters over `payroll.reports.numbers`."""

from __future__ import annotations

from decimal import Decimal

from django import template

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
