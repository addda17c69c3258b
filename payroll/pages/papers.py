"""A week's statements for the office: as one table, and as papers that the worker makes while a page shows how far."""

from __future__ import annotations

import zipfile
from datetime import date

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect
from django.utils import timezone

from jobs.pages.doors import Guest, answer, page, reading
from jobs.refusals import Conflict, not_found
from payroll.pages.files import CSV, ZIP, sent, waiting_file
from payroll.pages.weeks import CLOSED
from payroll.reports.bundle import MOMENT
from payroll.reports.csv_out import written
from payroll.selectors.papers import papers_progress
from payroll.selectors.week_table import week_table
from payroll.selectors.weeks import WeekRow, week_list
from payroll.services.papers import papers_ask, papers_file


@page
def week_papers(request: HttpRequest, guest: Guest, first_day: date) -> HttpResponse:
    """How many statements of a week are on paper; asking for those that are not. The page looks again by itself."""
    refused = ""
    with reading(guest.actor):
        row = _row(first_day)
    if request.method == "POST":
        try:
            papers_ask(actor=guest.actor, pay_week=row.pay_week, now=timezone.now())
            return redirect(f"{request.path}?asked")
        except Conflict as conflict:
            refused = str(conflict)
    with reading(guest.actor):
        progress = papers_progress(pay_week=row.pay_week)
    waits = "asked" in request.GET and not progress.done
    context = {"week": row, "progress": progress, "refused": refused, "waits": waits}
    return answer(request, guest, "payroll/papers.html", status=409 if refused else 200, **context)


@page
def week_papers_file(request: HttpRequest, guest: Guest, first_day: date) -> HttpResponseBase:
    """Every paper that is made, in one zip with a folder for each crew."""
    file = waiting_file()
    with reading(guest.actor):
        row = _row(first_day)
        if not papers_progress(pay_week=row.pay_week).made:
            raise not_found("first_day", "papers of the week", first_day)
        with zipfile.ZipFile(file, "w", zipfile.ZIP_STORED) as archive:
            for name, paper in papers_file(pay_week=row.pay_week):
                archive.writestr(zipfile.ZipInfo(name, MOMENT), paper)
    return sent(file, f"statements-{first_day}.zip", ZIP)


@page
def week_lines(request: HttpRequest, guest: Guest, first_day: date) -> HttpResponseBase:
    """Every line of the week's statements as CSV, for the office."""
    file = waiting_file()
    with reading(guest.actor):
        row = _row(first_day)
        if row.state != CLOSED:
            raise not_found("first_day", "closed pay week of", first_day)
        file.writelines(line.encode() for line in written(week_table(pay_week=row.pay_week)))
    return sent(file, f"statements-{first_day}.csv", CSV)


def _row(first_day: date) -> WeekRow:
    """Raises NotFound."""
    row = next((row for row in week_list() if row.first_day == first_day), None)
    if row is None:
        raise not_found("first_day", "pay week of", first_day)
    return row
