"""Records that are never edited: a newer one takes the place of an older one and points at it with `replaces`."""

from __future__ import annotations

from django.db import models


def replaced_once(record: str) -> tuple[models.UniqueConstraint, models.CheckConstraint]:
    """Constraints of such a record, named for it: nothing takes the place of it twice, and it replaces an older one."""
    return (
        models.UniqueConstraint(fields=["organisation", "replaces"], name=f"{record}_is_replaced_at_most_once"),
        models.CheckConstraint(
            condition=models.Q(replaces__isnull=True) | models.Q(replaces__lt=models.F("id")),
            name=f"{record}_replaces_an_earlier_one",
        ),
    )
