"""Weekly reports of a job: the list, one report, its chart and its paper, as they were frozen."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.http import HttpRequest, HttpResponse

from jobs.pages.doors import Guest, answer, page, reading
from jobs.selectors.job_sheet import job_line
from payroll.selectors.reports import corrected_since, job_reports, weekly_report

# The chart's own style sheet is inside it; it can load and run nothing.
CHART_POLICY = "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'"


@page
def reports(request: HttpRequest, guest: Guest, job: int) -> HttpResponse:
    with reading(guest.actor):
        line = job_line(guest.actor, job)
        rows = job_reports(job=job)
    return answer(request, guest, "payroll/reports.html", job=line, reports=rows)


@page
def report(request: HttpRequest, guest: Guest, job: int, first_day: date) -> HttpResponse:
    with reading(guest.actor):
        line = job_line(guest.actor, job)
        found = weekly_report(job=job, first_day=first_day)
        since = corrected_since(found)
    context = {"job": line, "report": found, "figures": found.figures, "first_day": first_day, "since": since}
    return answer(request, guest, "payroll/report.html", **context)


@page
def report_paper(request: HttpRequest, guest: Guest, job: int, first_day: date) -> HttpResponse:
    paper = HttpResponse(bytes(_found(guest, job, first_day).pdf), content_type="application/pdf")
    paper.headers["Content-Disposition"] = f'inline; filename="report-{job}-{first_day}.pdf"'
    return paper


@page
def report_chart(request: HttpRequest, guest: Guest, job: int, first_day: date) -> HttpResponse:
    chart = HttpResponse(bytes(_found(guest, job, first_day).chart), content_type="image/svg+xml")
    chart.headers["Content-Security-Policy"] = CHART_POLICY
    return chart


def _found(guest: Guest, job: int, first_day: date) -> Any:
    with reading(guest.actor):
        job_line(guest.actor, job)
        return weekly_report(job=job, first_day=first_day)
