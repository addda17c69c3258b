"""From a person's logged week to the statement it makes: typed for `payroll.law`, priced, traced back to its jobs.

Nothing is written here; a preview and a closing both price with it. Money and quantities come out as decimals with the
places of their columns, exactly as they will be stored and hashed.

How lines are shared among jobs. A line that names its job is borne by it whole. Lines of the whole week (overtime
premium, minimum-wage top-up, guarantee, bonus) are shared by the hours the person was paid for on each job that week,
or, without hours, by his piece earnings there; to the cent, by largest remainder.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from payroll.law import ParameterBook, PieceWork, PricedWeek, TimeWorked, WeekMistakes, WorkerWeek, allot, price
from payroll.law.report import because_json, parameter_json
from payroll.law.week import UNPAID_TIME, Line
from payroll.selectors.gathered import Names, PersonWeek
from payroll.selectors.prevailing import with_prevailing
from payroll.selectors.rates import rate_sentence, tidy

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


@dataclass(frozen=True, slots=True)
class Stopped:
    """A person whose week cannot be priced, and why: one sentence a reason, each with the next step."""

    person: int
    name: str
    sentences: tuple[str, ...]


def drafted(week: PersonWeek, first_day: date, names: Names, book: ParameterBook | None = None) -> Draft | Stopped:
    """Price one person's week. Whatever stands against it comes back as sentences and touches nobody else."""
    sentences = [*missing_rate_sentences(week, names), *_several_places(week, names)]
    if sentences:
        return Stopped(week.person, week.name, tuple(sentences))
    job = names.jobs[_jobs_of(week)[0]]
    try:
        typed = typed_week(week, first_day, job.rule_set, job.time_zone, names)
        priced = price(with_prevailing(typed, week, names, book), book)
    except WeekMistakes as refused:
        return Stopped(week.person, week.name, refused.mistakes)
    if priced.currency != job.currency:
        return Stopped(week.person, week.name, (_currency_sentence(priced, job.name, job.currency),))
    return _draft(week, job.rule_set, priced, names)


def _jobs_of(week: PersonWeek) -> list[int]:
    return sorted({piece.job for piece in week.pieces} | {time.job for time in week.times})


def missing_rate_sentences(week: PersonWeek, names: Names) -> list[str]:
    """A sentence for each piece of work that no rate holds for."""
    return [
        f"{names.operations[piece.operation].name} on {names.jobs[piece.job].name}, {piece.worked_on}, "
        f"{piece.quantity.normalize():f} {names.operations[piece.operation].unit}: no rate holds for class "
        f"{week.worker_class} that day. Set one that starts on or before {piece.worked_on}."
        for piece in week.pieces
        if piece.rate is None
    ]


def _several_places(week: PersonWeek, names: Names) -> list[str]:
    sets = sorted({names.jobs[job].rule_set for job in _jobs_of(week)})
    if len(sets) < 2:
        return []
    return [
        f"{week.name} worked under {' and '.join(sets)} in one week, and how their overtime combines is not known "
        f"here. Price that week by hand, or log it on jobs of one rule set."
    ]


def _currency_sentence(priced: PricedWeek, job: str, currency: str) -> str:
    return (
        f"job {job} is kept in {currency}, but its rule set pays in {priced.currency}. Give the job the currency of "
        f"its rule set."
    )


def typed_week(week: PersonWeek, first_day: date, rules: str, time_zone: str, names: Names) -> WorkerWeek:
    """The week as `payroll.law` takes it, and as a week file would hold it."""
    return WorkerWeek(
        rules=rules,
        week_start=first_day,
        worker_name=week.name,
        worker_class=week.worker_class,
        pieces=tuple(
            PieceWork(
                date=piece.worked_on,
                operation=names.operation_labels[piece.operation],
                quantity=Fraction(piece.quantity),
                unit=names.operations[piece.operation].unit,
                rate=tidy(piece.rate),
                job=names.job_labels[piece.job],
            )
            for piece in week.pieces
            if piece.rate is not None
        ),
        hours=tuple(
            TimeWorked(
                date=time.worked_on,
                kind=time.kind,
                hours=time.hours,
                rate=None if time.rate is None else tidy(time.rate),
                job=names.job_labels[time.job],
            )
            for time in week.times
        ),
        time_zone=time_zone,
    )


