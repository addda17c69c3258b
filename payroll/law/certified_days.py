"""On which days the overtime of one prevailing job lies: found from the week, or a sentence where it cannot be told.

The overtime of the whole week falls on its last hours (and, in California, on the last hours of each day). On a day
worked on that job alone all of it is the job's. On days of several jobs it is known where one such day remains, or
where the job's overtime is the most or the least that those days allow.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from payroll.law import week as w
from payroll.law.earnings import NONE, hours_of
from payroll.law.explain import clock
from payroll.law.parameter_book import ParameterBook
from payroll.law.rules import us_california, us_federal
from payroll.law.rules.daily_hours import by_the_day, limits_of
from payroll.law.workweek import days_of


@dataclass(frozen=True, slots=True)
class DayHours:
    """Hours of one day on one job; `overtime` is without `double`."""

    day: date
    straight: Fraction
    overtime: Fraction
    double: Fraction

    @property
    def total(self) -> Fraction:
        return self.straight + self.overtime + self.double


class DaysUnknown(ValueError):
    """The days cannot be told; its text is the sentence."""


def week_overtime(week: w.WorkerWeek, book: ParameterBook) -> dict[date, tuple[Fraction, Fraction]]:
    """Overtime and double hours of each day of a week under a US rule set."""
    by_day = hours_of(week).by_day
    place = us_california.PLACE if week.rules == us_california.PLACE.name else us_federal.PLACE
    law = {name: book.at(place.name, name, week.week_start) for name in place.limits}
    if place is us_california.PLACE:
        return by_the_day(by_day, week.week_start, limits_of(law, seventh_day=True))
    found, before = {}, NONE
    for day, hours in by_day.items():
        before += hours
        found[day] = (min(max(before - law["weekly_overtime_hours"].value, NONE), hours), NONE)
    return found


def job_days(week: w.WorkerWeek, part: w.PrevailingWork, book: ParameterBook) -> tuple[DayHours, ...]:
    """The seven days of a job. Raises DaysUnknown with what to enter."""
    name = f"{week.worker_name}, {part.job}"
    on_job: dict[date, Fraction] = {}
    for entry in week.hours:
        if entry.kind != w.UNPAID_TIME and entry.job == part.job:
            on_job[entry.date] = on_job.get(entry.date, NONE) + entry.hours
    logged = sum(on_job.values(), NONE)
    if logged != part.hours:
        raise DaysUnknown(
            f"{name}: the hours by day come to {clock(logged)}, but {clock(part.hours)} are covered. Enter the hours "
            "of each day under the job's name."
        )
    past = week_overtime(week, book)
    all_day = hours_of(week).by_day
    mixed = [day for day, hours in on_job.items() if hours and sum(past[day]) and hours < all_day[day]]
    found = {day: past[day] if day not in mixed else (NONE, NONE) for day, hours in on_job.items() if hours}
    rest = part.overtime_hours - sum((overtime + double for overtime, double in found.values()), NONE)
    most = {day: min(past[day][0], on_job[day]) for day in mixed}
    least = {day: max(past[day][0] - (all_day[day] - on_job[day]), NONE) for day in mixed}
    if any(past[day][1] for day in mixed):
        raise DaysUnknown(_not_recorded(name, mixed))
    if len(mixed) == 1 and least[mixed[0]] <= rest <= most[mixed[0]]:
        found[mixed[0]], rest = (rest, NONE), NONE
    for limit in (most, least):
        if mixed and rest and rest == sum(limit.values(), NONE):
            found, rest = found | {day: (hours, NONE) for day, hours in limit.items()}, NONE
    if rest and len(mixed) > 1:
        raise DaysUnknown(_not_recorded(name, mixed))
    if rest:
        raise DaysUnknown(
            f"{name}: {clock(part.overtime_hours)} of overtime are given for the job, which its days do not have. "
            "Correct overtime_hours or the hours of the days."
        )
    days = []
    for day in days_of(week.week_start):
        overtime, double = found.get(day, (NONE, NONE))
        days.append(DayHours(day, on_job.get(day, NONE) - overtime - double, overtime, double))
    return tuple(days)


def _not_recorded(name: str, mixed: list[date]) -> str:
    return (
        f"{name}: {' and '.join(map(str, sorted(mixed)))} had overtime and other jobs too, so the job's share of "
        "it is not recorded. Write those days' overtime into the certified payroll by hand."
    )
