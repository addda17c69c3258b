"""Closings held against their audit records: a week opened again, or the end of the chain cut off, is found.

The chain of statements shows every gap but one: its end may be cut off. The audit says how many were written.
"""

from __future__ import annotations

from django.db import connection

from jobs.tenancy import organisation_in_scope

# By the week's first day: a restored week bears another id than its audit record.
_WEEKS = """
SELECT a.after->>'first_day', COALESCE('it is ' || w.state, 'it was removed')
  FROM jobs_auditrecord a
  LEFT JOIN payroll_payweek w ON w.organisation_id = a.organisation_id AND w.first_day::text = a.after->>'first_day'
 WHERE a.organisation_id = %(organisation)s AND a.action = 'payweek_close' AND w.state IS DISTINCT FROM 'closed'
 ORDER BY 1
"""
_STATEMENTS = """
SELECT (SELECT COALESCE(sum(CASE a.action WHEN 'payweek_close'
                            THEN (a.after->>'statements')::bigint + (a.after->>'corrections')::bigint
                            ELSE jsonb_array_length(a.after->'statements') END), 0)
          FROM jobs_auditrecord a
         WHERE a.organisation_id = %(organisation)s AND a.action IN ('payweek_close', 'final_pay_close')),
       (SELECT count(*) FROM payroll_statement s WHERE s.organisation_id = %(organisation)s)
"""


def closings_changed() -> list[str]:
    """A sentence for each closed week of the organisation in scope that is not closed, and for statements too few or
    too many."""
    given = {"organisation": organisation_in_scope()}
    with connection.cursor() as cursor:
        cursor.execute(_WEEKS, given)
        found = [f"week of {first_day}: it was closed, and {now}." for first_day, now in cursor.fetchall()]
        cursor.execute(_STATEMENTS, given)
        told, stand = cursor.fetchone()
    if told != stand:
        found.append(f"statements: closings wrote {told}, and {stand} are there.")
    return found
