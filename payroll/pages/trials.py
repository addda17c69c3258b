"""Trying prices out: a proposed list over past weeks, and the labour of a new plan. Neither touches a record."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.http import HttpRequest, HttpResponse

from jobs.models import Job
from jobs.pages.doors import Guest, answer, page, reading
from jobs.pages.typed import Unreadable, read_day
from jobs.refusals import Invalid
from payroll.law import RULE_SETS
from payroll.selectors.bid import BidSheet, bid_sheet, plan_mistakes
from payroll.selectors.proposed_prices import price_text
from payroll.selectors.what_if import WhatIfSheet, closed_weeks, what_if_sheet

MOST_PLAN_BYTES = 20_000_000
_WORD = re.compile(r"[a-z]+[ ,:]")
_AREA = re.compile(r"[0-9]{1,9}(\.[0-9]{1,4})?")


def _told(sentence: str) -> str:
    """With a capital where it begins with a word; the name of a file or a code stays as it is."""
    return sentence[:1].upper() + sentence[1:] if _WORD.match(sentence) else sentence


@dataclass(frozen=True, slots=True)
class Span:
    """The first and last week chosen, as typed."""

    first: str
    last: str


def _span(request: HttpRequest, weeks: list[date], usual: int) -> Span:
    """As sent, or the newest `usual` closed weeks."""
    newest = weeks[0].isoformat() if weeks else ""
    oldest = weeks[min(usual, len(weeks)) - 1].isoformat() if weeks else ""
    return Span(request.POST.get("first", oldest), request.POST.get("last", newest))


def _days(span: Span, wrong: list[str]) -> tuple[date, date] | None:
    try:
        return read_day(span.first), read_day(span.last)
    except Unreadable as unreadable:
        wrong.append(str(unreadable))
        return None


@page
def what_if(request: HttpRequest, guest: Guest) -> HttpResponse:
    """A list of prices and a span of closed weeks, and what it would have changed."""
    wrong: list[str] = []
    sheet: WhatIfSheet | None = None
    with reading(guest.actor):
        weeks = closed_weeks()
        span = _span(request, weeks, 4)
        text = request.POST.get("text", "")
        if request.method == "GET":
            text = request.GET.get("text", "") or price_text(on=guest.seat.today)
        elif days := _days(span, wrong):
            try:
                sheet = what_if_sheet(text=text, first=days[0], last=days[1])
            except Invalid as refusal:
                wrong += [_told(mistake.sentence) for mistake in refusal.mistakes]
    context = {"weeks": weeks, "span": span, "text": text, "wrong": wrong, "sheet": sheet}
    return answer(request, guest, "payroll/what_if.html", status=400 if wrong else 200, **context)


@page
def bid(request: HttpRequest, guest: Guest) -> HttpResponse:
    """A plan, its floor area and a span of closed weeks, and what its labour would cost."""
    wrong: list[str] = []
    sheet: BidSheet | None = None
    with reading(guest.actor):
        weeks = closed_weeks()
        span = _span(request, weeks, 13)
        newest = Job.objects.order_by("-started_on", "-pk").values_list("rule_set", flat=True).first()
        form = {
            "area": request.POST.get("area", "").strip(),
            "rules": request.POST.get("rules", newest or "us-federal"),
            "own": request.POST.get("own", ""),
        }
        if request.method == "POST":
            sheet = _bid(request, form, span, guest.seat.today, wrong)
    context = {"weeks": weeks, "span": span, "form": form, "rule_sets": sorted(RULE_SETS), "wrong": wrong}
    return answer(request, guest, "payroll/bid.html", status=400 if wrong else 200, sheet=sheet, **context)


def _bid(request: HttpRequest, form: dict[str, str], span: Span, on: date, wrong: list[str]) -> BidSheet | None:
    file = request.FILES.get("plan")
    if file is None:
        wrong.append("No plan was given. Choose a plan file, as for importing one.")
    elif (file.size or 0) > MOST_PLAN_BYTES:
        wrong.append(f"The plan has {file.size} bytes; {MOST_PLAN_BYTES} are read here. Bid it floor by floor.")
    if not _AREA.fullmatch(form["area"]) or Decimal(form["area"]) == 0:
        wrong.append(f"“{form['area'][:40]}” is no floor area. Write square feet above zero, such as 5200.")
    if form["rules"] not in RULE_SETS:
        wrong.append(f"“{form['rules'][:40]}” is no rule set. Choose one of the list.")
    days = _days(span, wrong)
    if wrong or file is None or days is None:
        if file is not None and (file.size or 0) <= MOST_PLAN_BYTES:
            wrong += plan_mistakes(file.read(), file.name or "plan")
        return None
    try:
        return bid_sheet(
            source=file.read(),
            source_name=file.name or "plan",
            area_sqft=Decimal(form["area"]),
            first=days[0],
            last=days[1],
            on=on,
            rules=form["rules"],
            own=form["own"],
        )
    except Invalid as refusal:
        wrong += [_told(mistake.sentence) for mistake in refusal.mistakes]
        return None
