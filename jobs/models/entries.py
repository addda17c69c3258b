"""Entries: finished work, received once, shared out exactly, corrected only by a new entry."""

from __future__ import annotations

from django.db import models
from django.db.models import Value

from jobs.tenancy import Record, own_key

SAID = "the part as it was told"
BECAUSE = "how what was told, such as 3 sheets, became the quantity: rules, sources, terms"
NOTICES = "what to look at, such as a face logged before the one that goes first: kind, sentence, next"


class Receipt(Record):
    """One operation received from a phone or page: its UUID is used once over all kinds of them.

    `request` is the request in canonical form ("all left" stays those words); it is how a UUID sent again is told
    from one used anew.
    """

    class Kind(models.TextChoices):
        ENTRY = "entry", "entry"
        HOURS = "hours", "hours"
        INSPECTION = "inspection", "inspection"
        WORD = "word", "word"
        PHOTO = "photo", "photo"

    uuid = models.UUIDField()
    kind = models.CharField(max_length=10, choices=Kind.choices)
    request = models.JSONField()
    membership = own_key("jobs.Membership")
    device = own_key("jobs.Device", null=True, blank=True)
    made_at = models.DateTimeField(help_text="by the phone's clock")
    received_at = models.DateTimeField()

    class Meta(Record.Meta):
        constraints = [
            models.UniqueConstraint(fields=["organisation", "uuid"], name="receipt_uuid_is_used_once"),
            models.CheckConstraint(
                condition=models.Q(kind__in=["entry", "hours", "inspection", "word", "photo"]),
                name="receipt_kind_is_known",
            ),
        ]


class Entry(Record):
    """ "This much of this work unit was finished on this date." An entry is in force until another replaces it.

    `said` is the part as it was told, where that was in sheets, feet or studs, with the plan revision whose counts made
    `quantity` of it; `because` says how. `notices` are what was told to look at when it came. `started_at` and
    `finished_at` say when in the day it was made, where that was told.
    """

    uuid = models.UUIDField()
    job = own_key("jobs.Job", related_name="entries")
    work_unit = own_key("jobs.WorkUnit", related_name="entries")
    worked_on = models.DateField()
    quantity = models.DecimalField(max_digits=14, decimal_places=4)
    logged_by = own_key("jobs.Membership")
    received_at = models.DateTimeField()
    started_at = models.DateTimeField(null=True, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)
    said = models.JSONField(null=True, blank=True, help_text=SAID)
    because = models.JSONField(default=list, db_default=Value([], models.JSONField()), help_text=BECAUSE)
    notices = models.JSONField(default=list, db_default=Value([], models.JSONField()), help_text=NOTICES)
    replaces = own_key("jobs.Entry", null=True, blank=True, related_name="replaced_by")

    class Meta(Record.Meta):
        verbose_name_plural = "entries"
        constraints = [
            models.UniqueConstraint(fields=["organisation", "uuid"], name="entry_uuid_is_unique"),
            models.UniqueConstraint(fields=["organisation", "work_unit", "id"], name="entry_of_work_unit"),
            models.UniqueConstraint(
                fields=["organisation", "replaces"],
                condition=models.Q(replaces__isnull=False),
                name="entry_is_replaced_at_most_once",
            ),
            models.CheckConstraint(
                condition=models.Q(quantity__gt=0) | (models.Q(quantity=0) & models.Q(replaces__isnull=False)),
                name="entry_quantity_is_positive",
            ),
            models.CheckConstraint(
                condition=models.Q(replaces__isnull=True) | models.Q(replaces__lt=models.F("id")),
                name="entry_replaces_an_earlier_one",
            ),
            models.CheckConstraint(
                condition=models.Q(started_at__isnull=True, finished_at__isnull=True)
                | models.Q(started_at__isnull=False, finished_at__isnull=False, finished_at__gt=models.F("started_at")),
                name="entry_start_and_finish_together",
            ),
        ]
        indexes = [
            models.Index(fields=["organisation", "worked_on"], name="entry_by_day"),
            models.Index(
                fields=["organisation", "worked_on"],
                condition=models.Q(started_at__isnull=False),
                name="entry_with_span_by_day",
            ),
        ]


class EntryShare(Record):
    """One person's part of an entry. The shares of an entry add up to exactly its quantity."""

    entry = own_key("jobs.Entry", related_name="shares")
    person = own_key("jobs.Person", related_name="shares")
    quantity = models.DecimalField(max_digits=14, decimal_places=4)

    class Meta(Record.Meta):
        constraints = [
            models.UniqueConstraint(fields=["organisation", "entry", "person"], name="entry_share_once_per_person"),
            models.CheckConstraint(condition=models.Q(quantity__gte=0), name="entry_share_is_not_negative"),
        ]


class EntryNote(Record):
    """A remark on an entry, kept apart because a note may name people and may have to be forgotten."""

    entry = own_key("jobs.Entry", related_name="notes")
    text = models.CharField(max_length=500)

    class Meta(Record.Meta):
        constraints = [models.UniqueConstraint(fields=["organisation", "entry"], name="entry_note_once")]
