"""The rule sets: which are there, and which the week file names but this version does not have.

To add one, write a module with `check(week, book)` and `price(week, book)` and its parameter files, and enter it in
`RULE_SETS`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from payroll.law.parameter_book import ParameterBook
from payroll.law.rules import us_federal
from payroll.law.week import PricedWeek, WorkerWeek


@dataclass(frozen=True, slots=True)
class RuleSet:
    """A place's pay rules: `version` changes whenever its arithmetic does, and is stored with every statement."""

    name: str
    version: str
    currency: str
    check: Callable[[WorkerWeek, ParameterBook], list[str]]
    price: Callable[[WorkerWeek, ParameterBook], PricedWeek]


RULE_SETS: Mapping[str, RuleSet] = MappingProxyType(
    {
        rule_set.name: rule_set
        for rule_set in (
            RuleSet(us_federal.NAME, us_federal.VERSION, us_federal.CURRENCY, us_federal.check, us_federal.price),
        )
    }
)
NAMED = ("us-federal", "us-california", "ca-ontario", "ca-alberta", "ca-british-columbia")


def find(name: str) -> RuleSet:
    """The rule set of that name. Raises LookupError with a sentence: unknown, or named but not in this version."""
    if name in RULE_SETS:
        return RULE_SETS[name]
    known = ", ".join(RULE_SETS)
    if name in NAMED:
        raise LookupError(f"rules: {name} is not available in this version. Available: {known}.")
    raise LookupError(
        f"rules: {name!r} is not a rule set. Known: {', '.join(NAMED)}; available in this version: {known}."
    )
