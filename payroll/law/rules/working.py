"""A week on its way through the steps: what was looked up, the lines so far, and the exact sums later steps need."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction

from payroll.law import explain
from payroll.law import week as w
from payroll.law.earnings import NONE, Hours, paid
from payroll.law.money import ZERO
from payroll.law.parameter_book import ParameterBook, ParameterValue


@dataclass(frozen=True, slots=True)
class Minimum:
    """The minimum wage of a day: the parameter's, or a higher one of the place with its ground."""

    rate: Fraction
    value: ParameterValue
    local: str = ""

    @property
    def ground(self) -> str:
        return self.local or self.value.cite


@dataclass(slots=True)
class Working:
    """Everything a step may read; steps add to `lines`, `floors`, `cautions` and the exact sums.

    `pieces`, `other`, `bonuses`, `flat` (bonuses of a set sum) and `added` (top-ups) make up the regular rate;
    `uncounted` is what lines hold that does not count towards the minimum wage, in cents; `unagreed` what an hour of
    other time without an agreed rate earns on each day. `law` and `break_law` hold the parameters in force on the
    week's first day, by name.
    """

    week: w.WorkerWeek
    book: ParameterBook
    place: str
    hours: Hours
    minimums: dict[date, Minimum]
    law: dict[str, ParameterValue]
    break_law: dict[str, ParameterValue] = field(default_factory=dict)
    lines: list[w.Line] = field(default_factory=list)
    floors: list[w.Floor] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)
    pieces: Fraction = NONE
    other: Fraction = NONE
    bonuses: Fraction = NONE
    flat: Fraction = NONE
    added: Fraction = NONE
    uncounted: Decimal = ZERO
    unagreed: dict[date, Fraction] = field(default_factory=dict)

    def because(self, code: str, working: str = "", *parameters: ParameterValue) -> w.Because:
        return explain.because(self.book, self.place, code, working, parameters)

    @property
    def counted(self) -> Decimal:
        """What the lines so far pay towards the minimum wage, in cents."""
        return paid(self.lines) - self.uncounted

    @property
    def straight(self) -> Fraction:
        """All pay that belongs to the regular rate, exact."""
        return self.pieces + self.other + self.bonuses + self.flat + self.added


def minimums_of(week: w.WorkerWeek, days: tuple[date, ...], book: ParameterBook, place: str) -> dict[date, Minimum]:
    """The minimum wage of each day.

    Raises ParameterMissing for a day before the first known one, or after the law has set it anew unless an override
    that came later tells the new one.
    """
    found = {}
    overrides = (*((week.minimum_wage,) if week.minimum_wage is not None else ()), *week.local_minimums)
    for day in days:
        told = [override for override in overrides if override.day in (None, day)]
        newer = max((override.starts or day for override in told), default=None)
        value = book.at(place, "minimum_wage", day, newer=newer)
        found[day] = Minimum(value.value, value)
        for override in told:
            if override.rate > found[day].rate:
                found[day] = Minimum(Fraction(override.rate), value, override.why)
    return found
