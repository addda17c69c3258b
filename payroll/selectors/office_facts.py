"""What the office recorded beside work and rates, as a week's pricing needs it: agreements, local minimums, breaks.

A record counts while nothing replaces it and it was not withdrawn.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Exists, OuterRef, Q, QuerySet

from payroll.law import Agreement, MissedBreak, Override
from payroll.law.agreements import GROUP_SPLIT
from payroll.models import Agreement as AgreementRecord
from payroll.models import LocalMinimum
from payroll.models import MissedBreak as MissedBreakRecord
from payroll.selectors.rates import tidy


@dataclass(frozen=True, slots=True)
class Minimum:
    """A local minimum wage of a job from a day on, until its next one."""

    starts_on: date
    amount: Decimal
    cite: str


def agreements_in_force() -> QuerySet[AgreementRecord]:
    """Agreements that nothing has replaced and that were not withdrawn, ended ones among them."""
    newer = AgreementRecord.objects.filter(replaces=OuterRef("pk"))
    return AgreementRecord.objects.filter(~Exists(newer), withdrawn=False)


def minimums_in_force() -> QuerySet[LocalMinimum]:
    return LocalMinimum.objects.filter(~Exists(LocalMinimum.objects.filter(replaces=OuterRef("pk"))), withdrawn=False)


def breaks_in_force() -> QuerySet[MissedBreakRecord]:
    newer = MissedBreakRecord.objects.filter(replaces=OuterRef("pk"))
    return MissedBreakRecord.objects.filter(~Exists(newer), withdrawn=False)


def agreements_of(people: Sequence[int], first: date, last: date) -> dict[int, tuple[Agreement, ...]]:
    """Agreements of people that hold on some day of a span, by person, oldest record first."""
    found: defaultdict[int, list[Agreement]] = defaultdict(list)
    holding = agreements_in_force().filter(Q(ends_on=None) | Q(ends_on__gte=first), starts_on__lte=last)
    for row in holding.filter(person__in=list(people)).order_by("person", "pk"):
        found[row.person_id].append(agreement_of(row))
    return {person: tuple(rows) for person, rows in found.items()}


def agreement_of(row: AgreementRecord) -> Agreement:
    """A record as `payroll.law` takes it."""
    return Agreement(
        kind=row.kind,
        signed_on=row.signed_on,
        starts_on=row.starts_on,
        ends_on=row.ends_on,
        rate=None if row.rate is None else tidy(row.rate),
        hours=row.guarantee_hours or "productive",
        key=row.pk,
    )


def breaks_of(people: Sequence[int], first: date, last: date) -> dict[int, tuple[MissedBreak, ...]]:
    """Missed breaks of people in a span of days, by person."""
    found: defaultdict[int, list[MissedBreak]] = defaultdict(list)
    rows = breaks_in_force().filter(person__in=list(people), missed_on__range=(first, last))
    for row in rows.order_by("person", "missed_on", "kind"):
        found[row.person_id].append(MissedBreak(row.missed_on, row.kind, row.why))
    return {person: tuple(missed) for person, missed in found.items()}


def minimums_by_job(last: date) -> dict[int, tuple[Minimum, ...]]:
    """Local minimums that start by a day, by job, oldest start first."""
    found: defaultdict[int, list[Minimum]] = defaultdict(list)
    for row in minimums_in_force().filter(starts_on__lte=last).order_by("job", "starts_on"):
        found[row.job_id].append(Minimum(row.starts_on, tidy(row.amount), row.cite))
    return {job: tuple(rows) for job, rows in found.items()}


def minimum_on(
    day: date, jobs: Iterable[int], minimums: dict[int, tuple[Minimum, ...]], labels: dict[int, str]
) -> Override | None:
    """The highest local minimum of the jobs somebody worked on that day; None where none of them has one."""
    best: Override | None = None
    for job in jobs:
        held = [one for one in minimums.get(job, ()) if one.starts_on <= day]
        if held and (best is None or held[-1].amount > best.rate):
            why = f"{held[-1].cite}, in force at {labels[job]} from {held[-1].starts_on}"
            best = Override(held[-1].amount, why, day, held[-1].starts_on)
    return best


def splits_agreed(people: Sequence[int], first: date, last: date) -> dict[int, tuple[Agreement, ...]]:
    """Agreements on a group split that hold in a span, by person."""
    return {
        person: tuple(one for one in rows if one.kind == GROUP_SPLIT)
        for person, rows in agreements_of(people, first, last).items()
    }
