"""One worker's workweek going in, and the same week priced coming out. Frozen values, nothing else.

Units: hours, quantities and rates of a line are exact fractions; rates agreed with the worker are decimals of money an
hour or a unit; amounts are decimals of money with two places. Dates are calendar dates of the job's own time zone.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from payroll.law.parameter_book import ParameterValue

PIECE_TIME = "piece"
OTHER_TIME = ("waiting", "travel", "meeting", "rework", "rest")
UNPAID_TIME = "meal"
TIME_KINDS = (PIECE_TIME, *OTHER_TIME, UNPAID_TIME)
BONUS_KINDS = ("production", "flat", "discretionary")
BREAK_KINDS = ("meal", "rest")
GUARANTEE_HOURS = ("productive", "all")


class WeekMistakes(ValueError):
    """A week that cannot be priced. `mistakes` holds one sentence each: thing, value, reason, next step."""

    def __init__(self, mistakes: list[str] | tuple[str, ...]) -> None:
        self.mistakes = tuple(mistakes)
        super().__init__("\n".join(self.mistakes))


@dataclass(frozen=True, slots=True)
class PieceWork:
    """Units finished on a day. `hours` of that day went into them; `first_hour` is how many hours the worker had
    already worked that day (of any kind) when they were begun. Both only where a rule needs to know."""

    date: date
    operation: str
    quantity: Fraction
    unit: str
    rate: Decimal
    job: str = ""
    hours: Fraction | None = None
    first_hour: Fraction | None = None


@dataclass(frozen=True, slots=True)
class TimeWorked:
    """Hours of one kind on a day. `rate` is the rate agreed for that time; None leaves it to the rule set."""

    date: date
    kind: str
    hours: Fraction
    rate: Decimal | None = None
    job: str = ""


@dataclass(frozen=True, slots=True)
class Bonus:
    """A sum on top: `production` (for output), `flat` (a set sum) or `discretionary` (never promised)."""

    date: date
    amount: Decimal
    kind: str
    why: str


@dataclass(frozen=True, slots=True)
class Deduction:
    """A back-charge somebody asks for. Rule sets refuse it, or cap it, with their citation."""

    date: date
    amount: Decimal
    why: str


@dataclass(frozen=True, slots=True)
class MissedBreak:
    """A day on which a meal period or the rests (`kind` meal or rest) were not provided, as the office records it."""

    date: date
    kind: str
    why: str = ""


@dataclass(frozen=True, slots=True)
class PartGuarantee:
    """An hourly guarantee that holds on some days of a week only: tested on their hours and earnings alone."""

    rate: Decimal
    hours: str
    days: tuple[date, ...]


@dataclass(frozen=True, slots=True)
class Terms:
    """What was agreed with the worker before the work. Without an agreement, the rule set's own rule holds.

    `hourly_guarantee` holds for the whole week, each of `part_guarantees` for days of it: give one or the other.
    """

    hourly_guarantee: Decimal | None = None
    guarantee_hours: str = "productive"
    pieces_cover_all_hours: bool = False
    overtime_on_piece_rate: bool = False
    part_guarantees: tuple[PartGuarantee, ...] = ()


@dataclass(frozen=True, slots=True)
class PrevailingWork:
    """The part of the week's hours and piece earnings that fell on one prevailing-rate job: of which, not on top."""

    job: str
    worker_class: str
    basic: Decimal
    fringe: Decimal
    hours: Fraction
    pieces: Decimal
    fringe_to_plan: Decimal = Decimal("0")
    overtime_hours: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True)
class Override:
    """A minimum wage of the place, above the rule set's own: money an hour, and the ordinance that asks for it.

    `day` limits it to a day of the week, as where work moved into another city or an ordinance changed in the week.
    `starts`, where it is known, is the first day from which the ordinance asks for it.
    """

    rate: Decimal
    why: str
    day: date | None = None
    starts: date | None = None


@dataclass(frozen=True, slots=True)
class WeekBefore:
    """The workweek before this one in the same pay period, as its statement has it: all its hours, those of them that
    were overtime and double, the wages its regular rate was made of, and what was paid on top for such hours."""

    hours: Fraction
    overtime: Fraction
    double: Fraction
    wages: Fraction
    premiums: Decimal


@dataclass(frozen=True, slots=True)
class WorkerWeek:
    """Everything one worker did and agreed to in one workweek. `time_zone` (an IANA name) is needed only for a day of
    23 or 25 hours; `readings` names contested readings of the law that the office has chosen; `week_before` is
    the other workweek of the pay period, where a rule set reckons over it and work was done in both."""

    rules: str
    week_start: date
    worker_name: str
    worker_class: str
    pieces: tuple[PieceWork, ...]
    hours: tuple[TimeWorked, ...]
    bonuses: tuple[Bonus, ...] = ()
    terms: Terms = Terms()
    prevailing: tuple[PrevailingWork, ...] = ()
    minimum_wage: Override | None = None
    deductions: tuple[Deduction, ...] = ()
    time_zone: str = ""
    readings: tuple[str, ...] = ()
    missed_breaks: tuple[MissedBreak, ...] = ()
    local_minimums: tuple[Override, ...] = ()
    week_before: WeekBefore | None = None


@dataclass(frozen=True, slots=True)
class Because:
    """Why a figure is what it is: the rule in plain words, its citation and how that was checked, the sum worked out,
    and the parameter values that went into it."""

    code: str
    rule: str
    cite: str
    checked: str
    working: str = ""
    parameters: tuple[ParameterValue, ...] = ()


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a statement: `amount` is `quantity` x `rate`, rounded once."""

    code: str
    text: str
    quantity: Fraction
    unit: str
    rate: Fraction
    amount: Decimal
    because: tuple[Because, ...]
    job: str = ""
    operation: str = ""


@dataclass(frozen=True, slots=True)
class WeekHours:
    """Hours worked; `overtime` does not contain `double`."""

    total: Fraction
    overtime: Fraction
    double: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True)
class Floor:
    """A test that the pay must pass: what is required, what the lines that count come to, and what was added."""

    code: str
    text: str
    required: Decimal
    paid: Decimal
    top_up: Decimal
    because: tuple[Because, ...]

    @property
    def met(self) -> bool:
        return self.top_up == 0


@dataclass(frozen=True, slots=True)
class PricedWeek:
    """A statement in figures. `gross` is the sum of `lines`, always. `regular_rate` is None where no hours were worked
    or where overtime was not paid by it. `parameters` are all dated values used, so that a later correction can reuse
    them."""

    lines: tuple[Line, ...]
    hours: WeekHours
    regular_rate: Fraction | None
    floors: tuple[Floor, ...]
    gross: Decimal
    rules_version: str
    cautions: tuple[str, ...]
    parameters: tuple[ParameterValue, ...]
    currency: str
    regular_rate_because: tuple[Because, ...] = ()
