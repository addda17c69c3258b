"""What was paid above a corrected week and is not taken back: spent money of its week, borne by the jobs that fell.

A statement in force says by how much more its week was paid. Each job bears a part in proportion to how far its share
fell below that of the statement which paid most for the week.
"""

from __future__ import annotations

from collections import defaultdict
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db import connection

from jobs.tenancy import organisation_in_scope
from payroll.law import allot

_SHARES = """
WITH over AS (
  SELECT s.id, s.overpaid, s.pay_week_id, s.person_id, w.first_day
    FROM payroll_payweek w
    JOIN payroll_statement s ON s.organisation_id = w.organisation_id AND s.pay_week_id = w.id AND s.overpaid > 0
     AND NOT EXISTS (
       SELECT 1 FROM payroll_statement c WHERE c.organisation_id = s.organisation_id AND c.corrects_id = s.id)
   WHERE w.organisation_id = %(organisation)s AND w.state = 'closed' AND w.first_day <= %(last)s
)
SELECT o.id, o.first_day, o.overpaid, t.id, j.job_id, sum(j.amount)
  FROM over o
  JOIN payroll_statement t ON t.organisation_id = %(organisation)s AND t.pay_week_id = o.pay_week_id
   AND t.person_id = o.person_id
  LEFT JOIN payroll_statementline l ON l.organisation_id = t.organisation_id AND l.statement_id = t.id
  LEFT JOIN payroll_jobshare j ON j.organisation_id = l.organisation_id AND j.line_id = l.id
 GROUP BY o.id, o.first_day, o.overpaid, t.id, j.job_id
 ORDER BY o.id, t.id, j.job_id
"""


def overpaid_by_week(*, job: int, last: date) -> dict[date, Decimal]:
    """What a job bears of money overpaid and not taken back, by the week that was worked, up to a week."""
    known: dict[int, tuple[date, Decimal]] = {}
    shares: defaultdict[int, defaultdict[int, dict[int, Decimal]]] = defaultdict(lambda: defaultdict(dict))
    with connection.cursor() as cursor:
        cursor.execute(_SHARES, {"organisation": organisation_in_scope(), "last": last})
        for statement, first, overpaid, other, on, amount in cursor.fetchall():
            known[statement] = (first, overpaid)
            of_other = shares[statement][other]
            if on is not None:
                of_other[on] = amount
    found: defaultdict[date, Decimal] = defaultdict(Decimal)
    for statement, (first, overpaid) in known.items():
        borne = _borne(overpaid, shares[statement], statement)
        if borne.get(job):
            found[first] += borne[job]
    return dict(found)


def _borne(overpaid: Decimal, shares: dict[int, dict[int, Decimal]], now: int) -> dict[int, Decimal]:
    top = max(shares.values(), key=lambda jobs: sum(jobs.values()))
    stands = shares[now]
    fell = [(job, Fraction(max(amount - stands.get(job, Decimal(0)), Decimal(0)))) for job, amount in top.items()]
    return allot(overpaid, fell) if any(weight for _, weight in fell) else {}
