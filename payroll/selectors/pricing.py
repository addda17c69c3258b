"""From a person's logged week to the statement it makes: typed for `payroll.law`, priced, traced back to its jobs.

Nothing is written here; a preview and a closing both price with it. Money and quantities come out as decimals with the
places of their columns, exactly as they will be stored and hashed.

How lines are shared among jobs. A line that names its job is borne by it whole. Lines of the whole week (overtime
premium, minimum-wage top-up, guarantee, bonus) are shared by the hours the person was paid for on each job that week,
or, without hours, by his piece earnings there; to the cent, by largest remainder. In a week under several rule sets a
line of one of them is shared among the jobs under it.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from payroll.law import (
    Agreement,
    Floor,
    Line,
    ParameterBook,
    PricedPlaces,
    WeekMistakes,
    WorkerWeek,
    allot,
    price,
    price_places,
)
from payroll.law.agreements import COVERS_ALL, GUARANTEE, PIECE_OVERTIME
from payroll.law.report import because_json, parameter_json
from payroll.law.week import UNPAID_TIME
from payroll.selectors.gathered import Names, PersonWeek
from payroll.selectors.rates import rate_sentence
from payroll.selectors.typed_week import Part, jobs_of, typed_parts
from payroll.selectors.week_before import Before, before_of

QUANTITY, RATE = Decimal("0.0001"), Decimal("0.000001")
PieceKey = tuple[int, int, Decimal]  # job, operation, rate


@dataclass(frozen=True, slots=True)
class LineDraft:
    """A statement line before it is written. `piece` tells which entries earned it, `shares` which jobs bear it."""

    code: str
    text: str
    quantity: Decimal
    unit: str
    rate: Decimal
    amount: Decimal
    because: list[dict[str, Any]]
    job: int | None = None
    operation: int | None = None
    piece: PieceKey | None = None
    shares: tuple[tuple[int, Decimal], ...] = ()
    pays_number: int | None = None


@dataclass(frozen=True, slots=True)
class Draft:
    """A statement before it is written: its figures, its lines and the digest of the work behind it."""

    person: int
    worker_class: str
    rule_set: str
    rules_version: str
    currency: str
    lines: tuple[LineDraft, ...]
    hours: dict[str, Any]
    regular_rate: str
    regular_rate_because: list[dict[str, Any]]
    floors: list[dict[str, Any]]
    parameters: list[dict[str, Any]]
    cautions: list[str]
    work: str

    @property
    def gross(self) -> Decimal:
        return sum((line.amount for line in self.lines), Decimal("0.00"))

    @property
    def before(self) -> Before | None:
        """What it tells the week after it in the same pay period."""
        paid: defaultdict[str, Decimal] = defaultdict(Decimal)
        for line in self.lines:
            paid[line.code] += line.amount
        return before_of(self.rule_set, self.hours, self.regular_rate, paid)


@dataclass(frozen=True, slots=True)
class Stopped:
    """A person whose week cannot be priced, and why: one sentence a reason, each with the next step. `first_day` is the
    week's."""

    person: int
    name: str
    sentences: tuple[str, ...]
    first_day: date


def drafted(week: PersonWeek, first_day: date, names: Names, book: ParameterBook | None = None) -> Draft | Stopped:
    """Price one person's week. Whatever stands against it comes back as sentences and touches nobody else."""
    if sentences := missing_rate_sentences(week, names):
        return Stopped(week.person, week.name, tuple(sentences), first_day)
    try:
        parts = typed_parts(week, first_day, names, book)
        weeks = [part.week for part in parts]
        places = _one_place(weeks[0], book) if len(parts) == 1 else price_places(weeks, book)
    except WeekMistakes as refused:
        return Stopped(week.person, week.name, refused.mistakes, first_day)
    if sentences := _currencies(parts, places, names):
        return Stopped(week.person, week.name, tuple(sentences), first_day)
    return _draft(week, parts, places, names)


def _one_place(week: WorkerWeek, book: ParameterBook | None) -> PricedPlaces:
    priced = price(week, book)
    return PricedPlaces((priced,), (), priced.hours.total, priced.gross, priced.cautions)


