"""Prevailing rates of a job, entering one after a look, and the job's weekly certified payroll."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any

from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone

from jobs.pages.doors import Guest, answer, page, reading
from jobs.pages.typed import Unreadable, read_day, read_rate
from jobs.refusals import Conflict, Invalid, not_found
from jobs.selectors.job_sheet import JobLine, job_line
from payroll.law.certified import CertifiedPayroll
from payroll.pages.files import CSV, handed
from payroll.pages.forms import named
from payroll.reports.certified_pdf import certified_pdf
from payroll.reports.certified_table import certified_csv
from payroll.selectors.certified import CertifiedSheet, certified_sheet, certified_weeks
from payroll.selectors.prevailing_rates import classes_without, may_have_prevailing, prevailing_list
from payroll.selectors.prices import classes_of_people
from payroll.services.prevailing_rates import Determined, PrevailingLine, prevailing_rate_set

# Fields as the page names them, for a sentence that stands away from its field.
LABELS = {
    "class": "Class of our people",
    "class_named": "Class in the determination",
    "basic": "Basic rate",
    "fringe": "Fringe rate",
    "fringe_to_plan": "Of the fringe rate, to plans",
    "starts_on": "From",
    "citation": "Wage determination",
}


@dataclass(slots=True)
class RateForm:
    """What stands in the form of a prevailing rate."""

    worker_class: str
    class_named: str
    basic: str
    fringe: str
    fringe_to_plan: str
    starts_on: str
    citation: str
    wrong: dict[str, list[str]] = field(default_factory=dict)

    def add(self, name: str, sentence: str) -> None:
        self.wrong.setdefault(name, []).append(sentence[:1].upper() + sentence[1:])

    @property
    def sentences(self) -> list[tuple[str, str]]:
        """(field, sentence) of everything that is wrong, each with its field's name."""
        return named(self.wrong, LABELS)


@page
def prevailing(request: HttpRequest, guest: Guest, job: int) -> HttpResponse:
    """What the job's determination sets, and the closed weeks to certify."""
    with reading(guest.actor):
        line = job_line(guest.actor, job)
        context: dict[str, Any] = {
            "job": line,
            "rates": prevailing_list(job=job, on=guest.seat.today),
            "without": classes_without(job=job, on=guest.seat.today),
            "may": may_have_prevailing(job),
            "weeks": certified_weeks(job=job),
            "just": "set" in request.GET,
        }
    return answer(request, guest, "payroll/prevailing.html", **context)


@page
def prevailing_set(request: HttpRequest, guest: Guest, job: int) -> HttpResponse:
    """A rate of one class: typed, looked at, then entered."""
    with reading(guest.actor):
        site = job_line(guest.actor, job)
        classes = classes_of_people()
    form = _form(request.POST if request.method == "POST" else request.GET, guest.seat.today)
    line: PrevailingLine | None = None
    changed = False
    if request.method == "POST":
        facts = _facts(form, site, classes)
        line = _tried(guest, form, facts, dry_run=True) if facts else None
        if line is not None and facts is not None and "set" in request.POST:
            changed = request.POST.get("looked_at") != _seen(line, job, form)
            if not changed and not line.stands and _tried(guest, form, facts, dry_run=False) is not None:
                return redirect(reverse("prevailing", args=[job]) + "?set")
    context = {"job": site, "form": form, "classes": classes, "line": line, "changed": changed}
    context["seen"] = _seen(line, job, form) if line else ""
    return answer(request, guest, "payroll/prevailing_set.html", status=400 if form.wrong else 200, **context)


def _form(sent: QueryDict, today: date) -> RateForm:
    return RateForm(
        worker_class=sent.get("class", ""),
        class_named=sent.get("class_named", "").strip(),
        basic=sent.get("basic", "").strip(),
        fringe=sent.get("fringe", "").strip(),
        fringe_to_plan=sent.get("fringe_to_plan", "0").strip(),
        starts_on=sent.get("starts_on", "") or today.isoformat(),
        citation=sent.get("citation", "").strip(),
    )


def _facts(form: RateForm, site: JobLine, classes: tuple[str, ...]) -> Determined | None:
    if form.worker_class not in classes:
        form.add("class", "That class is none of the list. Choose the class that the people have.")
    money: dict[str, Decimal] = {}
    for name in ("basic", "fringe", "fringe_to_plan"):
        try:
            money[name] = read_rate(getattr(form, name))
        except Unreadable as wrong:
            form.add(name, str(wrong))
    starts_on = None
    try:
        starts_on = read_day(form.starts_on)
    except Unreadable as wrong:
        form.add("starts_on", str(wrong))
    if form.wrong or starts_on is None:
        return None
    return Determined(
        site.id, form.worker_class, form.class_named, **money, starts_on=starts_on, citation=form.citation
    )


def _tried(guest: Guest, form: RateForm, facts: Determined, *, dry_run: bool) -> PrevailingLine | None:
    try:
        return prevailing_rate_set(actor=guest.actor, facts=facts, now=timezone.now(), dry_run=dry_run)
    except (Invalid, Conflict) as refusal:
        for mistake in refusal.mistakes:
            form.add({"worker_class": "class", "job": ""}.get(mistake.path, mistake.path), mistake.sentence)
        return None


def _seen(line: PrevailingLine, job: int, form: RateForm) -> str:
    """A mark of what the look said and of what it was about, so that nothing else is entered: jobs may share a name."""
    said = "\n".join((str(job), line.sentence, form.citation, *line.hints))
    return hashlib.sha256(said.encode()).hexdigest()


@page
def certified(request: HttpRequest, guest: Guest, job: int, first_day: date) -> HttpResponse:
    with reading(guest.actor):
        line = job_line(guest.actor, job)
        sheet = certified_sheet(job=job, first_day=first_day)
    return answer(request, guest, "payroll/certified.html", job=line, sheet=sheet, payroll=sheet.payroll)


@page
def certified_paper(request: HttpRequest, guest: Guest, job: int, first_day: date) -> HttpResponse:
    paper = HttpResponse(certified_pdf(*_whole(guest, job, first_day)), content_type="application/pdf")
    paper.headers["Content-Disposition"] = f'inline; filename="certified-payroll-{job}-{first_day}.pdf"'
    return paper


@page
def certified_list(request: HttpRequest, guest: Guest, job: int, first_day: date) -> HttpResponse:
    return handed(certified_csv(*_whole(guest, job, first_day)), f"certified-payroll-{job}-{first_day}.csv", CSV)


def _whole(guest: Guest, job: int, first_day: date) -> tuple[CertifiedSheet, CertifiedPayroll]:
    """A payroll that can be certified. Raises NotFound for one that cannot yet; its page says why."""
    with reading(guest.actor):
        job_line(guest.actor, job)
        sheet = certified_sheet(job=job, first_day=first_day)
    if sheet.payroll is None:
        raise not_found("first_day", "certified payroll of the week of", first_day)
    return sheet, sheet.payroll
