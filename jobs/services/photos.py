"""Photos with an entry: received once, encoded anew, few to an entry, never changed."""

from __future__ import annotations

import hashlib
from datetime import datetime
from uuid import UUID

from django.db import transaction

from jobs import audit
from jobs.actors import Actor
from jobs.models import EntryPhoto
from jobs.models.photos import MOST_PHOTOS
from jobs.pictures import NoPhoto, plain_picture
from jobs.refusals import Conflict, Mistake, NotAllowed, database_refusals, invalid, not_found
from jobs.requests import PhotoRequest
from jobs.selectors.photos import PhotoRow, photo_rows
from jobs.selectors.reach import entries_of
from jobs.services.entries import MAY_LOG
from jobs.services.entry_state import units_lock
from jobs.services.receipts import receipt_write, received_before
from jobs.tenancy import organisation_scope


def photo_add(*, actor: Actor, request: PhotoRequest, now: datetime) -> PhotoRow:
    """Keep a photo of an entry in the actor's reach, exactly once.

    Raises NotAllowed, NotFound, Invalid (no photo, or too large), UuidReused, and Conflict where the entry has
    `MOST_PHOTOS` already.
    """
    if actor.role not in MAY_LOG or actor.membership is None:
        raise NotAllowed(Mistake("", f"the role {actor.role} adds no photos. Ask your foreman or the office."))
    with database_refusals(), transaction.atomic(), organisation_scope(actor.organisation):
        if received_before(actor=actor, kind="photo", request=request):
            return _kept(actor, request.uuid)
        found = entries_of(actor).filter(uuid=request.entry).values_list("pk", "work_unit").first()
        if found is None:
            raise not_found("entry", "entry", request.entry)
        try:
            picture = plain_picture(request.source)
        except NoPhoto as wrong:
            raise invalid("photo", str(wrong)) from wrong
        entry, unit = found
        # Photos of one entry come one after the other, so that their number holds.
        units_lock(ids=[unit], actor=actor)
        if not receipt_write(actor=actor, kind="photo", request=request, now=now):
            return _kept(actor, request.uuid)
        stand = EntryPhoto.objects.filter(entry=entry).count()
        if stand >= MOST_PHOTOS:
            raise Conflict(Mistake("photo", f"The entry has {stand} photos, {MOST_PHOTOS} are the most."))
        sha256 = hashlib.sha256(picture.jpeg).hexdigest()
        EntryPhoto.objects.create(
            uuid=request.uuid,
            entry_id=entry,
            position=stand + 1,
            sha256=sha256,
            width=picture.width,
            height=picture.height,
            image=picture.jpeg,
            added_by_id=actor.membership,
            received_at=now,
        )
        after = {"entry": str(request.entry), "sha256": sha256, "size": len(picture.jpeg)}
        audit.record(actor=actor, at=now, changes=[audit.Change("photo_add", "photo", str(request.uuid), after)])
        return _kept(actor, request.uuid)


def _kept(actor: Actor, uuid: UUID) -> PhotoRow:
    [kept] = photo_rows(actor, uuid=uuid)
    return kept
