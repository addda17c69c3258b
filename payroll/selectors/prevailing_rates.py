"""Prevailing rates as they were entered: which job and class has which from when."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from jobs.models import Job, Person
from payroll.law import ParameterValue, the_book
from payroll.models import PrevailingRate
from payroll.selectors.rates import tidy

# Job -> class -> its rates, the latest start first.
PrevailingRates = dict[int, dict[str, list[PrevailingRate]]]
US = "us-"


@dataclass(frozen=True, slots=True)
class PrevailingRow:
    """One rate of a job's list. `ends_before` is the start of the next of the same class; `state` ended, holds or to
    come on the day that was asked for."""

    rate: int
    worker_class: str
    class_named: str
    basic: Decimal
    fringe: Decimal
    fringe_to_plan: Decimal
    starts_on: date
    ends_before: date | None
    citation: str
    state: str


def prevailing_in_force() -> PrevailingRates:
    """Every rate of the organisation in scope that nothing replaced."""
    replaced = PrevailingRate.objects.exclude(replaces=None).values("replaces_id")
    found: PrevailingRates = {}
    for rate in PrevailingRate.objects.exclude(pk__in=replaced).order_by("job_id", "worker_class", "-starts_on"):
        found.setdefault(rate.job_id, {}).setdefault(rate.worker_class, []).append(rate)
    return found


def prevailing_list(*, job: int, on: date) -> list[PrevailingRow]:
    """A job's rates by class, the latest start first."""
    rows = []
    for rates in prevailing_in_force().get(job, {}).values():
        following: date | None = None
        for rate in rates:
            state = "to come" if rate.starts_on > on else "ended" if following and following <= on else "holds"
            rows.append(_row(rate, following, state))
            following = rate.starts_on
    return rows


def _row(rate: PrevailingRate, following: date | None, state: str) -> PrevailingRow:
    return PrevailingRow(
        rate=rate.pk,
        worker_class=rate.worker_class,
        class_named=rate.class_named,
        basic=tidy(rate.basic),
        fringe=tidy(rate.fringe),
        fringe_to_plan=tidy(rate.fringe_to_plan),
        starts_on=rate.starts_on,
        ends_before=following,
        citation=rate.citation,
        state=state,
    )


def may_have_prevailing(job: int) -> bool:
    """Whether the job's rule set is one that prevailing rates add to."""
    return Job.objects.filter(pk=job, rule_set__startswith=US).exists()


def classes_without(*, job: int, on: date) -> list[str]:
    """Classes that people have and that have no rate yet on a prevailing-rate job."""
    known = prevailing_in_force().get(job, {})
    classes = Person.objects.order_by("worker_class").values_list("worker_class", flat=True).distinct()
    return [one for one in classes if not any(rate.starts_on <= on for rate in known.get(one, []))] if known else []


def federal_minimum(on: date) -> ParameterValue:
    """The federal minimum wage of a day, which no determination is below. Raises ParameterMissing."""
    return the_book().at("us-federal", "minimum_wage", on)
