"""A job's labour against its bid as it stands now, the open week with it, and at completion."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse

from jobs.pages.doors import Guest, answer, page, reading
from jobs.selectors.job_sheet import job_line
from payroll.selectors.job_forecast import job_forecast


@page
def labour(request: HttpRequest, guest: Guest, job: int) -> HttpResponse:
    with reading(guest.actor):
        line = job_line(guest.actor, job)
        found = job_forecast(job=job)
    return answer(request, guest, "payroll/labour.html", job=line, found=found)
