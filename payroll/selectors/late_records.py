"""Closed weeks that a record of the office reaches back into: an agreement, a local minimum wage, a missed break.

Whether such a week comes to something else is found by pricing it again; a week that comes to the same is left alone.
Ids are enough to tell what a closing has not seen: records are made under its lock (`payroll.services.closing_lock`).
"""

from __future__ import annotations

from django.db import connection

from jobs.tenancy import organisation_in_scope
from payroll.law.agreements import GROUP_SPLIT
from payroll.models import PayWeek

_STANDING = """
  JOIN payroll_payweek w ON w.organisation_id = x.organisation_id AND w.state = 'closed'
  JOIN payroll_statement t ON t.organisation_id = w.organisation_id AND t.pay_week_id = w.id
   AND NOT EXISTS (
     SELECT 1 FROM payroll_statement c WHERE c.organisation_id = t.organisation_id AND c.corrects_id = t.id)
"""
# Days that the new record or the one it replaces holds on.
_AGREEMENTS = f"""
SELECT DISTINCT w.id, x.person_id
  FROM payroll_agreement x
  LEFT JOIN payroll_agreement o ON o.organisation_id = x.organisation_id AND o.id = x.replaces_id
  {_STANDING} AND t.person_id = x.person_id
 WHERE x.organisation_id = %(organisation)s AND x.id > %(agreements)s AND x.kind <> %(split)s
   AND w.first_day + 6 >= LEAST(x.starts_on, o.starts_on)
   AND (x.ends_on IS NULL OR (o.id IS NOT NULL AND o.ends_on IS NULL) OR w.first_day <= GREATEST(x.ends_on, o.ends_on))
"""  # noqa: S608
_MINIMUMS = f"""
SELECT DISTINCT w.id, t.person_id
  FROM payroll_localminimum x
  {_STANDING}
  JOIN payroll_statementline l ON l.organisation_id = t.organisation_id AND l.statement_id = t.id
  JOIN payroll_jobshare s ON s.organisation_id = l.organisation_id AND s.line_id = l.id AND s.job_id = x.job_id
 WHERE x.organisation_id = %(organisation)s AND x.id > %(minimums)s AND w.first_day + 6 >= x.starts_on
"""  # noqa: S608
_BREAKS = f"""
SELECT DISTINCT w.id, x.person_id
  FROM payroll_missedbreak x
  {_STANDING} AND t.person_id = x.person_id
 WHERE x.organisation_id = %(organisation)s AND x.id > %(breaks)s
   AND x.missed_on BETWEEN w.first_day AND w.first_day + 6
"""  # noqa: S608


def reached_by_records(last: PayWeek) -> set[tuple[int, int]]:
    """(pay week, person) of closed weeks that records newer than the last closing could change."""
    given = {
        "organisation": organisation_in_scope(),
        "split": GROUP_SPLIT,
        "agreements": last.agreements_to,
        "minimums": last.minimums_to,
        "breaks": last.breaks_to,
    }
    found: set[tuple[int, int]] = set()
    with connection.cursor() as cursor:
        for sql in (_AGREEMENTS, _MINIMUMS, _BREAKS):
            cursor.execute(sql, given)
            found |= set(cursor.fetchall())
    return found
