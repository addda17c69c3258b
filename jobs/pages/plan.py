"""A job's plan: what was imported, what another one would change wall by wall, and importing exactly that."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone

from jobs.pages.doors import Guest, answer, page, reading
from jobs.pages.kept_file import MOST_BYTES, TooLarge, packed, unpacked
from jobs.refusals import Conflict, Invalid
from jobs.selectors.job_sheet import job_line
from jobs.selectors.plan_difference import PlanDifference, UnitDifference, plan_difference
from jobs.selectors.plan_revisions import revision_lines
from jobs.services.plans import plan_import

MOST_WALLS_SHOWN = 400
_BY_COMMAND = "Import it with the command `plan_compare`, which takes larger ones."


@dataclass(frozen=True, slots=True)
class Sent:
    """A plan on its way: chosen just now, or come back from the page on which it was looked at."""

    name: str
    source: bytes
    kept: str


@dataclass(frozen=True, slots=True)
class Total:
    """What the differing work units of one operation measure together, before and after."""

    operation: str
    unit: str
    before: Decimal
    after: Decimal


@page
def plan(request: HttpRequest, guest: Guest, job: int) -> HttpResponse:
    """Revisions and the form; a plan is looked at first, then imported as it was shown or not at all."""
    with reading(guest.actor):
        line = job_line(guest.actor, job)
    sent: Sent | None = None
    shown: PlanDifference | None = None
    mistakes: list[str] = []
    changed = ""
    if request.method == "POST":
        sent, wrong = _sent(request)
        mistakes = [wrong] if wrong else []
        try:
            if sent is not None and "apply" in request.POST:
                number, changed = _apply(request, guest, job, sent)
                if number:
                    return redirect(reverse("plan", args=[job]) + f"?imported={number}")
            if sent is not None:
                with reading(guest.actor):
                    shown = plan_difference(actor=guest.actor, job=job, source=sent.source, source_name=sent.name)
        except Invalid as refusal:
            mistakes = [mistake.sentence for mistake in refusal.mistakes]
    with reading(guest.actor):
        revisions = revision_lines(job)
    imported = request.GET.get("imported", "")
    context = {
        "job": line,
        "revisions": revisions,
        "sent": sent,
        "shown": shown,
        "walls": shown.walls[:MOST_WALLS_SHOWN] if shown else (),
        "walls_left": max(len(shown.walls) - MOST_WALLS_SHOWN, 0) if shown else 0,
        "totals": _totals(shown) if shown else [],
        "mistakes": mistakes,
        "changed": changed,
        "imported": imported if imported.isdecimal() else "",
        "most_bytes": MOST_BYTES,
    }
    return answer(request, guest, "jobs/plan.html", status=_status(request, mistakes, changed), **context)


def _status(request: HttpRequest, mistakes: list[str], changed: str) -> int:
    if mistakes:
        return 400
    return 409 if changed else 200


def _sent(request: HttpRequest) -> tuple[Sent | None, str]:
    """The plan that was sent, or the sentence that says why there is none. A file just chosen goes first."""
    file = request.FILES.get("file")
    if "apply" not in request.POST or file is not None:
        return _chosen(file)
    name, kept = request.POST.get("name", ""), request.POST.get("kept", "")
    source = unpacked(kept)
    if source is None or not name.isprintable() or not 0 < len(name) <= 200:
        return None, "The plan did not come back whole from the page. Nothing was imported; choose the file again."
    return Sent(name, source, kept), ""


def _chosen(file: UploadedFile | None) -> tuple[Sent | None, str]:
    if file is None:
        return None, "No plan was chosen, or the file is empty. Choose a plan file or a building model."
    if (size := file.size or 0) > MOST_BYTES:
        return None, f"The file has {size:,} bytes; the page takes {MOST_BYTES:,}. {_BY_COMMAND}"
    name = "".join(letter for letter in file.name or "" if letter.isprintable())[-200:] or "plan"
    source = file.read()
    try:
        return Sent(name, source, packed(source)), ""
    except TooLarge as large:
        return None, f"{large} {_BY_COMMAND}"


def _apply(request: HttpRequest, guest: Guest, job: int, sent: Sent) -> tuple[int, str]:
    """The number of the imported revision, or 0 and why what was shown does not hold any more."""
    seen, shown = request.POST.get("seen", ""), request.POST.get("looked_at", "")
    if not (seen.isascii() and seen.isdecimal() and len(seen) < 10 and shown):
        return 0, "It was not looked at before."
    try:
        revision = plan_import(
            actor=guest.actor,
            job=job,
            source=sent.source,
            source_name=sent.name,
            now=timezone.now(),
            seen=int(seen),
            shown=shown,
        )
    except Conflict as refusal:
        return 0, " ".join(mistake.sentence[:1].upper() + mistake.sentence[1:] for mistake in refusal.mistakes)
    return revision.number, ""


def _totals(shown: PlanDifference) -> list[Total]:
    units: Iterable[UnitDifference] = [
        *(unit for wall in shown.walls for unit in wall.units),
        *(unit for _, unit in shown.levels),
    ]
    found: dict[tuple[str, str], tuple[Decimal, Decimal]] = {}
    for unit in units:
        before, after = found.get((unit.operation, unit.unit), (Decimal(0), Decimal(0)))
        found[unit.operation, unit.unit] = before + unit.before, after + unit.after
    return [Total(operation, unit, before, after) for (operation, unit), (before, after) in found.items()]
