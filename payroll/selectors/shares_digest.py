"""One digest over what the lines of a closing's statements cost each job and paid for each entry, as the closing writes
it into the audit: the chain of statements holds the lines, and this how they were shared out."""

from __future__ import annotations

from typing import Any

from django.db import connection
from django.db.models import Max

from jobs.tenancy import organisation_in_scope
from payroll.models import Statement

# By the ids under which the organisation was written first, so that a restored one has the same.
SHARES_DIGEST = """
SELECT encode(sha256(convert_to(COALESCE(
         string_agg(concat_ws(' ', w.number, w.position, w.what, w.id, w.quantity, w.amount), ','
                    ORDER BY w.number, w.position, w.what, w.id), ''), 'UTF8')), 'hex')
  FROM (SELECT s.number, l.position, p.what, COALESCE(f.former, p.id) AS id, p.quantity, p.amount
          FROM payroll_statement s
          JOIN payroll_statementline l ON l.organisation_id = s.organisation_id AND l.statement_id = s.id
          JOIN LATERAL (
            SELECT 'jobs.job' AS what, j.job_id AS id, NULL::numeric AS quantity, j.amount FROM payroll_jobshare j
             WHERE j.organisation_id = l.organisation_id AND j.line_id = l.id
             UNION ALL
            SELECT 'jobs.entry', a.entry_id, a.quantity, a.amount FROM payroll_lineallotment a
             WHERE a.organisation_id = l.organisation_id AND a.line_id = l.id) p ON true
          LEFT JOIN jobs_formerid f ON f.organisation_id = s.organisation_id AND f.written_in = {written_in}
                                   AND f.kind = p.what AND f.now = p.id
         WHERE s.organisation_id = %(organisation)s AND s.number BETWEEN {first} AND {last}) w
"""


def newest_number() -> int:
    """The number of the newest statement of the organisation in scope, 0 before the first."""
    return Statement.objects.aggregate(newest=Max("number"))["newest"] or 0


def shared_out(count: int) -> dict[str, Any]:
    """For the audit of a closing that wrote the newest `count` statements: their numbers, and how they were shared out.

    Needs the closing's lock, so that nobody writes others meanwhile.
    """
    last = newest_number()
    first = last - count + 1
    given = {"organisation": organisation_in_scope(), "first": first, "last": last}
    sql = SHARES_DIGEST.format(first="%(first)s", last="%(last)s", written_in="NULL::bigint")
    with connection.cursor() as cursor:
        cursor.execute(sql, given)
        return {"numbers": [first, last], "shares": cursor.fetchone()[0]}
