"""Home: the jobs of the organisation, and what the one who reads can do next."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from jobs.pages.doors import Guest, answer, page, reading
from jobs.selectors.job_sheet import job_lines


@page
def home(request: HttpRequest, guest: Guest) -> HttpResponse:
    """The list of jobs; a worker is led to his statements."""
    if guest.actor.role == "worker":
        return redirect("statements")
    with reading(guest.actor):
        jobs = job_lines(guest.actor)
    return answer(request, guest, "jobs/home.html", jobs=jobs, only=jobs[0] if len(jobs) == 1 else None)