def missing_rate_sentences(week: PersonWeek, names: Names) -> list[str]:
    """A sentence for each piece of work that no rate holds for."""
    return [
        f"{names.operations[piece.operation].name} on {names.jobs[piece.job].name}, {piece.worked_on}, "
        f"{piece.quantity.normalize():f} {names.operations[piece.operation].unit}: no rate holds for class "
        f"{week.worker_class} that day. Set one that starts on or before {piece.worked_on}."
        for piece in week.pieces
        if piece.rate is None
    ]


def _currencies(parts: list[Part], places: PricedPlaces, names: Names) -> list[str]:
    return [
        f"job {names.jobs[job].name} is kept in {names.jobs[job].currency}, but its rule set pays in "
        f"{priced.currency}. Give the job the currency of its rule set."
        for part, priced in zip(parts, places.parts, strict=True)
        for job in part.jobs
        if names.jobs[job].currency != priced.currency
    ]


def _draft(week: PersonWeek, parts: list[Part], places: PricedPlaces, names: Names) -> Draft:
    """The statement: the lines of each part, then those of the whole week. With several parts, what belongs to one as
    a whole says under which rule set it stands."""
    lines: list[LineDraft] = []
    floors: list[dict[str, Any]] = []
    several = len(parts) > 1
    for part, priced in zip(parts, places.parts, strict=True):
        said = f", {part.week.rules}" if several else ""
        known = _known(week, part.jobs, names)
        lines += [_line(line, week, known, part.used, names, said) for line in priced.lines]
        floors += [_floor(floor, said) for floor in priced.floors]
    if places.together:
        known = _known(week, tuple(jobs_of(week)), names)
        lines += [_line(line, week, known, (), names, "") for line in places.together]
    by_kind: defaultdict[str, Fraction] = defaultdict(Fraction)
    for time in week.times:
        by_kind[time.kind] += time.hours
    used = [value for priced in places.parts for value in priced.parameters]
    used += [value for line in places.together for reason in line.because for value in reason.parameters]
    one = places.parts[0]
    return Draft(
        person=week.person,
        worker_class=week.worker_class,
        rule_set=", ".join(part.week.rules for part in parts),
        rules_version=", ".join(priced.rules_version for priced in places.parts),
        currency=one.currency,
        lines=tuple(lines),
        hours={
            "total": str(places.hours),
            "overtime": str(sum(priced.hours.overtime for priced in places.parts)),
            "double": str(sum(priced.hours.double for priced in places.parts)),
            "by_kind": {kind: str(hours) for kind, hours in sorted(by_kind.items())},
        },
        regular_rate="" if several or one.regular_rate is None else str(one.regular_rate),
        regular_rate_because=[
            because_json(reason) for priced in places.parts for reason in priced.regular_rate_because
        ],
        floors=floors,
        parameters=[parameter_json(value) for value in dict.fromkeys(used)],
        cautions=[*places.cautions, *(caution for part in parts for caution in part.cautions)],
        work=week.work,
    )


def _floor(floor: Floor, said: str) -> dict[str, Any]:
    return {
        "code": floor.code,
        "text": floor.text + said,
        "required": str(floor.required),
        "paid": str(floor.paid),
        "top_up": str(floor.top_up),
        "because": [because_json(reason) for reason in floor.because],
    }


@dataclass(frozen=True, slots=True)
class _Known:
    """What the lines of a part refer to: jobs and operations by label, and the jobs that bear it by their weights."""

    jobs: dict[str, int]
    operations: dict[str, int]
    weights: list[tuple[int, Fraction]]


def _known(week: PersonWeek, jobs: tuple[int, ...], names: Names) -> _Known:
    return _Known(
        {names.job_labels[job]: job for job in jobs},
        {names.operation_labels[piece.operation]: piece.operation for piece in week.pieces},
        _weights(week, jobs),
    )


