"""Every line of the statements paid in a week, as rows of the office's table, read a piece at a time."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.db import connection

from jobs.tenancy import organisation_in_scope
from payroll.reports.statement_csv import COLUMNS, row

_LINES = """
SELECT s.number, p.first_day, h.number, h.name, s.worker_class, l.code,
       l.text || COALESCE(', ' || j.name, ''), l.quantity, l.unit, l.rate, l.amount, s.currency
  FROM payroll_statement s
  JOIN payroll_payweek p ON p.organisation_id = s.organisation_id AND p.id = s.pay_week_id
  JOIN jobs_person h ON h.organisation_id = s.organisation_id AND h.id = s.person_id
  JOIN payroll_statementline l ON l.organisation_id = s.organisation_id AND l.statement_id = s.id
  LEFT JOIN jobs_job j ON j.organisation_id = l.organisation_id AND j.id = l.job_id
 WHERE s.organisation_id = %s AND s.paid_in_id = %s
 ORDER BY s.number, l.position
"""
_SUMS = """
SELECT s.number, p.first_day, h.number, h.name, s.worker_class, s.currency, s.gross, s.difference
  FROM payroll_statement s
  JOIN payroll_payweek p ON p.organisation_id = s.organisation_id AND p.id = s.pay_week_id
  JOIN jobs_person h ON h.organisation_id = s.organisation_id AND h.id = s.person_id
 WHERE s.organisation_id = %s AND s.paid_in_id = %s
 ORDER BY s.number
"""
_AT_ONCE = 2000


def week_table(*, pay_week: int) -> Iterator[list[Any]]:
    """The head, a row for each line, then for each statement its gross and what is paid for it in this week."""
    yield list(COLUMNS)
    for number, week, person, name, worker_class, code, text, quantity, unit, rate, amount, currency in _read(
        _LINES, pay_week
    ):
        shared = {"statement": number, "week": week, "number": person, "person": name, "class_": worker_class}
        figures = {"quantity": quantity, "unit": unit, "rate": rate, "amount": amount, "currency": currency}
        yield row(**shared, **figures, row="line", code=code, text=text)
    for number, week, person, name, worker_class, currency, gross, difference in _read(_SUMS, pay_week):
        shared = {"statement": number, "week": week, "number": person, "person": name, "class_": worker_class}
        yield row(**shared, row="gross", currency=currency, amount=gross)
        yield row(**shared, row="paid here", currency=currency, amount=difference)


def _read(sql: str, pay_week: int) -> Iterator[tuple[Any, ...]]:
    with connection.chunked_cursor() as cursor:
        cursor.execute(sql, [organisation_in_scope(), pay_week])
        while rows := cursor.fetchmany(_AT_ONCE):
            yield from rows
