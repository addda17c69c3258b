"""A price list by CSV: operation or time_kind, amount, starts_on, and the scope; shown before it is set."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal

from jobs.actors import Actor
from jobs.csv_rows import Columns, Row, rows_read
from jobs.models import Job, Operation
from jobs.services.csv_import import Imported, row_refusals, whole_file
from payroll.services.price_lines import SAME, PriceLine, line_set
from payroll.services.rates import Scope

COLUMNS = Columns(
    ("operation", "time_kind", "amount", "starts_on", "job", "wall_type", "height_band", "class"),
    ("amount", "starts_on"),
)


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
                    scope, amount, starts_on = read
                    line = line_set(
                        actor=actor,
                        scope=scope,
                        amount=amount,
                        starts_on=starts_on,
                        now=now,
                        jobs=list(jobs.values()),
                        row=row.number,
                    )
                    imported.lines.append(line)
                    imported.made += line.kind != SAME
                    imported.standing += line.kind == SAME
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
