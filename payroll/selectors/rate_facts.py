"""Rates held against the audit records of their setting: a price changed behind the services is found."""

from __future__ import annotations

from django.db import connection

from jobs.tenancy import organisation_in_scope

# A restored rate bears another id than its audit record, which is kept as it was written.
_RATES = """
SELECT r.id, CASE WHEN a.id IS NULL THEN 'no audit record tells of it'
                  ELSE 'it is ' || r.amount || ' from ' || r.starts_on || ' on, set was '
                       || (a.after->>'amount') || ' from ' || (a.after->>'starts_on') || ' on' END
  FROM payroll_rate r
  LEFT JOIN jobs_auditrecord a
    ON a.organisation_id = r.organisation_id AND a.subject_kind = 'rate' AND a.action = 'rate_set'
   AND ((a.written_in IS NULL AND a.subject_key = r.id::text)
        OR EXISTS (SELECT 1 FROM jobs_formerid f
                    WHERE f.organisation_id = r.organisation_id AND f.kind = 'payroll.rate' AND f.now = r.id
                      AND f.written_in = a.written_in AND f.former::text = a.subject_key))
 WHERE r.organisation_id = %(organisation)s
   AND (a.id IS NULL OR r.amount <> (a.after->>'amount')::numeric OR r.starts_on::text <> a.after->>'starts_on')
 ORDER BY r.id
"""
_RATES_GONE = """
SELECT a.subject_key, 'it was removed' FROM jobs_auditrecord a
 WHERE a.organisation_id = %(organisation)s AND a.subject_kind = 'rate' AND a.action = 'rate_set'
   AND a.written_in IS NULL
   AND NOT EXISTS (SELECT 1 FROM payroll_rate r
                    WHERE r.organisation_id = a.organisation_id AND r.id::text = a.subject_key)
 ORDER BY a.id
"""

_PREVAILING = """
SELECT r.id, CASE WHEN a.id IS NULL THEN 'no audit record tells of it'
                  ELSE 'it is ' || r.basic || ' and ' || r.fringe || ', set was ' || (a.after->>'basic') || ' and '
                       || (a.after->>'fringe') END
  FROM payroll_prevailingrate r
  LEFT JOIN jobs_auditrecord a
    ON a.organisation_id = r.organisation_id AND a.subject_kind = 'prevailing rate'
   AND a.action = 'prevailing_rate_set'
   AND ((a.written_in IS NULL AND a.subject_key = r.id::text)
        OR EXISTS (SELECT 1 FROM jobs_formerid f
                    WHERE f.organisation_id = r.organisation_id AND f.kind = 'payroll.prevailingrate' AND f.now = r.id
                      AND f.written_in = a.written_in AND f.former::text = a.subject_key))
 WHERE r.organisation_id = %(organisation)s
   AND (a.id IS NULL OR r.basic <> (a.after->>'basic')::numeric OR r.fringe <> (a.after->>'fringe')::numeric
        OR r.fringe_to_plan <> (a.after->>'fringe_to_plan')::numeric OR r.starts_on::text <> a.after->>'starts_on')
 ORDER BY r.id
"""


def rates_changed() -> list[str]:
    """A sentence for each rate of the organisation in scope that is not what was set, prevailing rates with them."""
    given = {"organisation": organisation_in_scope()}
    found = []
    with connection.cursor() as cursor:
        for name, sql in (("rate", _RATES), ("rate", _RATES_GONE), ("prevailing rate", _PREVAILING)):
            cursor.execute(sql, given)
            found += [f"{name} {rate}: {why}." for rate, why in cursor.fetchall()]
    return found
