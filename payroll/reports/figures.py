"""What a statement is made of when it is printed: plain frozen values in one language, made by the selectors.

`text`s are in the statement's language, marked where they had to stay in English; figures are exact decimals, set by
the language's habits only when they are drawn.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class WorkDone:
    """The part of a pay line that one entry earned on a wall's work unit, cents included, and the ids to follow."""

    job: str
    level: str
    mark: str
    part: str
    worked_on: date
    quantity: Decimal
    amount: Decimal
    entry: str = ""
    job_id: int = 0
    wall_id: int | None = None
    work_unit_id: int = 0
    rate_id: int = 0


@dataclass(frozen=True, slots=True)
class ParameterUsed:
    """A number of the law that a reason used: its name in words, value and unit, first day, citation and check."""

    name: str
    value: str
    unit: str
    starts: date
    cite: str
    checked: str


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a figure is what it is: the sum worked out, the rule, its citation, how that was checked, its parameters."""

    code: str
    working: str
    rule: str
    cite: str
    checked: str
    parameters: tuple[ParameterUsed, ...] = ()

    @property
    def sentence(self) -> str:
        """The sum first, then the rule, its citation and how that was checked."""
        ground = ", ".join(part for part in (self.cite, self.checked) if part)
        rule = self.rule.rstrip(".") + (f" ({ground})." if ground else ".")
        return f"{self.working}. {rule}" if self.working else rule


@dataclass(frozen=True, slots=True)
class PayLine:
    """One line of a statement: quantity x rate = amount, why, and the walls behind it (empty for time and premiums)."""

    code: str
    text: str
    quantity: Decimal
    unit: str
    rate: Decimal
    amount: Decimal
    because: tuple[Reason, ...] = ()
    work: tuple[WorkDone, ...] = ()
    pays_statement: int | None = None


@dataclass(frozen=True, slots=True)
class FloorTested:
    """A floor that the rule set asks for: what had to be reached, what was, and what was added to reach it."""

    text: str
    required: Decimal
    reached: Decimal
    top_up: Decimal
    because: tuple[Reason, ...] = ()


@dataclass(frozen=True, slots=True)
class YearToDate:
    """Paid in the weeks of a year up to and with this statement; hours of the statements in force at its writing."""

    year: int
    weeks: int
    gross: Decimal
    hours: Decimal
    overtime: Decimal


@dataclass(frozen=True, slots=True)
class StatementFigures:
    """Everything printed on one statement. Money in the job's currency, hours and quantities exact to four decimals."""

    organisation: str
    organisation_address: str
    person: str
    person_number: str
    worker_class: str
    first_day: date
    last_day: date
    currency: str
    rules: str
    rules_version: str
    lines: tuple[PayLine, ...]
    hours_by_kind: tuple[tuple[str, Decimal], ...]
    hours_total: Decimal
    hours_overtime: Decimal
    hours_double: Decimal
    regular_rate: Decimal | None
    regular_rate_working: tuple[Reason, ...]
    floors: tuple[FloorTested, ...]
    gross: Decimal
    digest: str
    previous_digest: str
    closed_by: str = ""
    closed_on: date | None = None
    corrects: str = ""
    cautions: tuple[str, ...] = ()
    accent: str = "#000000"
    metric_paper: bool = False
    notes: tuple[str, ...] = field(default=())
    number: int = 0
    language: str = "en"
    hours_by_day: tuple[tuple[date, Decimal], ...] = ()
    year_to_date: YearToDate | None = None
    check_address: str = ""
