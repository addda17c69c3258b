"""The chain of statements made again from the rows: every digest recomputed, every link followed."""

from __future__ import annotations

from django.db import connection

from jobs.tenancy import organisation_in_scope
from payroll.chain import BEGINNING, Link, figures_content, line_content, statement_digest
from payroll.models import Statement, StatementLine

_WORK = """
SELECT encode(sha256(convert_to(string_agg(a.entry_id || ' ' || a.quantity, ',' ORDER BY a.entry_id), 'UTF8')), 'hex')
  FROM payroll_statementline l
  JOIN payroll_lineallotment a ON a.organisation_id = l.organisation_id AND a.line_id = l.id
 WHERE l.organisation_id = %s AND l.statement_id = %s
"""


def chain_breaks() -> list[str]:
    """A sentence for each statement of the organisation in scope whose rows or place do not fit its digest."""
    found: list[str] = []
    before, number = BEGINNING, 0
    statements = Statement.objects.select_related("pay_week", "paid_in", "corrects").order_by("number")
    for statement in statements.iterator(chunk_size=200):
        if statement.number != number + 1:
            found.append(f"statement {number + 1}: it is missing; the next that is there is {statement.number}.")
        if bytes(statement.previous_digest) != before:
            found.append(f"statement {statement.number}: it does not follow the statement before it.")
        if digest_again(statement) != bytes(statement.digest):
            found.append(f"statement {statement.number}: its rows are not those that its digest was made from.")
        before, number = bytes(statement.digest), statement.number
    return found


def digest_again(statement: Statement) -> bytes:
    """The digest of a statement, made from its rows as they are now."""
    link = Link(
        organisation=organisation_in_scope(),
        number=statement.number,
        previous=bytes(statement.previous_digest),
        person=statement.person_id,
        worked=statement.pay_week.first_day,
        paid_in=statement.paid_in.first_day,
        corrects=statement.corrects.number if statement.corrects else None,
        difference=statement.difference,
        overpaid=statement.overpaid,
    )
    lines = StatementLine.objects.filter(statement=statement).select_related("pays").order_by("position")
    contents = [line_content(line, line.job_id, line.pays.number if line.pays else None) for line in lines]
    with connection.cursor() as cursor:
        cursor.execute(_WORK, [organisation_in_scope(), statement.pk])
        work = cursor.fetchone()[0] or ""
    return statement_digest(link, figures_content(statement), contents, work)
