"""A proposed price list as it was typed: operations by their code, prices, and where they would hold."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from jobs.csv_rows import Columns, Row, rows_read
from jobs.models import Operation
from payroll.law.what_if import ProposedPrice
from payroll.models import Rate
from payroll.selectors.gathered import Names
from payroll.selectors.rates import tidy

WHAT_IF = Columns(("operation", "amount", "job", "instead_of"), ("operation", "amount"))
BID = Columns(("operation", "amount", "units_an_hour"), ("operation",))


@dataclass(frozen=True, slots=True)
class OwnFigures:
    """What somebody gives for an operation of a bid in the place of the price list or of history."""

    amount: Decimal | None
    units_an_hour: Fraction | None


def proposed_prices(text: str, names: Names) -> tuple[list[ProposedPrice], list[str]]:
    """The prices of a what-if and a sentence for each mistake, with its row."""
    rows, mistakes = rows_read(text.encode(), WHAT_IF)
    operations = {one.code: one for one in names.operations.values()}
    jobs = {one.code: one for one in names.jobs.values()}
    found: list[ProposedPrice] = []
    for row in rows:
        code, job = row.text("operation"), row.text("job")
        amount, instead_of = _money(row, "amount"), _money(row, "instead_of")
        if code and code not in operations:
            row.note("operation", f"operation {code!r} was not found. Use one of: {', '.join(operations)}.")
        if job and job not in jobs:
            row.note("job", f"job {job!r} was not found. Use one of: {', '.join(jobs)}; leave it empty for any job.")
        if code not in operations or amount is None or (job and job not in jobs):
            continue
        operation = operations[code]
        one = ProposedPrice(
            operation=names.operation_labels[operation.pk],
            unit=operation.unit,
            rate=amount,
            job=names.job_labels[jobs[job].pk] if job else "",
            instead_of=instead_of,
        )
        if any((one.operation, one.job, one.instead_of) == (two.operation, two.job, two.instead_of) for two in found):
            row.note("operation", f"{code} stands twice for the same job and old price. Keep one.")
        found.append(one)
    if not rows and not mistakes:
        return found, ["the list has no rows. Give at least one price."]
    return found, [f"{mistake.path}: {mistake.sentence}" for mistake in mistakes]


def own_figures(text: str) -> tuple[dict[str, OwnFigures], list[str]]:
    """Prices and paces for a bid by operation code, and a sentence for each mistake; an empty text gives none."""
    if not text.strip():
        return {}, []
    rows, mistakes = rows_read(text.encode(), BID)
    codes = set(Operation.objects.values_list("code", flat=True))
    found: dict[str, OwnFigures] = {}
    for row in rows:
        code = row.text("operation")
        amount, pace = _money(row, "amount"), _money(row, "units_an_hour")
        if code and code not in codes:
            row.note("operation", f"operation {code!r} was not found. Use one of: {', '.join(sorted(codes))}.")
        elif code in found:
            row.note("operation", f"{code} stands twice. Keep one.")
        else:
            found[code] = OwnFigures(amount, None if pace is None else Fraction(pace))
    return found, [f"{mistake.path}: {mistake.sentence}" for mistake in mistakes]


def _money(row: Row, column: str) -> Decimal | None:
    value = row.decimal(column)
    if value is not None and value <= 0:
        row.note(column, f"{value} is not above zero. Correct it, or leave it out.")
        return None
    return value


def general_prices(*, on: date) -> dict[int, Decimal]:
    """The price of each operation that holds for any job, wall, height and class on a day, by operation."""
    replaced = Rate.objects.exclude(replaces=None).values("replaces_id")
    rates = Rate.objects.filter(
        operation__isnull=False, job__isnull=True, wall_type="", height_band="", worker_class="", starts_on__lte=on
    ).exclude(pk__in=replaced)
    return {rate.operation_id: tidy(rate.amount) for rate in rates.order_by("starts_on", "pk")}


def price_text(*, on: date) -> str:
    """Today's general prices as the text of a list, to change and try."""
    prices = general_prices(on=on)
    rows = [f"{one.code},{prices[one.pk]}" for one in Operation.objects.order_by("position", "pk") if one.pk in prices]
    return "\n".join(["operation,amount", *rows]) + "\n"
