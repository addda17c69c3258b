"""A person's logged week as `payroll.law` takes it: one part for each rule set he worked under, with what was agreed.

What the office recorded joins here: agreements become the terms of each part, missed breaks are left to the rule sets
that pay an hour for them, and the local minimum of a day is the highest of the jobs worked that day: it can only add.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction

from payroll.law import (
    RULE_SETS,
    Agreement,
    Override,
    ParameterBook,
    PieceWork,
    TimeWorked,
    WorkerWeek,
    agreed,
    parts_of,
    the_book,
)
from payroll.law.pay_days import longer_period
from payroll.selectors.gathered import Names, PersonWeek
from payroll.selectors.office_facts import minimum_on
from payroll.selectors.prevailing import with_prevailing
from payroll.selectors.rates import tidy


@dataclass(frozen=True, slots=True)
class Part:
    """The part of a week under one rule set: its jobs, the agreements it was priced by, and what must be said."""

    week: WorkerWeek
    jobs: tuple[int, ...]
    used: tuple[Agreement, ...]
    cautions: tuple[str, ...]


def jobs_of(week: PersonWeek) -> list[int]:
    """The jobs a person worked on in a week, in the order of their ids."""
    return sorted({piece.job for piece in week.pieces} | {time.job for time in week.times})


def typed_parts(week: PersonWeek, first_day: date, names: Names, book: ParameterBook | None = None) -> list[Part]:
    """A week with at least one job, cut by rule set. Raises WeekMistakes for what belongs to no part."""
    rules_by_job = {names.job_labels[job]: names.jobs[job].rule_set for job in jobs_of(week)}
    parts = []
    for cut in parts_of(_typed(week, first_day, names), rules_by_job):
        jobs = tuple(job for job in jobs_of(week) if names.jobs[job].rule_set == cut.rules)
        parts.append(_settled(cut, jobs, week, names, book or the_book()))
    return parts


def _settled(part: WorkerWeek, jobs: tuple[int, ...], week: PersonWeek, names: Names, book: ParameterBook) -> Part:
    """A part with the terms and minimum wages of its days, without missed breaks that its rule set pays nothing for."""
    part = replace(part, time_zone=names.jobs[jobs[0]].time_zone, local_minimums=_local_minimums(jobs, week, names))
    part = with_prevailing(part, week, names, book)
    settled = agreed(part, week.agreements, book)
    cautions = settled.cautions
    if part.missed_breaks and part.rules in RULE_SETS and not RULE_SETS[part.rules].place.premium_hour:
        rule = book.rule(part.rules, "missed-break")
        days = ", ".join(f"{missed.kind} on {missed.date}" for missed in part.missed_breaks)
        cautions += (f"Recorded as missed: {days}. {part.rules} pays no hour for it.", f"{rule.text} ({rule.cite}.)")
        part = replace(part, missed_breaks=())
    before = week.before
    told = before is None or before.rules == part.rules
    if names.period is not None:
        cautions += longer_period(book, part.rules, names.period.first_day, names.period.last_day, alone=not told)
    if before is not None and told:
        part = replace(part, week_before=before.figures)
    return Part(replace(part, terms=settled.terms), jobs, settled.used, cautions)


def _local_minimums(jobs: tuple[int, ...], week: PersonWeek, names: Names) -> tuple[Override, ...]:
    if not any(job in names.minimums for job in jobs):
        return ()
    worked: dict[date, set[int]] = {}
    on_jobs = [(one.worked_on, one.job) for one in week.pieces] + [(one.worked_on, one.job) for one in week.times]
    for day, job in on_jobs:
        if job in jobs:
            worked.setdefault(day, set()).add(job)
    found = (minimum_on(day, sorted(on), names.minimums, names.job_labels) for day, on in sorted(worked.items()))
    return tuple(one for one in found if one is not None)


def _typed(week: PersonWeek, first_day: date, names: Names) -> WorkerWeek:
    """The week as a week file would hold it; its rule set and clock are its parts'."""
    return WorkerWeek(
        rules="",
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
                hours=piece.hours,
                first_hour=piece.first_hour,
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
        missed_breaks=week.missed,
    )
