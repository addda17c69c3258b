"""The price list, and why a rate pays a work unit."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse

from jobs.pages.doors import Guest, answer, page, reading
from jobs.pages.typed import Unreadable, read_day
from payroll.selectors.prices import price_list
from payroll.selectors.rate_of_unit import rate_of_unit


@page
def prices(request: HttpRequest, guest: Guest) -> HttpResponse:
    with reading(guest.actor):
        rows = price_list(on=guest.seat.today)
    return answer(request, guest, "payroll/prices.html", prices=rows)


@page
def why_rate(request: HttpRequest, guest: Guest, unit: int) -> HttpResponse:
    """For `?on=2026-11-23&class=journeyman`; today and the first class where nothing is asked."""
    on, wrong = guest.seat.today, ""
    if asked := request.GET.get("on", ""):
        try:
            on = read_day(asked)
        except Unreadable as unreadable:
            wrong = str(unreadable)
    with reading(guest.actor):
        found = rate_of_unit(guest.actor, unit=unit, on=on, worker_class=request.GET.get("class", ""))
    return answer(request, guest, "payroll/why_rate.html", status=400 if wrong else 200, found=found, wrong=wrong)
