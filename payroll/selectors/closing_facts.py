"""Closings held against their audit records: a week opened again, or the end of the chain cut off, is found.

The chain of statements shows every gap but one: its end may be cut off. The audit says how many were written.
"""

from __future__ import annotations

from django.db import connection

from jobs.tenancy import organisation_in_scope
from payroll.selectors.shares_digest import SHARES_DIGEST

# By the week's first day: a restored week bears another id than its audit record.
_WEEKS = """
SELECT a.after->>'first_day', COALESCE('it is ' || w.state, 'it was removed')
  FROM jobs_auditrecord a
  LEFT JOIN payroll_payweek w ON w.organisation_id = a.organisation_id AND w.first_day::text = a.after->>'first_day'
 WHERE a.organisation_id = %(organisation)s AND a.action = 'payweek_close' AND w.state IS DISTINCT FROM 'closed'
 ORDER BY 1
"""
_STATEMENTS = """
SELECT (SELECT COALESCE(sum(CASE WHEN a.after->'numbers' IS NOT NULL
                            THEN (a.after->'numbers'->>1)::bigint - (a.after->'numbers'->>0)::bigint + 1
                            -- Written before closings told the numbers of their statements.
                            WHEN a.action = 'payweek_close'
                            THEN (a.after->>'statements')::bigint + (a.after->>'corrections')::bigint
                            ELSE jsonb_array_length(a.after->'statements') END), 0)
          FROM jobs_auditrecord a
         WHERE a.organisation_id = %(organisation)s AND a.action IN ('payweek_close', 'final_pay_close')),
       (SELECT count(*) FROM payroll_statement s WHERE s.organisation_id = %(organisation)s)
"""
# What its lines cost each job and paid for each entry: the digest of a statement holds neither.
_SHARES = f"""
SELECT (a.after->'numbers'->>0) || ' to ' || (a.after->'numbers'->>1)
  FROM jobs_auditrecord a
 WHERE a.organisation_id = %(organisation)s AND a.action IN ('payweek_close', 'final_pay_close')
   AND a.after->>'shares' <> ({
    SHARES_DIGEST.format(
        first="(a.after->'numbers'->>0)::bigint", last="(a.after->'numbers'->>1)::bigint", written_in="a.written_in"
    )
})
 ORDER BY a.id
"""  # noqa: S608


def closings_changed() -> list[str]:
    """A sentence for each closed week of the organisation in scope that is not closed, for statements too few or too
    many, and for lines that are not shared out over jobs and entries as they were."""
    given = {"organisation": organisation_in_scope()}
    with connection.cursor() as cursor:
        cursor.execute(_WEEKS, given)
        found = [f"week of {first_day}: it was closed, and {now}." for first_day, now in cursor.fetchall()]
        cursor.execute(_STATEMENTS, given)
        told, stand = cursor.fetchone()
        cursor.execute(_SHARES, given)
        shared = [f"statements {numbers}: their lines are shared out otherwise." for (numbers,) in cursor.fetchall()]
    if told != stand:
        found.append(f"statements: closings wrote {told}, and {stand} are there.")
    return found + shared
