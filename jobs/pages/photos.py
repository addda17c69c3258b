"""Photos of an entry on its page: adding one, and showing one to whoever may see the entry."""

from __future__ import annotations

import hashlib
from uuid import UUID, uuid5

from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from jobs.pages.doors import Guest, page, reading
from jobs.pictures import MOST_BYTES, too_large
from jobs.refusals import Conflict, Invalid
from jobs.requests import PhotoRequest
from jobs.selectors.photos import photo_image
from jobs.services.photos import photo_add


@page
def photo(request: HttpRequest, guest: Guest, photo: UUID) -> HttpResponse:
    """The JPEG."""
    with reading(guest.actor):
        return HttpResponse(photo_image(guest.actor, photo), content_type="image/jpeg")


def photo_sent(request: HttpRequest, guest: Guest, entry: UUID) -> str:
    """Keep the photo of the form; empty, or the sentences that refuse it.

    The form's number and the file make the photo's UUID: sent twice it counts once, another file is another photo.
    """
    sent = request.FILES.get("photo")
    if not isinstance(sent, UploadedFile):
        return "No photo was chosen. Take or choose one first."
    if (sent.size or 0) > MOST_BYTES:
        return too_large(sent.size or 0)
    source = sent.read()
    try:
        uuid = uuid5(UUID(request.POST.get("uuid", "")), hashlib.sha256(source).hexdigest())
    except ValueError:
        return "The form lost its number on the way. Send it again: it has a new one now."
    now = timezone.now()
    try:
        photo_add(actor=guest.actor, request=PhotoRequest(uuid, entry, source, now), now=now)
    except (Invalid, Conflict) as refusal:
        return " ".join(mistake.sentence for mistake in refusal.mistakes)
    return ""
