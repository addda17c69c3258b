"""Making weekly reports: figures, chart and paper of one job and closed week, stored once."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.db import connection, transaction

from jobs import audit
from jobs.actors import Actor
from jobs.models import Job
from jobs.refusals import Conflict, Mistake, NotAllowed, not_found
from jobs.tenancy import organisation_scope
from payroll.models import PayWeek, WeeklyReport
from payroll.reports.canonical import canonical
from payroll.reports.weekly_pdf import weekly_pdf
from payroll.selectors.weekly import weekly_figures

MAY_MAKE = frozenset({"owner", "office", "system"})


@dataclass(frozen=True, slots=True)
class Drawn:
    """A report as drawn: the same figures give the same bytes and the same digest."""

    figures: dict[str, Any]
    chart: bytes
    pdf: bytes

    @property
    def digest(self) -> bytes:
        return hashlib.sha256(canonical(self.figures) + self.chart + self.pdf).digest()


def report_draw(figures: dict[str, Any]) -> Drawn:
    """Draw chart and paper. matplotlib is imported here, on first use, so that the site never loads it."""
    from payroll.reports.charts import weekly_chart_png, weekly_chart_svg

    return Drawn(figures, weekly_chart_svg(figures), weekly_pdf(figures, weekly_chart_png(figures)))


def weekly_report_make(*, actor: Actor, job: int, first_day: date, now: datetime) -> WeeklyReport:
    """Make the report of a job and closed week, or return the one that is there. Raises NotAllowed, NotFound, Conflict.

    Two workers at once make one report: the second finds the first's by the unique key.
    """
    if actor.role not in MAY_MAKE:
        raise NotAllowed(Mistake("", f"the role {actor.role} does not make weekly reports. Ask the office."))
    with transaction.atomic(), organisation_scope(actor.organisation):
        if not Job.objects.filter(pk=job).exists():
            raise not_found("job", "job", job)
        stands = WeeklyReport.objects.filter(job_id=job, first_day=first_day).first()
        if stands is not None:
            return stands
        if not PayWeek.objects.filter(first_day=first_day, state=PayWeek.State.CLOSED).exists():
            raise Conflict(
                Mistake(
                    "first_day", f"the week of {first_day} is not closed, so its labour is not known. Close it first."
                )
            )
        drawn = report_draw(weekly_figures(job=job, first_day=first_day))
        if _insert(actor.organisation, job, first_day, drawn, now):
            report = WeeklyReport.objects.get(job_id=job, first_day=first_day)
            last = first_day + timedelta(days=6)
            after = {"job": job, "first_day": str(first_day), "last_day": str(last), "digest": drawn.digest.hex()}
            audit.record(
                actor=actor,
                at=now,
                changes=[audit.Change("weekly_report_make", "weekly report", str(report.pk), after)],
            )
            return report
        return WeeklyReport.objects.get(job_id=job, first_day=first_day)


def _insert(organisation: int, job: int, first_day: date, drawn: Drawn, now: datetime) -> bool:
    with connection.cursor() as cursor:
        cursor.execute(
            "INSERT INTO payroll_weeklyreport "
            "(organisation_id, job_id, first_day, figures, chart, pdf, digest, made_at) "
            "VALUES (%s, %s, %s, %s::jsonb, %s, %s, %s, %s) "
            "ON CONFLICT (organisation_id, job_id, first_day) DO NOTHING",
            [
                organisation,
                job,
                first_day,
                canonical(drawn.figures).decode(),
                drawn.chart,
                drawn.pdf,
                drawn.digest,
                now,
            ],
        )
        return bool(cursor.rowcount == 1)
