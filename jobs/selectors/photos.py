"""Photos of entries, for whoever may see the entry."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db.models import F, Func, IntegerField

from jobs.actors import Actor
from jobs.models import Entry, EntryPhoto
from jobs.refusals import not_found
from jobs.selectors.reach import entries_of


@dataclass(frozen=True, slots=True)
class PhotoRow:
    """What is told of a photo: `size` in bytes, 0 once it was forgotten; `width` and `height` in pixels."""

    id: int
    uuid: UUID
    entry: UUID
    position: int
    sha256: str
    width: int
    height: int
    size: int
    received_at: datetime


def photo_rows(actor: Actor, **which: Any) -> list[PhotoRow]:
    """The photos in the actor's reach, an entry's in the order in which they came."""
    size = Func("image", function="octet_length", output_field=IntegerField())
    found = EntryPhoto.objects.filter(**which).filter(entry__in=entries_of(actor)).order_by("entry", "position")
    rows = found.values_list(
        "pk", "uuid", F("entry__uuid"), "position", "sha256", "width", "height", size, "received_at"
    )
    return [PhotoRow(*row) for row in rows]


def photos_of_entry(actor: Actor, entry: UUID) -> list[PhotoRow]:
    """The photos of an entry in the actor's reach and of those it took the place of. Raises NotFound."""
    last = entries_of(actor).filter(uuid=entry).values_list("pk", "replaces").first()
    if last is None:
        raise not_found("entry", "entry", entry)
    chain = [last[0]]
    while last is not None and last[1] is not None:
        last = Entry.objects.filter(pk=last[1]).values_list("pk", "replaces").first()
        chain += [last[0]] if last else []
    return photo_rows(actor, entry__in=chain)


def photo_image(actor: Actor, photo: UUID) -> bytes:
    """The JPEG of a photo. Raises NotFound for one that is not there, not in reach, or was forgotten, alike."""
    found = EntryPhoto.objects.filter(entry__in=entries_of(actor), uuid=photo).values_list("image", flat=True).first()
    if not found:
        raise not_found("photo", "photo", photo)
    return bytes(found)
