"""Inspecting a wall: each of its work units accepted, or reopened with a reason. All of a form is kept, or nothing."""

from __future__ import annotations

from dataclasses import dataclass, field
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

from django.db import transaction
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone

from jobs.models.inspections import Verdict
from jobs.pages.doors import Guest, answer, page, reading
from jobs.refusals import Refusal
from jobs.requests import InspectionRequest
from jobs.selectors.job_sheet import job_line
from jobs.selectors.log_choices import units_to_log
from jobs.selectors.unit_states import UnitRow
from jobs.services.inspections import inspection_batch_record


@dataclass(slots=True)
class Line:
    """A work unit's line of the form; its UUID is made when the form is shown."""

    unit: UnitRow
    uuid: str
    verdict: str = ""
    reason: str = ""
    wrong: list[str] = field(default_factory=list)


@page
def inspect(request: HttpRequest, guest: Guest, job: int, wall: int) -> HttpResponse:
    """The form for one wall, and recording what was found."""
    with reading(guest.actor):
        line = job_line(guest.actor, job)
        units = units_to_log(guest.actor, job, wall)
    lines = [Line(unit, str(uuid4())) for unit in units]
    wrong = ""
    if request.method == "POST":
        lines = [_typed(unit, request.POST) for unit in units]
        wrong = _record(guest, lines, line.time_zone)
        if not wrong and not any(one.wrong for one in lines):
            return redirect(reverse("wall", args=[job, wall]) + "?recorded")
    status = 400 if request.method == "POST" else 200
    context = {"lines": lines, "job": line, "wall": wall, "mark": units[0].mark, "wrong": wrong}
    return answer(request, guest, "jobs/inspect.html", status=status, **context)


def _typed(unit: UnitRow, sent: QueryDict) -> Line:
    uuid = sent.get(f"uuid-{unit.id}", "")
    return Line(unit, uuid, sent.get(f"verdict-{unit.id}", ""), sent.get(f"reason-{unit.id}", "").strip())


def _record(guest: Guest, lines: list[Line], time_zone: str) -> str:
    """Record every line that has a verdict; a sentence, or sentences in the lines, where nothing was kept."""
    now = timezone.now()
    today = now.astimezone(ZoneInfo(time_zone)).date()
    asked: list[tuple[Line, InspectionRequest]] = []
    for line in lines:
        if line.verdict not in Verdict.values:
            continue
        if len(line.reason) > 500 or "\0" in line.reason:
            line.wrong.append("The reason is too long or holds what cannot be kept. Keep it to 500 letters.")
            continue
        try:
            uuid = UUID(line.uuid)
        except ValueError:
            line.uuid = str(uuid4())
            line.wrong.append("The form lost its number on the way. Send it again: it has a new one now.")
            continue
        asked.append((line, InspectionRequest(uuid, line.unit.id, line.verdict, line.reason, today, now)))
    if any(line.wrong for line in lines):
        return ""
    if not asked:
        return "No verdict was chosen. Accept a line, or reopen it with a reason."
    with transaction.atomic():
        outcomes = inspection_batch_record(actor=guest.actor, requests=[request for _, request in asked], now=now)
        for (line, _), outcome in zip(asked, outcomes, strict=True):
            if isinstance(outcome, Refusal):
                line.wrong += [mistake.sentence[:1].upper() + mistake.sentence[1:] for mistake in outcome.mistakes]
        transaction.set_rollback(any(line.wrong for line in lines))
    return ""
