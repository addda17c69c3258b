"""What a closed week hands to the firm's own payroll: earnings and hours by code, and the sums that other pay rests on.

Taxes, remittances, deductions, holiday, vacation and sick pay are made there. Which of the bases each of them rests on
is for the law of the place; they stand apart so that it can choose.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db.models import Count, Sum

from jobs.models import Job
from jobs.refusals import Conflict, Mistake, not_found
from payroll.models import JobShare, PayWeek, Statement, StatementHours, StatementLine
from payroll.selectors.pricing import QUANTITY, rounded

FORMAT = "piecewall payroll 1"
CORRECTION = "correction"
PREMIUMS = ("overtime", "double")
FRINGE = "fringe"
NOTHING = Decimal("0.00")


@dataclass(frozen=True, slots=True)
class EarningRow:
    """What a statement pays under one code for one job. `hours` where the code is a kind of time, else None. A
    correction names the week whose difference it pays, and no job."""

    statement: int
    number: str
    name: str
    worker_class: str
    for_week: date
    job: str
    code: str
    hours: Decimal | None
    amount: Decimal
    currency: str


@dataclass(frozen=True, slots=True)
class BaseRow:
    """A statement's sums. `ordinary` is the gross without overtime and double-time premiums, cash in lieu of fringe and
    corrections of other weeks."""

    statement: int
    number: str
    name: str
    gross: Decimal
    ordinary: Decimal
    premiums: Decimal
    fringe_in_cash: Decimal
    corrections: Decimal
    hours: Decimal
    overtime_hours: Decimal
    double_hours: Decimal
    days_worked: int
    currency: str


@dataclass(frozen=True, slots=True)
class PayrollExport:
    """All that a closed week pays, by statement number."""

    first_day: date
    earnings: tuple[EarningRow, ...]
    bases: tuple[BaseRow, ...]

    @property
    def gross(self) -> Decimal:
        return sum((row.gross for row in self.bases), NOTHING)


def payroll_export(*, first_day: date) -> PayrollExport:
    """Raises NotFound, and Conflict for a week that is still open."""
    week = PayWeek.objects.filter(first_day=first_day).first()
    if week is None:
        raise not_found("first_day", "pay week of", first_day)
    if week.state != PayWeek.State.CLOSED:
        raise Conflict(
            Mistake("first_day", f"the week of {first_day} is not closed, so nothing is paid yet. Close it first.")
        )
    statements = list(Statement.objects.filter(pay_week=week, paid_in=week).select_related("person").order_by("number"))
    amounts = _amounts(statements)
    hours = _hours(statements)
    codes = dict(Job.objects.values_list("pk", "code"))
    earnings = [row for one in statements for row in _earnings(one, first_day, amounts, hours, codes)]
    days = dict(
        StatementHours.objects.filter(statement__in=statements)
        .exclude(hours__kind="meal")
        .values_list("statement")
        .annotate(days=Count("hours__worked_on", distinct=True))
    )
    return PayrollExport(
        first_day, tuple(earnings), tuple(_base(one, amounts, days.get(one.pk, 0)) for one in statements)
    )


# Statement, job or None, code, week -> amount.
_Amounts = dict[int, dict[tuple[int | None, str, date | None], Decimal]]


def _amounts(statements: list[Statement]) -> _Amounts:
    found: _Amounts = {one.pk: {} for one in statements}
    shares = JobShare.objects.filter(line__statement__in=statements)
    for statement, job, code, amount in shares.values_list("line__statement", "job", "line__code").annotate(
        sum=Sum("amount")
    ):
        found[statement][job, code, None] = amount
    corrections = StatementLine.objects.filter(statement__in=statements, code=CORRECTION)
    for statement, week, amount in corrections.values_list("statement", "pays__pay_week__first_day").annotate(
        sum=Sum("amount")
    ):
        found[statement][None, CORRECTION, week] = amount
    return found


def _hours(statements: list[Statement]) -> dict[tuple[int, int, str], int]:
    """Minutes by statement, job and kind of time."""
    rows = (
        StatementHours.objects.filter(statement__in=statements)
        .values_list("statement", "hours__job", "hours__kind")
        .annotate(minutes=Sum("hours__minutes"))
    )
    return {(statement, job, kind): minutes for statement, job, kind, minutes in rows}


def _earnings(
    one: Statement,
    first_day: date,
    amounts: _Amounts,
    hours: dict[tuple[int, int, str], int],
    codes: dict[int, str],
) -> Iterator[EarningRow]:
    keys = set(amounts[one.pk]) | {(job, kind, None) for statement, job, kind in hours if statement == one.pk}
    for job, code, week in sorted(keys, key=lambda key: (codes.get(key[0] or 0, ""), key[1], key[2] or first_day)):
        minutes = hours.get((one.pk, job or 0, code))
        yield EarningRow(
            statement=one.number,
            number=one.person.number,
            name=one.person.name,
            worker_class=one.worker_class,
            for_week=week or first_day,
            job=codes.get(job or 0, ""),
            code=code,
            hours=None if minutes is None else rounded(Fraction(minutes, 60), QUANTITY),
            amount=amounts[one.pk].get((job, code, week), NOTHING),
            currency=one.currency,
        )


def _base(one: Statement, amounts: _Amounts, days: int) -> BaseRow:
    def of(*codes: str) -> Decimal:
        return sum((amount for (_, code, _), amount in amounts[one.pk].items() if code in codes), NOTHING)

    premiums, fringe, corrections = of(*PREMIUMS), of(FRINGE), of(CORRECTION)
    return BaseRow(
        statement=one.number,
        number=one.person.number,
        name=one.person.name,
        gross=one.gross,
        ordinary=one.gross - premiums - fringe - corrections,
        premiums=premiums,
        fringe_in_cash=fringe,
        corrections=corrections,
        hours=rounded(Fraction(one.hours["total"]), QUANTITY),
        overtime_hours=rounded(Fraction(one.hours["overtime"]), QUANTITY),
        double_hours=rounded(Fraction(one.hours["double"]), QUANTITY),
        days_worked=days,
        currency=one.currency,
    )
