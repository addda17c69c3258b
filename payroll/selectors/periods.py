"""Pay periods and pay days: which period a workweek belongs to, when it is paid, and what the law says about that."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Exists, OuterRef, QuerySet

from jobs.models import Job
from payroll.law import RULE_SETS, ParameterMissing, the_book
from payroll.law.pay_days import longer_period, pay_day_due
from payroll.models import PayPeriod

DAYS = 7


@dataclass(frozen=True, slots=True)
class Period:
    """One pay period: its first and last day, and its pay day."""

    first_day: date
    last_day: date
    pay_day: date


@dataclass(frozen=True, slots=True)
class PeriodRow:
    """A setting of pay periods: from a day on, until the next one starts."""

    period: int
    starts_on: date
    weeks: int
    pay_day_after: int
    in_force: bool


def periods_in_force() -> QuerySet[PayPeriod]:
    return PayPeriod.objects.filter(~Exists(PayPeriod.objects.filter(replaces=OuterRef("pk"))))


def period_of(first_day: date) -> Period | None:
    """The pay period of the workweek that begins on a day; None where the organisation has set none by then."""
    return period_in(settings(), first_day)


def settings() -> list[PayPeriod]:
    """Settings in force, oldest start first, for `period_in`."""
    return list(periods_in_force().order_by("starts_on"))


def period_in(known: list[PayPeriod], first_day: date) -> Period | None:
    """As `period_of`, from the settings. A period of two weeks that the next setting cuts short has one."""
    place = next((nth for nth in reversed(range(len(known))) if known[nth].starts_on <= first_day), None)
    if place is None:
        return None
    setting = known[place]
    length = setting.weeks * DAYS
    begins = first_day - timedelta(days=(first_day - setting.starts_on).days % length)
    ends = begins + timedelta(days=length - 1)
    if place + 1 < len(known):
        ends = min(ends, known[place + 1].starts_on - timedelta(days=1))
    return Period(begins, ends, ends + timedelta(days=setting.pay_day_after))


def period_rows(*, on: date) -> list[PeriodRow]:
    """Every setting, newest start first."""
    known = settings()
    newest = max((row.starts_on for row in known if row.starts_on <= on), default=None)
    rows = [PeriodRow(row.pk, row.starts_on, row.weeks, row.pay_day_after, row.starts_on == newest) for row in known]
    return rows[::-1]


def pay_day_cautions(period: Period | None, on: date) -> list[str]:
    """What the rule sets of the organisation's jobs say about pay days, and whether the period keeps to them.

    Without a period the rules alone.
    """
    said = []
    for rules in sorted(set(Job.objects.values_list("rule_set", flat=True)) & set(RULE_SETS)):
        try:
            due = pay_day_due(the_book(), rules, period.last_day if period else on)
        except ParameterMissing:
            continue
        late = period is not None and due.by is not None and period.pay_day > due.by
        words = f"The pay day {period.pay_day} is later than that. " if late and period is not None else ""
        if period is not None:
            longer = longer_period(the_book(), rules, period.first_day, period.last_day)
            said += [f"{rules}: {sentence}" for sentence in longer]
        said.append(f"{rules}: {words}{due.sentence if period else due.sentence_of_rule}")
    return said
