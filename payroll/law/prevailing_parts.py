"""Which part of a logged week was on prevailing-rate jobs: hours, piece pay and overtime hours of each job.

Overtime of a day of several jobs. The record says how many hours were worked on each job that day, not which came last,
so which job the overtime fell on is not known. It is counted on the prevailing jobs first, the highest basic rate
before the others: overtime there is never paid on less than the basic rate, and so nobody is paid less for a record
that does not say more.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from payroll.law import week as w
from payroll.law.certified_days import week_overtime
from payroll.law.earnings import NONE, paid_by_job
from payroll.law.money import ZERO
from payroll.law.parameter_book import ParameterBook, ParameterMissing


@dataclass(frozen=True, slots=True)
class ClassRates:
    """What a job's wage determination sets for the class of one worker; money an hour. `fringe_to_plan` is the part of
    the fringe rate that the firm contributes to plans."""

    worker_class: str
    basic: Decimal
    fringe: Decimal
    fringe_to_plan: Decimal = ZERO


def prevailing_parts(
    week: w.WorkerWeek, rates: Mapping[str, ClassRates], book: ParameterBook
) -> tuple[w.PrevailingWork, ...]:
    """The covered part of a week for each job in `rates` that the week worked on, in the order of the jobs' names."""
    on_job: dict[str, dict[date, Fraction]] = {}
    for entry in week.hours:
        if entry.kind != w.UNPAID_TIME and entry.job in rates:
            days = on_job.setdefault(entry.job, {})
            days[entry.date] = days.get(entry.date, NONE) + entry.hours
    pieces = paid_by_job(week.pieces)
    overtime = _overtime_by_job(week, on_job, rates, book)
    return tuple(
        w.PrevailingWork(
            job=job,
            worker_class=rates[job].worker_class,
            basic=rates[job].basic,
            fringe=rates[job].fringe,
            hours=sum(on_job.get(job, {}).values(), NONE),
            pieces=pieces.get(job, ZERO),
            fringe_to_plan=rates[job].fringe_to_plan,
            overtime_hours=overtime.get(job, NONE),
        )
        for job in sorted(rates)
        if job in on_job or job in pieces
    )


def _overtime_by_job(
    week: w.WorkerWeek,
    on_job: Mapping[str, Mapping[date, Fraction]],
    rates: Mapping[str, ClassRates],
    book: ParameterBook,
) -> dict[str, Fraction]:
    try:
        past = week_overtime(week, book)
    except ParameterMissing:
        # Pricing says so, and what to do.
        return {}
    found: dict[str, Fraction] = {}
    dearest_first = sorted(on_job, key=lambda job: (-rates[job].basic, job))
    for day, (overtime, double) in past.items():
        left = overtime + double
        for job in dearest_first:
            taken = min(left, on_job[job].get(day, NONE))
            found[job] = found.get(job, NONE) + taken
            left -= taken
    return found
