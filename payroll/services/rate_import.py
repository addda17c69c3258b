"""A price list by CSV: operation or time_kind, amount, starts_on, and the scope; shown before it is set."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction

from django.db.models import QuerySet

from jobs.actors import Actor
from jobs.csv_rows import Columns, Row, rows_read
from jobs.models import Job, Operation
from jobs.services.csv_import import Imported, row_refusals, whole_file
from payroll.law import RULE_SETS, ParameterMissing, the_book
from payroll.models import Rate
from payroll.selectors.rates import scope_words, tidy
from payroll.services.rates import Scope, rate_set, rates_of

COLUMNS = Columns(
    ("operation", "time_kind", "amount", "starts_on", "job", "wall_type", "height_band", "class"),
    ("amount", "starts_on"),
)
NEW, REPLACES, SAME = "new", "replaces", "same"


@dataclass(frozen=True, slots=True)
class PriceLine:
    """One row of the list as it would be set: from when, instead of what, until when, and what to look at first."""

    row: int
    kind: str
    thing: str
    scope: str
    amount: Decimal
    starts_on: date
    before: Decimal | None
    ends_before: date | None
    hints: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """'hang board: 0.42 from 2026-12-01 on, until then 0.40 (any job, ...)'."""
        said = f"{self.thing}: {self.amount} from {self.starts_on} on"
        if self.kind == SAME:
            said += ", as it stands"
        elif self.kind == REPLACES:
            said += f", in the place of {self.before}, which was to start that day"
        elif self.before is not None:
            said += f", until then {self.before}"
        if self.ends_before is not None:
            said += f", up to the next on {self.ends_before}"
        return f"{said} ({self.scope})."


@dataclass(slots=True)
class PricesImported(Imported):
    """`lines` tell every row that can be set, also in a dry run."""

    lines: list[PriceLine] = field(default_factory=list)


def rates_import(*, actor: Actor, source: bytes, now: datetime, dry_run: bool) -> PricesImported:
    """Set the rates of a file, or only show what would be set. A rate that stands is left as it is.

    With any mistake, and in a dry run, nothing is kept. Raises NotAllowed.
    """
    rows, mistakes = rows_read(source, COLUMNS)
    imported = PricesImported(mistakes=mistakes)
    with whole_file(actor, imported, dry_run=dry_run):
        operations = {one.code: one for one in Operation.objects.all()}
        jobs = {one.code: one for one in Job.objects.all()}
        seen: dict[tuple[Scope, date], int] = {}
        for row in rows:
            read = _read(row, operations, jobs, seen)
            if read is not None:
                with row_refusals(row):
                    _set(imported, row, *read, actor=actor, now=now, jobs=list(jobs.values()))
    return imported


def _read(
    row: Row, operations: Mapping[str, Operation], jobs: Mapping[str, Job], seen: dict[tuple[Scope, date], int]
) -> tuple[Scope, Decimal, date] | None:
    before = len(row.mistakes)
    amount, starts_on = row.decimal("amount"), row.day("starts_on")
    operation, job = row.text("operation"), row.text("job")
    if operation and operation not in operations:
        row.note("operation", f"operation {operation!r} was not found. Use one of: {', '.join(operations)}.")
    if job and job not in jobs:
        row.note("job", f"job {job!r} was not found. Use one of: {', '.join(jobs)}; leave it empty for any job.")
    scope = Scope(
        operation=operations[operation].pk if operation in operations else None,
        time_kind=row.text("time_kind", 8),
        job=jobs[job].pk if job in jobs else None,
        wall_type=row.text("wall_type", 40),
        height_band=row.text("height_band", 40),
        worker_class=row.text("class", 40),
    )
    if len(row.mistakes) > before or amount is None or starts_on is None:
        return None
    if (scope, starts_on) in seen:
        first = seen[scope, starts_on]
        row.note("starts_on", f"row {first} sets this scope from {starts_on} already. Keep one of them.")
        return None
    seen[scope, starts_on] = row.number
    return scope, amount, starts_on


def _set(
    imported: PricesImported,
    row: Row,
    scope: Scope,
    amount: Decimal,
    starts_on: date,
    *,
    actor: Actor,
    now: datetime,
    jobs: list[Job],
) -> None:
    stands = _rates(scope).filter(starts_on=starts_on).first()
    earlier = _rates(scope).filter(starts_on__lt=starts_on).first()
    later = _rates(scope).filter(starts_on__gt=starts_on).order_by("starts_on").first()
    if stands is not None and stands.amount == amount:
        kind, rate, before = SAME, stands, None
        imported.standing += 1
    else:
        rate = rate_set(actor=actor, scope=scope, amount=amount, starts_on=starts_on, now=now, replaces=stands)
        kind, before = (REPLACES, stands.amount) if stands else (NEW, earlier.amount if earlier else None)
        imported.made += 1
    operation = Operation.objects.filter(pk=scope.operation).first()
    imported.lines.append(
        PriceLine(
            row=row.number,
            kind=kind,
            thing=operation.name if operation else scope.time_kind,
            scope=scope_words(rate, next((job.name for job in jobs if job.pk == scope.job), "")),
            amount=tidy(amount),
            starts_on=starts_on,
            before=None if before is None else tidy(before),
            ends_before=later.starts_on if later else None,
            hints=tuple(_hints(scope, amount, starts_on, before, jobs)),
        )
    )


def _rates(scope: Scope) -> QuerySet[Rate]:
    """Rates in force of exactly this scope, the latest start first."""
    replaced = Rate.objects.exclude(replaces=None).values("replaces_id")
    return rates_of(scope).exclude(pk__in=replaced).order_by("-starts_on")


def _hints(scope: Scope, amount: Decimal, starts_on: date, before: Decimal | None, jobs: list[Job]) -> list[str]:
    """What to look at before setting it: a fall, and a rate for time below the least that an hour must earn."""
    found = []
    if before is not None and amount < before:
        fall = (1 - amount / before) * 100
        found.append(f"{tidy(amount)} is {fall:.1f}% below the {tidy(before)} before it.")
    if not scope.time_kind:
        return found
    rule_sets = sorted({job.rule_set for job in jobs if scope.job in (None, job.pk)} & set(RULE_SETS))
    for rule_set in rule_sets:
        try:
            least = the_book().at(rule_set, "minimum_wage", starts_on)
        except ParameterMissing:
            continue
        if Fraction(amount) < least.value:
            found.append(
                f"{tidy(amount)} an hour is below the {least.text} of {rule_set} ({least.cite}). The week is topped up "
                "to the law's least where it falls short; ask what local law says of such a rate."
            )
    return found
