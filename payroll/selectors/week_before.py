"""What a workweek's pay takes from the one before it in the same pay period, where a rule set reckons over both."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.db.models import Exists, OuterRef, Sum

from payroll.law import WeekBefore
from payroll.law.pay_days import by_pay_period
from payroll.law.rules.pay_period import PREMIUMS
from payroll.models import PayWeek, Statement, StatementLine
from payroll.selectors.periods import DAYS, Period


@dataclass(frozen=True, slots=True)
class Before:
    """What is known of a person's week before: its rule set and figures, or neither where no statement tells them."""

    rules: str = ""
    figures: WeekBefore | None = None


def before_of(rules: str, hours: Mapping[str, Any], regular_rate: str, paid: Mapping[str, Decimal]) -> Before | None:
    """A statement's figures for the week after it; None where nothing was worked. `paid` is its money by line code."""
    if not paid.keys() - {"correction"}:
        return None
    if not by_pay_period(rules) or not regular_rate:
        return Before()
    total = Fraction(hours["total"])
    premiums = sum((paid.get(code, Decimal("0.00")) for code in PREMIUMS), Decimal("0.00"))
    overtime, double = Fraction(hours["overtime"]), Fraction(hours["double"])
    return Before(rules, WeekBefore(total, overtime, double, Fraction(regular_rate) * total, premiums))


def weeks_before(first_day: date, period: Period | None, people: Sequence[int]) -> dict[int, Before]:
    """The week before of people, where it belongs to the same pay period; who did not work in it is left out."""
    if period is None or first_day <= period.first_day:
        return {}
    week = PayWeek.objects.filter(first_day=first_day - timedelta(days=DAYS)).first()
    if week is None:
        return dict.fromkeys(people, Before())
    corrected = Statement.objects.filter(corrects=OuterRef("pk"))
    statements = list(Statement.objects.filter(~Exists(corrected), pay_week=week, person__in=people))
    paid: defaultdict[int, dict[str, Decimal]] = defaultdict(dict)
    lines = StatementLine.objects.filter(statement__in=[one.pk for one in statements])
    for statement, code, amount in lines.values_list("statement", "code").annotate(sum=Sum("amount")):
        paid[statement][code] = amount
    if week.state == PayWeek.State.CLOSED:
        unpaid = {stop["person"] for stop in week.stopped if stop["first_day"] == week.first_day.isoformat()}
    else:
        unpaid = set(people)
    found = {person: Before() for person in people if person in unpaid}
    for one in statements:
        found.pop(one.person_id, None)
        if (told := before_of(one.rule_set, one.hours, one.regular_rate, paid[one.pk])) is not None:
            found[one.person_id] = told
    return found
