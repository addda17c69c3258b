"""A day of a job: its entries and hours."""

from __future__ import annotations

from datetime import date, timedelta

from django.http import HttpRequest, HttpResponse

from jobs.notices import day_notices
from jobs.pages.doors import Guest, answer, page, reading
from jobs.selectors.day_book import day_book


@page
def day(request: HttpRequest, guest: Guest, job: int, day: date) -> HttpResponse:
    with reading(guest.actor):
        book = day_book(guest.actor, job, day)
        notices = day_notices(day)
    return answer(
        request,
        guest,
        "jobs/day.html",
        book=book,
        notices=notices,
        recorded="recorded" in request.GET,
        before=day - timedelta(days=1),
        after=day + timedelta(days=1) if day < guest.seat.today else None,
    )
