"""The certified payroll as a table, one row a person: hours of each day on the job and in all, rates, money."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from payroll.law.certified import CertifiedPayroll, CertifiedRow
from payroll.reports.csv_out import csv_bytes
from payroll.selectors.certified import CertifiedSheet

COLUMNS = (
    "job", "job_code", "week_from", "week_to", "name", "identifying_number", "class",
    *(f"day_{day}_{what}" for day in range(1, 8) for what in ("straight", "overtime", "double", "all_work")),
    "hours_on_job", "hours_all_work", "basic_rate", "fringe_rate", "fringe_to_plans", "paid_an_hour",
    "fringe_in_cash", "earned_on_job", "earned_all_work", "deductions", "wages_paid",
)  # fmt: skip
CENT = Decimal("0.01")


def certified_csv(sheet: CertifiedSheet, payroll: CertifiedPayroll) -> bytes:
    """The payroll as CSV; deductions and wages paid are empty, for the firm's payroll to complete."""
    return csv_bytes(COLUMNS, (_cells(sheet, row) for row in payroll.rows))


def _cells(sheet: CertifiedSheet, row: CertifiedRow) -> list[object]:
    days: list[object] = []
    for day, in_all in zip(row.days, row.days_in_all, strict=True):
        days += [hours(day.straight), hours(day.overtime), hours(day.double), hours(in_all)]
    return [
        sheet.job, sheet.job_code, sheet.first_day, sheet.last_day, row.name, row.identifying_number, row.worker_class,
        *days, hours(row.hours), hours(row.hours_in_all), row.basic, row.fringe, row.fringe_to_plan,
        hours(row.paid_an_hour), row.fringe_in_cash, row.earned_on_job, row.earned_in_all, None, None,
    ]  # fmt: skip


def hours(exact: Fraction) -> Decimal:
    """Hours or an hourly figure to the hundredth, halves up, for reading."""
    return (Decimal(exact.numerator) / exact.denominator).quantize(CENT, rounding=ROUND_HALF_UP)
