"""Which rate pays a piece of work, and why that one.

Precedence. Of all rates of the operation that had started by the day of the work and whose scope holds it, the most
specific wins, compared in this order: for this job before any job; for this wall type before any; for this height band
before any; for this class before any. Within one scope the latest start wins, which is how a rate ends. Two rates of
one scope cannot start on the same day, so there is never a tie.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db import connection

from jobs.models import Job, Operation, WallVersion, WorkUnit
from jobs.tenancy import organisation_in_scope
from payroll.models import HeightBand, Rate

# Joins a row `k` (operation_id, job_id, wall_type, band, worker_class, worked_on) to the rate that pays it.
# `width` says how specific a scope is, as one number a place: job 8, wall type 4, height band 2, class 1.
WIDTH = (
    "(r.job_scope <> 0)::int * 8 + (r.wall_type <> '')::int * 4 + (r.height_band <> '')::int * 2 "
    "+ (r.worker_class <> '')::int"
)
CANDIDATES = """
    FROM payroll_rate r
   WHERE r.organisation_id = %(organisation)s AND r.operation_scope = k.operation_id AND r.time_kind = ''
     AND r.job_scope IN (0, k.job_id) AND r.wall_type IN ('', k.wall_type)
     AND r.height_band IN ('', k.band) AND r.worker_class IN ('', k.worker_class)
     AND r.starts_on <= k.worked_on
     AND NOT EXISTS (SELECT 1 FROM payroll_rate n WHERE n.organisation_id = r.organisation_id AND n.replaces_id = r.id)
"""
PIECE_RATE = f"""
LEFT JOIN LATERAL (
  SELECT r.id, r.amount {CANDIDATES} ORDER BY {WIDTH} DESC, r.starts_on DESC, r.id DESC LIMIT 1
) chosen ON true
"""
TIME_RATE = f"""
LEFT JOIN LATERAL (
  SELECT r.amount
    FROM payroll_rate r
   WHERE r.organisation_id = %(organisation)s AND r.operation_scope = 0 AND r.time_kind = k.kind
     AND r.job_scope IN (0, k.job_id) AND r.worker_class IN ('', k.worker_class) AND r.starts_on <= k.worked_on
     AND NOT EXISTS (SELECT 1 FROM payroll_rate n WHERE n.organisation_id = r.organisation_id AND n.replaces_id = r.id)
   ORDER BY {WIDTH} DESC, r.starts_on DESC, r.id DESC LIMIT 1
) chosen ON true
"""  # noqa: S608


@dataclass(frozen=True, slots=True)
class Considered:
    """One rate that could have paid the work, and the sentence that says why it did or did not."""

    rate: int
    amount: Decimal
    starts_on: date
    scope: str
    won: bool
    sentence: str


@dataclass(frozen=True, slots=True)
class RateChoice:
    """The rate that pays a unit of work on a day (None if none does), and all that was considered, best first."""

    rate: int | None
    amount: Decimal | None
    considered: tuple[Considered, ...]
    sentence: str


def scope_words(rate: Rate, job_name: str) -> str:
    """A rate's scope in words: 'job Harrow Street Clinic, wall type P1, any height, any class'."""
    return ", ".join(
        (
            f"job {job_name}" if rate.job_id else "any job",
            f"wall type {rate.wall_type}" if rate.wall_type else "any wall type",
            f"height {rate.height_band}" if rate.height_band else "any height",
            f"class {rate.worker_class}" if rate.worker_class else "any class",
        )
    )


def rate_sentence(rate: Rate, thing: str, unit: str, job_name: str) -> str:
    """A rate in words: 'hang board: 0.40 a sq ft from 2026-11-02 on (any job, ...)'."""
    per = unit if unit == "each" else f"a {unit}"
    return f"{thing}: {tidy(rate.amount)} {per} from {rate.starts_on} on ({scope_words(rate, job_name)})"


def tidy(amount: Decimal) -> Decimal:
    """A rate with two decimals, or as many more as it has: 0.400000 -> 0.40."""
    short = amount.normalize()
    exponent = short.as_tuple().exponent
    return short.quantize(Decimal("0.01")) if isinstance(exponent, int) and exponent > -2 else short


def wall_now(wall: int | None) -> tuple[str, str]:
    """Type and height band of a wall in its newest version; empty words for work that is not on a wall."""
    version = WallVersion.objects.filter(wall_id=wall).order_by("-revision__number").first() if wall else None
    if version is None:
        return "", ""
    height = version.geometry.get("height_in")
    bands = HeightBand.objects.filter(from_inches__lte=Decimal(height)) if height else HeightBand.objects.none()
    band = bands.order_by("-from_inches").first()
    return version.type_name, band.name if band else ""


def rate_why(*, work_unit: WorkUnit, on: date, worker_class: str) -> RateChoice:
    """Say which rate pays a work unit on a day for a class of worker, and why that one and not another."""
    wall_type, band = wall_now(work_unit.wall_id)
    operation = Operation.objects.get(pk=work_unit.operation_id)
    row = {
        "organisation": organisation_in_scope(),
        "operation": work_unit.operation_id,
        "job": work_unit.job_id,
        "wall_type": wall_type,
        "band": band,
        "worker_class": worker_class,
        "on": on,
    }
    with connection.cursor() as cursor:
        cursor.execute(
            "WITH k AS (SELECT %(operation)s::bigint AS operation_id, %(job)s::bigint AS job_id, "  # noqa: S608
            "%(wall_type)s::text AS wall_type, %(band)s::text AS band, %(worker_class)s::text AS worker_class, "
            "%(on)s::date AS worked_on) "
            f"SELECT r.id, {WIDTH} FROM k, LATERAL (SELECT r.* {CANDIDATES}) r "
            f"ORDER BY 2 DESC, r.starts_on DESC, r.id DESC",
            row,
        )
        ranked = cursor.fetchall()
    rates = Rate.objects.in_bulk([found for found, _ in ranked])
    job_name = Job.objects.get(pk=work_unit.job_id).name
    considered = tuple(_considered(index, ranked, rates, operation, job_name) for index in range(len(ranked)))
    if not considered:
        sentence = (
            f"No rate of {operation.name} holds for class {worker_class} on {on}. Set one that starts on or before "
            f"that day."
        )
        return RateChoice(None, None, (), sentence)
    return RateChoice(considered[0].rate, considered[0].amount, considered, considered[0].sentence)


def _considered(
    index: int, ranked: list[tuple[int, int]], rates: dict[int, Rate], operation: Operation, job_name: str
) -> Considered:
    (found, width), (_, best) = ranked[index], ranked[0]
    rate = rates[found]
    said = rate_sentence(rate, operation.name, operation.unit, job_name)
    if index == 0:
        why = f"{said}. It is the most specific that had started."
    elif width == best:
        why = f"{said}. It ended when the next of the same scope began."
    else:
        why = f"{said}. A more specific rate holds."
    return Considered(rate.pk, tidy(rate.amount), rate.starts_on, scope_words(rate, job_name), index == 0, why)
