"""Photos of entries: what was done, as the camera saw it."""

from __future__ import annotations

from django.db import models

from jobs.tenancy import Record, own_key

MOST_PHOTOS = 6


class EntryPhoto(Record):
    """One photo of an entry, encoded anew and without metadata. Never changed; only its image may be emptied.

    A photo may show people and may have to be forgotten. The database takes no image but the one of the hash, or none.
    """

    uuid = models.UUIDField()
    entry = own_key("jobs.Entry", related_name="photos")
    position = models.PositiveSmallIntegerField(help_text="1 for the entry's first photo")
    sha256 = models.CharField(max_length=64)
    width = models.PositiveSmallIntegerField(help_text="in pixels")
    height = models.PositiveSmallIntegerField(help_text="in pixels")
    image = models.BinaryField(help_text="a JPEG; empty once it was forgotten")
    added_by = own_key("jobs.Membership")
    received_at = models.DateTimeField()

    class Meta(Record.Meta):
        constraints = [
            models.UniqueConstraint(fields=["organisation", "uuid"], name="entry_photo_uuid_is_unique"),
            models.UniqueConstraint(fields=["organisation", "entry", "position"], name="entry_photo_has_its_place"),
            models.CheckConstraint(
                condition=models.Q(position__gte=1, position__lte=MOST_PHOTOS), name="entry_photos_are_few"
            ),
        ]
