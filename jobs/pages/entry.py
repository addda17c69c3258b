"""One entry: what was recorded, whose it is, what it stands on, and photos of it."""

from __future__ import annotations

from uuid import UUID, uuid4

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from jobs.models.photos import MOST_PHOTOS
from jobs.pages.doors import Guest, answer, page, reading
from jobs.pages.photos import photo_sent
from jobs.selectors.entry_sheet import entry_row
from jobs.selectors.log_choices import units_to_log
from jobs.selectors.photos import photos_of_entry
from jobs.selectors.words import disputes_about


@page
def entry(request: HttpRequest, guest: Guest, uuid: UUID) -> HttpResponse:
    """The entry, with a form to add a photo; just after it was recorded also what is left on its wall, to log next."""
    recorded = "recorded" in request.GET and guest.seat.logs_work
    refused = ""
    if request.method == "POST":
        refused = photo_sent(request, guest, uuid)
        if not refused:
            return redirect(reverse("entry", args=[uuid]) + ("?recorded" if recorded else "") + "#photos")
    with reading(guest.actor):
        row = entry_row(guest.actor, uuid)
        disputed = disputes_about(guest.actor, uuid)
        units = units_to_log(guest.actor, row.job, row.wall) if recorded and row.wall is not None else []
        photos = photos_of_entry(guest.actor, uuid)
    return answer(
        request,
        guest,
        "jobs/entry.html",
        status=400 if refused else 200,
        words=guest.words,
        entry=row,
        recorded=recorded,
        disputed=disputed,
        next_units=[unit for unit in units if unit.left],
        photos=photos,
        room=guest.seat.logs_work and sum(photo.entry == uuid for photo in photos) < MOST_PHOTOS,
        most=MOST_PHOTOS,
        photo_refused=refused,
        photo_uuid=uuid4(),
    )
