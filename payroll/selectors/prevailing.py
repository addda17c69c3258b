"""Prevailing-rate work in a person's week: which jobs are covered, at what the determination sets for his class."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from payroll.law import ParameterBook, WeekMistakes, WorkerWeek, the_book
from payroll.law.prevailing_parts import ClassRates, prevailing_parts
from payroll.models import PrevailingRate
from payroll.selectors.gathered import Names, PersonWeek
from payroll.selectors.rates import tidy


@dataclass(frozen=True, slots=True)
class MissingClass:
    """A prevailing-rate job that a person worked on without a rate for his class."""

    job: int
    job_name: str
    worker_class: str
    first_day: date


def with_prevailing(typed: WorkerWeek, week: PersonWeek, names: Names, book: ParameterBook | None = None) -> WorkerWeek:
    """The week with the covered part of each prevailing-rate job. Raises WeekMistakes for a class without a rate."""
    if not names.prevailing:
        return typed
    if missing := missing_classes(week, typed.week_start, names):
        raise WeekMistakes([_sentence(one) for one in missing])
    on = {entry.job for entry in typed.hours} | {piece.job for piece in typed.pieces}
    rates = {
        names.job_labels[job]: _rates(rate)
        for job in sorted(names.prevailing)
        if names.job_labels[job] in on
        and (rate := rate_of(names, job, week.worker_class, typed.week_start)) is not None
    }
    return replace(typed, prevailing=prevailing_parts(typed, rates, book or the_book()))


def rate_of(names: Names, job: int, worker_class: str, first_day: date) -> PrevailingRate | None:
    """The rate of a class on a job in a workweek, None where none has started."""
    rates = names.prevailing.get(job, {}).get(worker_class, [])
    return next((rate for rate in rates if rate.starts_on <= first_day), None)


def missing_classes(week: PersonWeek, first_day: date, names: Names) -> tuple[MissingClass, ...]:
    """Jobs that had become prevailing-rate jobs by that week and on which the person's class has no rate."""
    on = {piece.job for piece in week.pieces} | {time.job for time in week.times}
    return tuple(
        MissingClass(job, names.jobs[job].name, week.worker_class, first_day)
        for job in sorted(on & set(names.prevailing))
        if _covered(names, job, first_day) and rate_of(names, job, week.worker_class, first_day) is None
    )


def _covered(names: Names, job: int, first_day: date) -> bool:
    return any(rate.starts_on <= first_day for rates in names.prevailing[job].values() for rate in rates)


def _sentence(one: MissingClass) -> str:
    return (
        f"{one.job_name} is a prevailing-rate job, and no prevailing rate is known there for class {one.worker_class} "
        f"in the week of {one.first_day}. Enter the basic and fringe rate of the class from the job's wage "
        "determination, or correct the person's class."
    )


def _rates(rate: PrevailingRate) -> ClassRates:
    return ClassRates(rate.class_named, tidy(rate.basic), tidy(rate.fringe), tidy(rate.fringe_to_plan))
