"""One entry: what was recorded, whose it is, what it stands on."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpRequest, HttpResponse

from jobs.pages.doors import Guest, answer, page, reading
from jobs.selectors.entry_sheet import entry_row
from jobs.selectors.log_choices import units_to_log
from jobs.selectors.words import disputes_about


@page
def entry(request: HttpRequest, guest: Guest, uuid: UUID) -> HttpResponse:
    """The entry; just after it was recorded also the work that is left on its wall, to log next."""
    recorded = "recorded" in request.GET and guest.seat.logs_work
    with reading(guest.actor):
        row = entry_row(guest.actor, uuid)
        disputed = disputes_about(guest.actor, uuid)
        units = units_to_log(guest.actor, row.job, row.wall) if recorded and row.wall is not None else []
    return answer(
        request,
        guest,
        "jobs/entry.html",
        entry=row,
        recorded=recorded,
        disputed=disputed,
        next_units=[unit for unit in units if unit.left],
    )
