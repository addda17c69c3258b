"""A job: levels and walls with the progress of each operation."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse

from jobs.pages.doors import Guest, answer, page, reading
from jobs.selectors.job_sheet import job_sheet


@page
def job(request: HttpRequest, guest: Guest, job: int) -> HttpResponse:
    with reading(guest.actor):
        sheet = job_sheet(guest.actor, job)
    return answer(request, guest, "jobs/job.html", sheet=sheet)
