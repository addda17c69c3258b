"""Pay weeks: the list, one week before and after closing, and closing it."""

from __future__ import annotations

import re
from datetime import date, timedelta

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone

from jobs.pages.doors import Guest, answer, page, reading
from jobs.pages.typed import Unreadable, read_day
from jobs.refusals import Conflict, Invalid, Refusal, not_found
from jobs.selectors.words import disputes_open
from payroll.selectors.periods import pay_day_cautions
from payroll.selectors.statements import week_statements
from payroll.selectors.stopped import stopped_in
from payroll.selectors.weeks import WeekPreview, WeekRow, week_list, week_preview
from payroll.services.payweeks import payweek_close, payweek_open

CLOSED = "closed"


@page
def weeks(request: HttpRequest, guest: Guest) -> HttpResponse:
    """Every pay week, newest first; opening one that has begun and is not there."""
    refused = ""
    if request.method == "POST":
        try:
            opened = payweek_open(
                actor=guest.actor, first_day=read_day(request.POST.get("first_day", "")), now=timezone.now()
            )
            return redirect("week", first_day=opened.first_day)
        except (Unreadable, Invalid) as refusal:
            refused = str(refusal)
    with reading(guest.actor):
        rows = week_list()
        disputed = len(disputes_open())
    missing = _begun(guest)[: 2 if rows else 4]
    known = {row.first_day for row in rows}
    to_open = [day for day in missing if day not in known]
    context = {"weeks": rows, "to_open": to_open, "refused": refused, "disputed": disputed}
    return answer(request, guest, "payroll/weeks.html", status=400 if refused else 200, **context)


def _begun(guest: Guest) -> list[date]:
    """First days of the workweek now and of those before it."""
    today = guest.seat.today
    first = today - timedelta(days=(today.weekday() - guest.seat.workweek_start) % 7)
    return [first - timedelta(days=7 * back) for back in range(4)]


@page
def week(request: HttpRequest, guest: Guest, first_day: date) -> HttpResponse:
    """An open week as closing would pay it, or a closed one with its statements."""
    with reading(guest.actor):
        row = _row(first_day)
        if row.state != CLOSED:
            preview = week_preview(pay_week=row.pay_week)
            return answer(
                request,
                guest,
                "payroll/week_open.html",
                week=row,
                preview=preview,
                warnings=_warnings(preview),
                ended=row.last_day < guest.seat.today,
                due=pay_day_cautions(row.period, row.last_day) if row.period else [],
            )
        statements = week_statements(actor=guest.actor, pay_week=row.pay_week)
        stopped = stopped_in(pay_week=row.pay_week)
    just = "closed" in request.GET
    return answer(
        request, guest, "payroll/week_closed.html", week=row, statements=statements, stopped=stopped, just=just
    )


@page
def week_close(request: HttpRequest, guest: Guest, first_day: date) -> HttpResponse:
    """Ask once more with what it comes to, then close for good."""
    refusal: Refusal | None = None
    with reading(guest.actor):
        row = _row(first_day)
    if request.method == "POST":
        try:
            not_paid = [int(one) for one in request.POST.getlist("not_paid") if re.fullmatch(r"[0-9]{1,18}", one)]
            payweek_close(actor=guest.actor, pay_week=row.pay_week, now=timezone.now(), not_paid=not_paid)
            return redirect(f"{request.path.removesuffix('close/')}?closed")
        except Conflict as conflict:
            refusal = conflict
    if row.state == CLOSED and refusal is None:
        return redirect("week", first_day=first_day)
    with reading(guest.actor):
        preview = week_preview(pay_week=row.pay_week)
    context = {"week": row, "preview": preview, "warnings": _warnings(preview), "refusal": refusal}
    return answer(request, guest, "payroll/week_close.html", status=409 if refusal else 200, **context)


def _warnings(preview: WeekPreview) -> list[str]:
    return [sentence for one in preview.people for sentence in one.warnings]


def _row(first_day: date) -> WeekRow:
    """Raises NotFound."""
    row = next((row for row in week_list() if row.first_day == first_day), None)
    if row is None:
        raise not_found("first_day", "pay week of", first_day)
    return row
