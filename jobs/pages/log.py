"""Logging finished work: choose a wall, choose a work unit, say how much and who, read what was recorded.

Each step is a link, the form is one tap when all that is left was done by the whole crew today. The form carries a UUID
made when it was shown, so that sending it twice records once.
"""

from __future__ import annotations

from datetime import date
from typing import Any
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone

from jobs.pages.doors import Guest, answer, page, reading
from jobs.pages.entry_form import EntryForm, form_of_entry, fresh_form, quantity_shown, refuse, request_of, typed_form
from jobs.refusals import AlreadyReplaced, Conflict, Invalid, NotFound, OverClaim, Refusal, UuidReused
from jobs.requests import EntryRequest
from jobs.selectors.entry_sheet import EntryRow, entry_row
from jobs.selectors.job_sheet import JobLine, job_line
from jobs.selectors.log_choices import Team, team_of, unit_to_log, units_to_log, walls_to_log
from jobs.selectors.spoken_parts import sheets_logged, spoken_of_units
from jobs.selectors.unit_states import UnitRow
from jobs.services.entries import entry_correct, entry_log

# Units that people speak and that are the operation's own.
SAME = {("feet", "LF"), ("studs", "each")}
REFUSED = (OverClaim, UuidReused, AlreadyReplaced, Conflict, Invalid, NotFound)


@page
def choose_wall(request: HttpRequest, guest: Guest, job: int) -> HttpResponse:
    """The walls that have work left, by level."""
    with reading(guest.actor):
        line, levels = walls_to_log(guest.actor, job)
    return answer(request, guest, "jobs/log_wall.html", words=guest.words, job=line, levels=levels)


@page
def choose_unit(request: HttpRequest, guest: Guest, job: int, wall: int) -> HttpResponse:
    """The work units of one wall, what is left of each."""
    with reading(guest.actor):
        line = job_line(guest.actor, job)
        units = units_to_log(guest.actor, job, wall)
    context: dict[str, Any] = {"job": line, "units": units, "mark": units[0].mark, "wall": wall, "words": guest.words}
    return answer(request, guest, "jobs/log_unit.html", **context)


@page
def log_entry(request: HttpRequest, guest: Guest, unit: int) -> HttpResponse:
    """The form for one work unit, and recording it."""
    with reading(guest.actor):
        row = unit_to_log(guest.actor, unit)
        line = job_line(guest.actor, row.job)
        today = _today(line)
        team = team_of(guest.actor, today)
        spoken = spoken_of_units([unit])[unit]
    if request.method != "POST":
        return _form(request, guest, fresh_form(team, today), row, line, team)
    form = typed_form(request.POST)
    asked = request_of(
        form, unit=unit, unit_word=row.unit, zone=line.time_zone, spoken=spoken, team=team, now=timezone.now()
    )
    return _record(request, guest, form, asked, row, line, team)


@page
def correct_entry(request: HttpRequest, guest: Guest, uuid: UUID) -> HttpResponse:
    """The form for a correction: a new entry in the place of the one named."""
    with reading(guest.actor):
        first = entry_row(guest.actor, uuid)
        row = unit_to_log(guest.actor, first.work_unit)
        line = job_line(guest.actor, first.job)
        team = team_of(guest.actor, first.worked_on)
        spoken = spoken_of_units([row.id])[row.id]
    if request.method != "POST":
        return _form(request, guest, form_of_entry(first), row, line, team, first)
    form = typed_form(request.POST)
    asked = request_of(
        form,
        unit=row.id,
        unit_word=row.unit,
        zone=line.time_zone,
        spoken=spoken,
        team=team,
        now=timezone.now(),
        replaces=uuid,
        shown_at_first=quantity_shown(first),
    )
    return _record(request, guest, form, asked, row, line, team, first)


def _record(
    request: HttpRequest,
    guest: Guest,
    form: EntryForm,
    asked: EntryRequest | None,
    row: UnitRow,
    line: JobLine,
    team: Team,
    first: EntryRow | None = None,
) -> HttpResponse:
    if asked is None:
        return _form(request, guest, form, row, line, team, first, status=400)
    service = entry_log if first is None else entry_correct
    try:
        recorded = service(actor=guest.actor, request=asked, now=timezone.now())
    except REFUSED as refusal:
        return _refused(request, guest, form, refusal, row, line, team, first)
    return redirect(reverse("entry", args=[recorded.uuid]) + "?recorded")


def _refused(
    request: HttpRequest,
    guest: Guest,
    form: EntryForm,
    refusal: Refusal,
    row: UnitRow,
    line: JobLine,
    team: Team,
    first: EntryRow | None,
) -> HttpResponse:
    """The form again, what was typed kept, with what is left by now."""
    with reading(guest.actor):
        row = unit_to_log(guest.actor, row.id)
    sent_before = ""
    if isinstance(refusal, UuidReused):
        sent_before, form.uuid = form.uuid, str(uuid4())
        form.add(
            "",
            "This form was recorded before with other content, which stands. Send again only if this is more work.",
        )
    else:
        refuse(form, refusal, team)
    status = 400 if isinstance(refusal, Invalid | NotFound) else 409
    return _form(request, guest, form, row, line, team, first, status=status, sent_before=sent_before)


def _form(
    request: HttpRequest,
    guest: Guest,
    form: EntryForm,
    row: UnitRow,
    line: JobLine,
    team: Team,
    first: EntryRow | None = None,
    status: int = 200,
    sent_before: str = "",
) -> HttpResponse:
    with reading(guest.actor):
        spoken = spoken_of_units([row.id])[row.id]
        logged = sheets_logged([row.id]).get(row.id, {})
    sheets = [
        {"piece": sheet, "logged": logged.get((spoken.plan, sheet.step)) not in {None, first.uuid if first else None}}
        for sheet in spoken.sheets
    ]
    return answer(
        request,
        guest,
        "jobs/log_entry.html",
        status=status,
        words=guest.words,
        form=form,
        unit=row,
        job=line,
        team=team,
        first=first,
        sent_before=sent_before,
        spoken=spoken,
        sheets=sheets,
        said_units=[name for name in spoken.units if (name, row.unit) not in SAME],
        latest=_today(line).isoformat(),
        standing=row.left + (first.quantity if first else 0),
    )


def _today(line: JobLine) -> date:
    return timezone.now().astimezone(ZoneInfo(line.time_zone)).date()
