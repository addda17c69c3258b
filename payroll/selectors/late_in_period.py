"""Closed weeks whose overtime is reckoned over a pay period with a week that changes: the second after the first."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta

from payroll.law.pay_days import by_pay_period
from payroll.models import PayPeriod, PayWeek, Statement
from payroll.selectors.periods import DAYS, period_in, settings


def late_by_period(found: set[tuple[int, int]], closed: Mapping[int, PayWeek], last: PayWeek) -> set[tuple[int, int]]:
    """(pay week, person) of closed second weeks whose first week is among `found`, which are such pairs too.

    Where the `last` closing was of a first week whose second was closed before it, everybody of the second; a period
    that was set after that reaches no closed week.
    """
    known = settings()
    known_then = [one for one in known if one.set_at <= last.closed_at]
    by_day = {week.first_day: week for week in closed.values()}
    also: set[tuple[int, int]] = set()
    for pk in {week for week, _ in found} | {last.pk}:
        first_day = closed[pk].first_day
        second = by_day.get(first_day + timedelta(days=DAYS))
        if second is None or not _together(known, first_day):
            continue
        statements = Statement.objects.filter(pay_week=second)
        if pk != last.pk or not _together(known_then, first_day):
            statements = statements.filter(person__in=[person for week, person in found if week == pk])
        for person, rules in statements.values_list("person", "rule_set"):
            if any(map(by_pay_period, rules.split(", "))):
                also.add((second.pk, person))
    return also


def _together(known: list[PayPeriod], first_day: date) -> bool:
    """Whether a workweek and the one after it are one pay period."""
    period = period_in(known, first_day)
    return period is not None and period.last_day >= first_day + timedelta(days=DAYS)
