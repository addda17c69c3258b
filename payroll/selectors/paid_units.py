"""Work units that are paid beyond what the newest plan measures: shown to the office, taken back from nobody."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from django.db import connection

from jobs.tenancy import organisation_in_scope

# What a statement paid stands until another corrects it; then that one tells all.
_PAID = """
SELECT w.id, l.name, wall.mark, o.name, o.unit, concat_ws(', ', NULLIF('opening ' || w.opening, 'opening '),
       NULLIF(w.face, '') || ' face', 'layer ' || NULLIF(w.layer, 0)), w.measured, p.quantity, p.amount
  FROM (SELECT e.work_unit_id, sum(a.quantity) AS quantity, sum(a.amount) AS amount
          FROM payroll_lineallotment a
          JOIN payroll_statementline x ON x.organisation_id = a.organisation_id AND x.id = a.line_id
          JOIN jobs_entry e ON e.organisation_id = a.organisation_id AND e.id = a.entry_id
         WHERE a.organisation_id = %(organisation)s AND e.job_id = %(job)s
           AND NOT EXISTS (SELECT 1 FROM payroll_statement n
                            WHERE n.organisation_id = x.organisation_id AND n.corrects_id = x.statement_id)
         GROUP BY e.work_unit_id) p
  JOIN jobs_workunit w ON w.organisation_id = %(organisation)s AND w.id = p.work_unit_id
  JOIN jobs_operation o ON o.organisation_id = w.organisation_id AND o.id = w.operation_id
  JOIN jobs_level l ON l.organisation_id = w.organisation_id AND l.id = w.level_id
  LEFT JOIN jobs_wall wall ON wall.organisation_id = w.organisation_id AND wall.id = w.wall_id
 WHERE p.quantity > w.measured
 ORDER BY l.position, wall.mark NULLS FIRST, o.position, w.id
"""


@dataclass(frozen=True, slots=True)
class PaidBeyond:
    """A work unit and what is paid of it: in its operation's unit, and the money of all of it. `mark` may be empty."""

    work_unit: int
    level: str
    mark: str
    operation: str
    unit: str
    part: str
    measured: Decimal
    paid: Decimal
    money: Decimal

    @property
    def beyond(self) -> Decimal:
        return self.paid - self.measured


def paid_beyond(*, job: int) -> list[PaidBeyond]:
    """Work units of a job that are paid past their measure. Needs the organisation in scope."""
    with connection.cursor() as cursor:
        cursor.execute(_PAID, {"organisation": organisation_in_scope(), "job": job})
        return [PaidBeyond(row[0], row[1], row[2] or "", *row[3:]) for row in cursor.fetchall()]
