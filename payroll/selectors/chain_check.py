"""The chain of statements made again from the rows: every digest recomputed, every link followed."""

from __future__ import annotations

from django.db import connection

from jobs.models import FormerId
from jobs.tenancy import organisation_in_scope
from payroll.chain import BEGINNING, Link, figures_content, line_content, statement_digest
from payroll.models import Statement, StatementLine

# (model, id now) -> id then
Former = dict[tuple[str, int | None], int]
# A restored entry has another id than the one that was hashed.
_WORK = """
SELECT encode(sha256(convert_to(string_agg(w.entry || ' ' || w.quantity, ',' ORDER BY w.entry), 'UTF8')), 'hex')
  FROM (SELECT COALESCE(f.former, a.entry_id) AS entry, a.quantity
          FROM payroll_statementline l
          JOIN payroll_lineallotment a ON a.organisation_id = l.organisation_id AND a.line_id = l.id
          LEFT JOIN jobs_formerid f ON f.organisation_id = a.organisation_id AND f.written_in = %s
                                   AND f.kind = 'jobs.entry' AND f.now = a.entry_id
         WHERE l.organisation_id = %s AND l.statement_id = %s) w
"""


def chain_breaks() -> list[str]:
    """A sentence for each statement of the organisation in scope whose rows or place do not fit its digest."""
    found: list[str] = []
    former: dict[int | None, Former] = {}
    before, number = BEGINNING, 0
    statements = Statement.objects.select_related("pay_week", "paid_in", "corrects").order_by("number")
    for statement in statements.iterator(chunk_size=200):
        if statement.written_in not in former:
            former[statement.written_in] = _former_ids(statement.written_in)
        if statement.number != number + 1:
            found.append(f"statement {number + 1}: it is missing; the next that is there is {statement.number}.")
        if bytes(statement.previous_digest) != before:
            found.append(f"statement {statement.number}: it does not follow the statement before it.")
        if digest_again(statement, former[statement.written_in]) != bytes(statement.digest):
            found.append(f"statement {statement.number}: its rows are not those that its digest was made from.")
        before, number = bytes(statement.digest), statement.number
    return found


def digest_again(statement: Statement, former: Former) -> bytes:
    """The digest of a statement, made from its rows as they are now. `former` holds the ids it was written under."""
    link = Link(
        organisation=statement.written_in or organisation_in_scope(),
        number=statement.number,
        previous=bytes(statement.previous_digest),
        person=former.get(("jobs.person", statement.person_id)) or statement.person_id,
        worked=statement.pay_week.first_day,
        paid_in=statement.paid_in.first_day,
        corrects=statement.corrects.number if statement.corrects else None,
        difference=statement.difference,
        overpaid=statement.overpaid,
    )
    lines = StatementLine.objects.filter(statement=statement).select_related("pays").order_by("position")
    contents = [
        line_content(line, former.get(("jobs.job", line.job_id), line.job_id), line.pays.number if line.pays else None)
        for line in lines
    ]
    with connection.cursor() as cursor:
        cursor.execute(_WORK, [statement.written_in, organisation_in_scope(), statement.pk])
        work = cursor.fetchone()[0] or ""
    return statement_digest(link, figures_content(statement), contents, work)


def _former_ids(written_in: int | None) -> Former:
    """(model, id now) -> the id under which a restored organisation's people and jobs were hashed."""
    if written_in is None:
        return {}
    rows = FormerId.objects.filter(written_in=written_in, kind__in=["jobs.person", "jobs.job"])
    return {(kind, now): former for kind, now, former in rows.values_list("kind", "now", "former")}
