"""The values of the law that a closed week used, as a book to price its corrections with."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from fractions import Fraction
from typing import Any

from payroll.law import ParameterBook, ParameterValue, the_book
from payroll.law.parameter_book import HOW_CHECKED

_HOW = {words: how for how, words in HOW_CHECKED.items()}


def book_of(stored: Sequence[dict[str, Any]]) -> ParameterBook:
    """The shipped rules with the stored values: a name that was stored knows no other value than those.

    So a data correction of a closed week is priced with what that week used, even after a value was mended since.
    Names that the week did not use keep their shipped values.
    """
    shipped = the_book()
    own = tuple(_value(one) for one in stored)
    known = {(value.jurisdiction, value.name) for value in own}
    others = tuple(value for value in shipped.values if (value.jurisdiction, value.name) not in known)
    return ParameterBook(own + others, shipped.rules)


def _value(stored: dict[str, Any]) -> ParameterValue:
    return ParameterValue(
        jurisdiction=stored["jurisdiction"],
        name=stored["name"],
        unit=stored["unit"],
        value=Fraction(stored["value"]),
        text=stored["value"],
        starts=date.fromisoformat(stored["from"]),
        status=stored["status"],
        cite=stored["cite"],
        checked_on=date.fromisoformat(stored["checked_on"]),
        checked_how=_HOW[stored["checked"]],
    )