def _line(
    line: Line, week: PersonWeek, known: _Known, used: tuple[Agreement, ...], names: Names, said: str
) -> LineDraft:
    """A line as it is stored; `said` is added to the text of one that belongs to no job."""
    job = known.jobs.get(line.job) if line.job else None
    operation = known.operations.get(line.operation) if line.operation else None
    because = [*map(because_json, line.because), *_agreement_reasons(line, used)]
    piece = None
    if line.code == "piece" and job is not None and operation is not None:
        rate = Decimal(line.rate.numerator) / Decimal(line.rate.denominator)
        piece = (job, operation, rate.quantize(RATE))
        because = [*_rate_reasons(week, piece, names), *because]
    return LineDraft(
        code=line.code,
        text=line.text + (said if job is None else ""),
        quantity=rounded(line.quantity, QUANTITY),
        unit=line.unit,
        rate=rounded(line.rate, RATE),
        amount=line.amount,
        because=because,
        job=job,
        operation=operation,
        piece=piece,
        shares=((job, line.amount),) if job is not None else _borne(line.amount, known.weights),
    )


# What a line shows when an agreement made it: the reason's code, and the kind of agreement behind it.
_BY_AGREEMENT = {
    "guarantee": GUARANTEE,
    "other-time-covered": COVERS_ALL,
    "overtime-on-piece-rate": PIECE_OVERTIME,
    "overtime-on-hourly-rate": PIECE_OVERTIME,
    "overtime-on-bonus": PIECE_OVERTIME,
}


def _agreement_reasons(line: Line, used: tuple[Agreement, ...]) -> list[dict[str, Any]]:
    """The agreements with the worker that a line rests on."""
    kinds = {_BY_AGREEMENT.get(reason.code) for reason in line.because}
    return [
        {
            "code": "agreement",
            "rule": f"{agreement_sentence(agreement)}.",
            "cite": "",
            "checked": "",
            "working": "",
            "parameters": [],
        }
        for agreement in used
        if agreement.kind in kinds
    ]


def agreement_sentence(one: Agreement) -> str:
    """`Agreement of 2026-01-05 with the worker: hourly guarantee, 21.00 an hour on productive hours, from ... on`."""
    figures = "" if one.rate is None else f", {one.rate} an hour on {one.hours} hours"
    until = f" to {one.ends_on}" if one.ends_on else " on"
    return f"Agreement of {one.signed_on} with the worker: {one.kind}{figures}, from {one.starts_on}{until}"


def _rate_reasons(week: PersonWeek, piece: PieceKey, names: Names) -> list[dict[str, Any]]:
    """Where a piece line's rate comes from: the organisation's own price list, not the law."""
    job, operation, amount = piece
    used = {
        day.rate_used
        for day in week.pieces
        if (day.job, day.operation) == (job, operation) and day.rate == amount and day.rate_used
    }
    thing = names.operations[operation]
    reasons = []
    for pk in sorted(used):
        rate = names.rates[pk]
        job_name = names.jobs[rate.job_id].name if rate.job_id else ""
        reasons.append(
            {
                "code": "rate",
                "rule": f"Rate set by the organisation for {rate_sentence(rate, thing.name, thing.unit, job_name)}.",
                "cite": "",
                "checked": "",
                "working": "",
                "parameters": [],
            }
        )
    return reasons


def _weights(week: PersonWeek, jobs: tuple[int, ...]) -> list[tuple[int, Fraction]]:
    """Paid hours by job, or piece earnings by job where there are no hours."""
    hours: defaultdict[int, Fraction] = defaultdict(Fraction)
    for time in week.times:
        if time.kind != UNPAID_TIME and time.job in jobs:
            hours[time.job] += time.hours
    if any(hours.values()):
        return sorted(hours.items())
    earned: defaultdict[int, Fraction] = defaultdict(Fraction)
    for piece in week.pieces:
        if piece.job in jobs:
            earned[piece.job] += Fraction(piece.quantity) * Fraction(piece.rate or 0)
    return sorted(earned.items())


def _borne(amount: Decimal, weights: list[tuple[int, Fraction]]) -> tuple[tuple[int, Decimal], ...]:
    return tuple((job, part) for job, part in allot(amount, weights).items()) if amount else ()


def rounded(figure: Fraction, places: Decimal) -> Decimal:
    """An exact figure rounded half up to the places of its column, for reading."""
    scaled = figure / Fraction(places)
    whole = (2 * abs(scaled.numerator) + scaled.denominator) // (2 * scaled.denominator)
    return Decimal(whole if figure >= 0 else -whole) * places
