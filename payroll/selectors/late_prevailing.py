"""Closed weeks that prevailing rates reached after they were paid: a determination entered late is still owed."""

from __future__ import annotations

from django.db import connection

from jobs.tenancy import organisation_in_scope

# A statement in force, paid before the rate was entered, of a week and class that the rate holds for, on its job.
_LATE = """
SELECT DISTINCT t.pay_week_id, t.person_id
  FROM payroll_prevailingrate r
  JOIN payroll_payweek w ON w.organisation_id = r.organisation_id AND w.state = 'closed' AND w.first_day >= r.starts_on
  JOIN payroll_statement t ON t.organisation_id = w.organisation_id AND t.pay_week_id = w.id
   AND t.worker_class = r.worker_class
  JOIN payroll_payweek p ON p.organisation_id = t.organisation_id AND p.id = t.paid_in_id AND p.closed_at < r.set_at
 WHERE r.organisation_id = %(organisation)s
   AND NOT EXISTS (
     SELECT 1 FROM payroll_prevailingrate n WHERE n.organisation_id = r.organisation_id AND n.replaces_id = r.id)
   AND NOT EXISTS (
     SELECT 1 FROM payroll_prevailingrate n
      WHERE n.organisation_id = r.organisation_id AND n.job_id = r.job_id AND n.worker_class = r.worker_class
        AND n.starts_on > r.starts_on AND n.starts_on <= w.first_day)
   AND NOT EXISTS (
     SELECT 1 FROM payroll_statement c WHERE c.organisation_id = t.organisation_id AND c.corrects_id = t.id)
   AND EXISTS (
     SELECT 1 FROM payroll_statementline l
       JOIN payroll_jobshare j ON j.organisation_id = l.organisation_id AND j.line_id = l.id AND j.job_id = r.job_id
      WHERE l.organisation_id = t.organisation_id AND l.statement_id = t.id)
"""


def late_by_prevailing() -> set[tuple[int, int]]:
    """(pay week, person) of closed weeks that a rate entered since holds for."""
    with connection.cursor() as cursor:
        cursor.execute(_LATE, {"organisation": organisation_in_scope()})
        return set(cursor.fetchall())
