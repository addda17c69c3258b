"""What a worker says of an entry or hours about him: that they are right, or not; and how the office settled it."""

from __future__ import annotations

from django.db import models

from jobs.tenancy import Record, own_key

CONFIRMED, DISPUTED, SETTLED = "confirmed", "disputed", "settled"


class Says(models.TextChoices):
    CONFIRMED = CONFIRMED, CONFIRMED
    DISPUTED = DISPUTED, DISPUTED
    SETTLED = SETTLED, SETTLED


class Word(Record):
    """One word of or about one person on an entry or hours, `about` being their UUID. The last word stands.

    The worker confirms or disputes; the office settles a dispute that it does not follow, saying why. A correction
    settles it too: what is corrected no longer counts. Never changed.
    """

    uuid = models.UUIDField()
    about = models.UUIDField(help_text="of the entry or hours")
    person = own_key("jobs.Person", related_name="words")
    says = models.CharField(max_length=9, choices=Says.choices)
    reason_digest = models.CharField(max_length=64, blank=True, default="")
    said_by = own_key("jobs.Membership")
    received_at = models.DateTimeField()

    class Meta(Record.Meta):
        constraints = [
            models.UniqueConstraint(fields=["organisation", "uuid"], name="word_uuid_is_unique"),
            models.CheckConstraint(condition=models.Q(says__in=Says.values), name="word_is_known"),
            models.CheckConstraint(
                condition=models.Q(says="confirmed") | ~models.Q(reason_digest=""), name="word_has_a_reason"
            ),
        ]
        indexes = [models.Index(fields=["organisation", "about", "person", "id"], name="word_by_record")]


class WordNote(Record):
    """The reason of a word, kept apart because it may name people and may have to be forgotten."""

    word = own_key("jobs.Word", related_name="notes")
    text = models.CharField(max_length=500)

    class Meta(Record.Meta):
        constraints = [models.UniqueConstraint(fields=["organisation", "word"], name="word_note_once")]
