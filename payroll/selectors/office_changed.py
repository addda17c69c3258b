"""What the office recorded, and what plans measured, held against the audit records of it: a row that was changed,
removed or put in behind the services is found."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from django.db import connection

from jobs.selectors.measures_digest import MEASURES_DIGEST
from jobs.tenancy import organisation_in_scope


@dataclass(frozen=True, slots=True)
class Kept:
    """A kind of record of the office: its table, the audit's action, and the columns that the audit tells. `ids` are
    columns that point at a record of a kind."""

    name: str
    label: str
    action: str
    texts: tuple[str, ...] = ()
    figures: tuple[str, ...] = ()
    ids: Mapping[str, str] = field(default_factory=dict)

    @property
    def table(self) -> str:
        return self.label.replace(".", "_")


RECORDS = (
    Kept(
        "agreement", "payroll.agreement", "agreement_record",
        ("kind", "guarantee_hours", "signed_on", "starts_on", "ends_on", "words", "reference", "withdrawn"), ("rate",),
        {"person": "jobs.person", "replaces": "payroll.agreement"},
    ),
    Kept(
        "local minimum", "payroll.localminimum", "local_minimum_record",
        ("starts_on", "cite", "read_on", "withdrawn"), ("amount",),
        {"job": "jobs.job", "replaces": "payroll.localminimum"},
    ),
    Kept(
        "missed break", "payroll.missedbreak", "missed_break_record", ("missed_on", "kind", "withdrawn"), (),
        {"person": "jobs.person", "replaces": "payroll.missedbreak"},
    ),
    Kept(
        "pay period", "payroll.payperiod", "pay_period_set", ("starts_on",), ("weeks", "pay_day_after"),
        {"replaces": "payroll.payperiod"},
    ),
    Kept("height band", "payroll.heightband", "height_band_create", ("name",), ("from_inches",)),
)  # fmt: skip


def now_id(kind: str, then: str) -> str:
    """SQL: the id that a record of a kind bears now, by the one that audit record `a` tells; a restore gives new."""
    return f"""(CASE WHEN a.written_in IS NULL THEN ({then})::bigint ELSE (
        SELECT f.now FROM jobs_formerid f
         WHERE f.organisation_id = a.organisation_id AND f.written_in = a.written_in AND f.kind = '{kind}'
           AND f.former = ({then})::bigint) END)"""  # noqa: S608


def _records_sql(kept: Kept) -> str:
    told = {name: (f"r.{name}::text", f"a.after->>'{name}'") for name in kept.texts}
    told |= {name: (f"r.{name}::numeric", f"(a.after->>'{name}')::numeric") for name in kept.figures}
    told |= {name: (f"r.{name}_id", now_id(kind, f"a.after->>'{name}'")) for name, kind in kept.ids.items()}
    differ = [
        f"CASE WHEN {is_now} IS DISTINCT FROM {was} THEN "
        f"'{name} is ' || COALESCE({is_now}::text, 'none') || ', recorded was ' || COALESCE({was}::text, 'none') END"
        for name, (is_now, was) in told.items()
    ]
    return f"""
    SELECT key, why FROM (
      SELECT COALESCE(r.id::text, a.subject_key) AS key,
             CASE WHEN r.id IS NULL THEN 'it was removed'
                  WHEN a.id IS NULL THEN 'no audit record tells of it'
                  ELSE NULLIF(concat_ws('; ', {", ".join(differ)}), '') END AS why
        FROM (SELECT a.*, {now_id(kept.label, "a.subject_key")} AS now FROM jobs_auditrecord a
               WHERE a.organisation_id = %(organisation)s AND a.action = '{kept.action}') a
        FULL JOIN (SELECT * FROM {kept.table} WHERE organisation_id = %(organisation)s) r ON r.id = a.now
    ) held
    WHERE why IS NOT NULL ORDER BY key
    """  # noqa: S608


# A line of the budget is changed in its row: the newest record of its operation tells how it stands.
_BUDGETS = f"""
SELECT COALESCE(r.job_id, a.job) || ', operation ' || COALESCE(r.operation_id, a.operation),
       CASE WHEN r.id IS NULL THEN 'it was removed'
            WHEN a.after IS NULL THEN 'no audit record tells of it'
            ELSE 'it is ' || r.quantity || ' for ' || r.labour_money || ', set was '
                 || (a.after->>'quantity') || ' for ' || (a.after->>'labour_money') END
  FROM (SELECT DISTINCT ON (job, operation) * FROM (
          SELECT a.id, a.after, {now_id("jobs.job", "a.subject_key")} AS job,
                 {now_id("jobs.operation", "a.after->>'operation'")} AS operation
            FROM jobs_auditrecord a WHERE a.organisation_id = %(organisation)s AND a.action = 'budget_set') told
         ORDER BY job, operation, id DESC) a
  FULL JOIN (SELECT * FROM jobs_budgetline WHERE organisation_id = %(organisation)s) r
    ON r.job_id = a.job AND r.operation_id = a.operation
 WHERE r.id IS NULL OR a.after IS NULL OR r.quantity <> (a.after->>'quantity')::numeric
    OR r.labour_money <> (a.after->>'labour_money')::numeric
 ORDER BY 1
"""  # noqa: S608
# Of imports of one revision the last one tells all that it measured.
_PLANS = f"""
SELECT COALESCE(r.number::text, a.after->>'number') || ' of job ' || (a.after->>'job'),
       CASE WHEN r.id IS NULL THEN 'it was removed'
            WHEN encode(sha256(r.source), 'hex') <> a.after->>'sha256' THEN 'its file is not the one that was imported'
            ELSE 'what it measured is not what was written at its import' END
  FROM (SELECT DISTINCT ON (subject_key, written_in) *, {now_id("jobs.planrevision", "a.subject_key")} AS now
          FROM jobs_auditrecord a WHERE organisation_id = %(organisation)s AND action = 'plan_import'
         ORDER BY subject_key, written_in, id DESC) a
  LEFT JOIN jobs_planrevision r ON r.organisation_id = a.organisation_id AND r.id = a.now
 WHERE r.id IS NULL OR encode(sha256(r.source), 'hex') <> a.after->>'sha256'
    OR (a.after->>'measures') <> ({MEASURES_DIGEST.format(revision="r.id", written_in="a.written_in")})
 ORDER BY 1
"""  # noqa: S608
_UNITS = """
SELECT u.id::text, 'it measures ' || u.measured || ', and its newest measure is ' || m.measured
  FROM jobs_workunit u
  JOIN LATERAL (SELECT m.measured FROM jobs_workunitmeasure m
                 WHERE m.organisation_id = u.organisation_id AND m.work_unit_id = u.id
                 ORDER BY m.id DESC LIMIT 1) m ON u.measured <> m.measured
 WHERE u.organisation_id = %(organisation)s
 ORDER BY u.id
"""


def office_changed() -> list[str]:
    """A sentence for each record of the office, budget, plan and measure of the organisation in scope that is not what
    was written."""
    given = {"organisation": organisation_in_scope()}
    looks = [(kept.name, _records_sql(kept)) for kept in RECORDS]
    looks += [("budget of job", _BUDGETS), ("plan revision", _PLANS), ("work unit", _UNITS)]
    found = []
    with connection.cursor() as cursor:
        for name, sql in looks:
            cursor.execute(sql, given)
            found += [f"{name} {key}: {why}." for key, why in cursor.fetchall()]
    return found
