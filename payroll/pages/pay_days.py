"""Pay periods with their pay day, and final pay of somebody who leaves."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone

from jobs.pages.doors import Guest, answer, page, reading
from jobs.refusals import Conflict, Invalid, NotFound
from payroll.law.pay_days import LEAVING
from payroll.pages.forms import PERIOD_LABELS, Typed
from payroll.selectors.office_lists import final_rows, people_choices
from payroll.selectors.periods import pay_day_cautions, period_of, period_rows
from payroll.services.final_pay import Leaving, final_pay_close
from payroll.services.pay_periods import pay_period_set


@page
def pay_periods(request: HttpRequest, guest: Guest) -> HttpResponse:
    """How many workweeks are paid together from when on, and on which day; what the law says about that."""
    form = Typed({"weeks": "1", "pay_day_after": "5"})
    if request.method == "POST":
        form = Typed.of(request.POST, PERIOD_LABELS)
        starts, weeks, after = form.day("starts_on"), form.number("weeks"), form.number("pay_day_after")
        replaces = form.number("replaces") if form.text("replaces") else None
        if not form.refused:
            try:
                pay_period_set(
                    actor=guest.actor,
                    starts_on=starts,
                    weeks=weeks,
                    pay_day_after=after,
                    now=timezone.now(),
                    replaces=replaces,
                )
                return redirect("pay-periods")
            except (Invalid, Conflict) as refusal:
                form.refuse(refusal)
    with reading(guest.actor):
        rows, now = period_rows(on=guest.seat.today), period_of(guest.seat.today)
        said = pay_day_cautions(now, guest.seat.today)
    context = {"form": form, "rows": rows, "now": now, "said": said}
    return answer(request, guest, "payroll/pay_periods.html", status=400 if form.refused else 200, **context)


@page
def final_pay(request: HttpRequest, guest: Guest) -> HttpResponse:
    """Pay somebody who leaves now, for every open week; what was written so is listed."""
    form = Typed({"last_day": guest.seat.today.isoformat()})
    if request.method == "POST":
        form = Typed.of(request.POST)
        asked = Leaving(form.number("person"), form.day("last_day"), form.text("leaving"))
        if not form.refused:
            try:
                written = final_pay_close(actor=guest.actor, asked=asked, now=timezone.now())
                return redirect("statement", statement=written[-1].pk)
            except (Invalid, Conflict, NotFound) as refusal:
                form.refuse(refusal)
    with reading(guest.actor):
        rows, people = final_rows(), people_choices()
    context = {"form": form, "rows": rows, "people": people, "ways": LEAVING}
    return answer(request, guest, "payroll/final_pay.html", status=400 if form.refused else 200, **context)
