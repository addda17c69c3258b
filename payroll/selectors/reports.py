"""Weekly reports as they were made, and which are due."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db import connection
from django.db.models import Exists, F, OuterRef, Q, QuerySet

from jobs.models import Organisation
from jobs.refusals import not_found
from jobs.tenancy import organisation_in_scope
from payroll.models import JobShare, Statement, WeeklyReport


@dataclass(frozen=True, slots=True)
class ReportRow:
    """A report in a job's list. `corrected` tells that pay of its week was corrected after it was made."""

    report: int
    job: int
    first_day: date
    last_day: date
    labour: str
    made_at: datetime
    corrected: bool


@dataclass(frozen=True, slots=True)
class Correction:
    """A statement that corrected a report's week after the report was made."""

    statement: int
    number: int
    person: str


@dataclass(frozen=True, slots=True)
class Due:
    """A report that is to be made: a job that had paid work in a closed week and has no report of it."""

    job: int
    first_day: date


def job_reports(*, job: int) -> list[ReportRow]:
    """A job's weekly reports, newest week first, without their papers."""
    rows = (
        WeeklyReport.objects.filter(job_id=job)
        .order_by("-first_day")
        .values_list("pk", "job_id", "first_day", "figures__week__labour", "made_at")
    )
    later = {(first, at) for first, at in _corrections(job).values_list("pay_week__first_day", "paid_in__closed_at")}
    return [
        ReportRow(
            pk,
            of,
            first,
            first + timedelta(days=6),
            labour,
            made,
            any(week == first and at > made for week, at in later),
        )
        for pk, of, first, labour, made in rows
    ]


def _corrections(job: int) -> QuerySet[Statement]:
    """Statements of closed weeks, paid in a later one, of people of whose pay that week the job bore some."""
    borne = JobShare.objects.filter(
        job=job,
        line__statement__pay_week=OuterRef("pay_week"),
        line__statement__person=OuterRef("person"),
    )
    return Statement.objects.filter(~Q(pay_week=F("paid_in")), Exists(borne), paid_in__closed_at__isnull=False)


def corrected_since(report: WeeklyReport) -> list[Correction]:
    """Statements that corrected the report's week after it was made, by number. The report stays as it was frozen."""
    found = _corrections(report.job_id).filter(
        pay_week__first_day=report.first_day, paid_in__closed_at__gt=report.made_at
    )
    rows = found.order_by("number").values_list("pk", "number", "person__name")
    return [Correction(pk, number, name) for pk, number, name in rows]


def weekly_report(*, job: int, first_day: date) -> WeeklyReport:
    """One report with figures, chart (SVG) and PDF. Raises NotFound."""
    report = WeeklyReport.objects.filter(job_id=job, first_day=first_day).first()
    if report is None:
        raise not_found("first_day", "weekly report", first_day)
    return report


_DUE = """
SELECT DISTINCT j.job_id, w.first_day
  FROM payroll_payweek w
  JOIN payroll_statement s ON s.organisation_id = w.organisation_id AND s.pay_week_id = w.id
  JOIN payroll_statementline l ON l.organisation_id = s.organisation_id AND l.statement_id = s.id
  JOIN payroll_jobshare j ON j.organisation_id = l.organisation_id AND j.line_id = l.id
 WHERE w.organisation_id = %(organisation)s AND w.state = 'closed' AND w.first_day + 6 < %(today)s
   AND NOT EXISTS (SELECT 1 FROM payroll_weeklyreport r
                    WHERE r.organisation_id = w.organisation_id AND r.job_id = j.job_id AND r.first_day = w.first_day)
 ORDER BY w.first_day, j.job_id
"""


def reports_due(*, now: datetime) -> list[Due]:
    """Reports to make now: of weeks that are over where the organisation is, and closed, so their cost is known."""
    organisation = Organisation.objects.get(pk=organisation_in_scope())
    today = now.astimezone(ZoneInfo(organisation.time_zone)).date()
    with connection.cursor() as cursor:
        cursor.execute(_DUE, {"organisation": organisation.pk, "today": today})
        return [Due(job, first) for job, first in cursor.fetchall()]
