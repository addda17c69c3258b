"""The rule sets, by name.

To add one, write a module with `PLACE`, `check(week, book)` and `price(week, book)`, add its parameter files, and enter
it in `RULE_SETS`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from payroll.law.parameter_book import ParameterBook
from payroll.law.rules import ca_alberta, ca_british_columbia, ca_ontario, us_california, us_federal
from payroll.law.rules.steps import Place
from payroll.law.week import PricedWeek, WorkerWeek


@dataclass(frozen=True, slots=True)
class RuleSet:
    """A place's pay rules. `check` says what stands against a week; `price` prices one in which it found nothing."""

    place: Place
    check: Callable[[WorkerWeek, ParameterBook], list[str]]
    price: Callable[[WorkerWeek, ParameterBook], PricedWeek]

    @property
    def name(self) -> str:
        return self.place.name

    @property
    def version(self) -> str:
        """Changes whenever the arithmetic does; stored with every statement."""
        return self.place.version

    @property
    def currency(self) -> str:
        return self.place.currency


RULE_SETS: Mapping[str, RuleSet] = MappingProxyType(
    {
        module.PLACE.name: RuleSet(module.PLACE, module.check, module.price)
        for module in (us_federal, us_california, ca_ontario, ca_alberta, ca_british_columbia)
    }
)
NAMED = tuple(RULE_SETS)


def find(name: str) -> RuleSet:
    """The rule set of that name. Raises LookupError with a sentence."""
    if name in RULE_SETS:
        return RULE_SETS[name]
    raise LookupError(f"rules: {name!r} is not a rule set. Known: {', '.join(NAMED)}.")
