"""The price list: every rate that is or will be in force, in the order of operations and scopes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from jobs.models import Job, Operation
from payroll.models import Rate
from payroll.selectors.rates import scope_words, tidy


@dataclass(frozen=True, slots=True)
class PriceRow:
    """One rate of the price list. `ends_before` is the start of the next of the same scope, if one is set."""

    rate: int
    thing: str
    unit: str
    amount: Decimal
    scope: str
    starts_on: date
    ends_before: date | None
    in_force: bool


def price_list(*, on: date) -> list[PriceRow]:
    """Rates in force on a day and those that start later; replaced and ended ones are left out."""
    replaced = Rate.objects.exclude(replaces=None).values("replaces_id")
    rates = list(Rate.objects.exclude(pk__in=replaced).order_by("starts_on", "pk"))
    operations = Operation.objects.in_bulk([rate.operation_id for rate in rates if rate.operation_id])
    jobs = Job.objects.in_bulk([rate.job_id for rate in rates if rate.job_id])
    following: dict[int, date] = {}
    newest: dict[tuple[object, ...], Rate] = {}
    for rate in rates:
        scope = (rate.operation_id, rate.time_kind, rate.job_id, rate.wall_type, rate.height_band, rate.worker_class)
        if scope in newest:
            following[newest[scope].pk] = rate.starts_on
        newest[scope] = rate
    rows = []
    for rate in rates:
        ends = following.get(rate.pk)
        if ends is not None and ends <= on:
            continue
        operation = operations.get(rate.operation_id)
        thing, unit = (operation.name, operation.unit) if operation else (rate.time_kind, "h")
        words = scope_words(rate, jobs[rate.job_id].name if rate.job_id else "")
        rows.append(
            PriceRow(rate.pk, thing, unit, tidy(rate.amount), words, rate.starts_on, ends, rate.starts_on <= on)
        )
    places = {operation.name: operation.position for operation in operations.values()}
    return sorted(rows, key=lambda row: (places.get(row.thing, 32768), row.thing, row.scope, row.starts_on))