def _draft(week: PersonWeek, rule_set: str, priced: PricedWeek, names: Names) -> Draft:
    jobs = {names.job_labels[job]: job for job in _jobs_of(week)}
    operations = {names.operation_labels[piece.operation]: piece.operation for piece in week.pieces}
    weights = _weights(week)
    lines = tuple(_line(line, week, jobs, operations, weights, names) for line in priced.lines)
    by_kind: defaultdict[str, Fraction] = defaultdict(Fraction)
    for time in week.times:
        by_kind[time.kind] += time.hours
    return Draft(
        person=week.person,
        worker_class=week.worker_class,
        rule_set=rule_set,
        rules_version=priced.rules_version,
        currency=priced.currency,
        lines=lines,
        hours={
            "total": str(priced.hours.total),
            "overtime": str(priced.hours.overtime),
            "double": str(priced.hours.double),
            "by_kind": {kind: str(hours) for kind, hours in sorted(by_kind.items())},
        },
        regular_rate="" if priced.regular_rate is None else str(priced.regular_rate),
        regular_rate_because=[because_json(reason) for reason in priced.regular_rate_because],
        floors=[
            {
                "code": floor.code,
                "text": floor.text,
                "required": str(floor.required),
                "paid": str(floor.paid),
                "top_up": str(floor.top_up),
                "because": [because_json(reason) for reason in floor.because],
            }
            for floor in priced.floors
        ],
        parameters=[parameter_json(value) for value in priced.parameters],
        cautions=list(priced.cautions),
        work=week.work,
    )


def _line(
    line: Line,
    week: PersonWeek,
    jobs: dict[str, int],
    operations: dict[str, int],
    weights: list[tuple[int, Fraction]],
    names: Names,
) -> LineDraft:
    job = jobs.get(line.job) if line.job else None
    operation = operations.get(line.operation) if line.operation else None
    because = [because_json(reason) for reason in line.because]
    piece = None
    if line.code == "piece" and job is not None and operation is not None:
        rate = Decimal(line.rate.numerator) / Decimal(line.rate.denominator)
        piece = (job, operation, rate.quantize(RATE))
        because = [*_rate_reasons(week, piece, names), *because]
    return LineDraft(
        code=line.code,
        text=line.text,
        quantity=rounded(line.quantity, QUANTITY),
        unit=line.unit,
        rate=rounded(line.rate, RATE),
        amount=line.amount,
        because=because,
        job=job,
        operation=operation,
        piece=piece,
        shares=((job, line.amount),) if job is not None else _borne(line.amount, weights),
    )


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


def _weights(week: PersonWeek) -> list[tuple[int, Fraction]]:
    """Paid hours by job, or piece earnings by job where there are no hours."""
    hours: defaultdict[int, Fraction] = defaultdict(Fraction)
    for time in week.times:
        if time.kind != UNPAID_TIME:
            hours[time.job] += time.hours
    if any(hours.values()):
        return sorted(hours.items())
    earned: defaultdict[int, Fraction] = defaultdict(Fraction)
    for piece in week.pieces:
        earned[piece.job] += Fraction(piece.quantity) * Fraction(piece.rate or 0)
    return sorted(earned.items())


def _borne(amount: Decimal, weights: list[tuple[int, Fraction]]) -> tuple[tuple[int, Decimal], ...]:
    return tuple((job, part) for job, part in allot(amount, weights).items()) if amount else ()


def rounded(figure: Fraction, places: Decimal) -> Decimal:
    """An exact figure rounded half up to the places of its column, for reading."""
    scaled = figure / Fraction(places)
    whole = (2 * abs(scaled.numerator) + scaled.denominator) // (2 * scaled.denominator)
    return Decimal(whole if figure >= 0 else -whole) * places
