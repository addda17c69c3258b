"""What the office records for pay: agreements with people, local minimum wages of jobs, missed breaks."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone

from jobs.pages.doors import Guest, answer, page, reading
from payroll.law.agreements import GUARANTEE, KINDS
from payroll.law.week import BREAK_KINDS
from payroll.pages.forms import Typed
from payroll.selectors.office_lists import agreement_rows, break_rows, job_choices, minimum_rows, people_choices
from payroll.services.agreements import AgreementFacts, agreement_end, agreement_record, agreement_withdraw
from payroll.services.local_rules import (
    MinimumFacts,
    local_minimum_record,
    local_minimum_withdraw,
    missed_break_record,
    missed_break_withdraw,
)

END, WITHDRAW = "end", "withdraw"


@page
def agreements(request: HttpRequest, guest: Guest) -> HttpResponse:
    """Every agreement, and a form for a new one; each that holds can be ended or withdrawn."""
    form = Typed({"kind": GUARANTEE, "guarantee_hours": "productive"})
    if request.method == "POST":
        form = Typed.of(request.POST)
        if _agreement_step(guest, form):
            return redirect("agreements")
    with reading(guest.actor):
        rows, people = agreement_rows(on=guest.seat.today), people_choices()
    context = {"form": form, "rows": rows, "people": people, "kinds": KINDS, "guarantee": GUARANTEE}
    return answer(request, guest, "payroll/agreements.html", status=400 if form.refused else 200, **context)


def _agreement_step(guest: Guest, form: Typed) -> bool:
    now = timezone.now()
    if form.text("do") == END:
        which, last = form.number("agreement"), form.day("ends_on")
        return form.done(lambda: agreement_end(actor=guest.actor, agreement=which, ends_on=last, now=now))
    if form.text("do") == WITHDRAW:
        which = form.number("agreement")
        return form.done(lambda: agreement_withdraw(actor=guest.actor, agreement=which, now=now))
    is_guarantee = form.text("kind") == GUARANTEE
    facts = AgreementFacts(
        person=form.number("person"),
        kind=form.text("kind"),
        signed_on=form.day("signed_on"),
        starts_on=form.day("starts_on"),
        ends_on=form.day_or_none("ends_on"),
        rate=form.money("rate") if is_guarantee else form.money_or_none("rate"),
        guarantee_hours=form.text("guarantee_hours") if is_guarantee else "",
        words=form.text("words"),
        reference=form.text("reference"),
    )
    return form.done(lambda: agreement_record(actor=guest.actor, facts=facts, now=now))


@page
def local_minimums(request: HttpRequest, guest: Guest) -> HttpResponse:
    """Minimum wages that a city or county asks for, by job, and a form for a new one."""
    form = Typed({"read_on": guest.seat.today.isoformat()})
    if request.method == "POST":
        form = Typed.of(request.POST)
        if _minimum_step(guest, form):
            return redirect("local-minimums")
    with reading(guest.actor):
        rows, jobs = minimum_rows(), job_choices()
    context = {"form": form, "rows": rows, "jobs": jobs}
    return answer(request, guest, "payroll/local_minimums.html", status=400 if form.refused else 200, **context)


def _minimum_step(guest: Guest, form: Typed) -> bool:
    now = timezone.now()
    if form.text("do") == WITHDRAW:
        which = form.number("minimum")
        return form.done(lambda: local_minimum_withdraw(actor=guest.actor, minimum=which, now=now))
    facts = MinimumFacts(
        job=form.number("job"),
        amount=form.money("amount"),
        starts_on=form.day("starts_on"),
        cite=form.text("cite"),
        read_on=form.day("read_on"),
    )
    return form.done(lambda: local_minimum_record(actor=guest.actor, facts=facts, now=now))


@page
def missed_breaks(request: HttpRequest, guest: Guest) -> HttpResponse:
    """Breaks that were missed, and a form for one; where the law pays an hour for it, the statement cites the rule."""
    form = Typed({"kind": BREAK_KINDS[0]})
    if request.method == "POST":
        form = Typed.of(request.POST)
        if _break_step(guest, form):
            return redirect("missed-breaks")
    with reading(guest.actor):
        rows, people = break_rows(), people_choices()
    context = {"form": form, "rows": rows, "people": people, "kinds": BREAK_KINDS}
    return answer(request, guest, "payroll/missed_breaks.html", status=400 if form.refused else 200, **context)


def _break_step(guest: Guest, form: Typed) -> bool:
    now = timezone.now()
    if form.text("do") == WITHDRAW:
        which = form.number("missed")
        return form.done(lambda: missed_break_withdraw(actor=guest.actor, missed=which, now=now))
    person, day = form.number("person"), form.day("missed_on")
    return form.done(
        lambda: missed_break_record(
            actor=guest.actor, person=person, missed_on=day, kind=form.text("kind"), why=form.text("why"), now=now
        ),
    )
