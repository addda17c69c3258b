"""Pay weeks: one for each workweek of an organisation, open and then closed for good."""

from __future__ import annotations

from django.db import models

from jobs.tenancy import Record, own_key


class PayWeek(Record):
    """A workweek under pay. It is closed once, by a named person; a trigger refuses any other change.

    `stopped` lists, for a closed week, who was not paid for what at its closing and the sentences that say why:
    [{"person": id, "first_day": that of the week not paid, "sentences": [...]}]. `pending` lists what this closing had
    to leave for the next one, as pairs of a person and a closed pay week: [[person, pay week], ...]; it is paid in an
    open week once the reason is gone.
    `entries_to` and `hours_to` are the newest ids seen when it was closed: what comes late has a higher one, or was
    being written at that moment and has one just below. `agreements_to`, `minimums_to` and `breaks_to` are the newest
    ids of what the office records beside; those are written under the lock of a closing, so that none is in between.
    """

    class State(models.TextChoices):
        OPEN = "open", "open"
        CLOSED = "closed", "closed"

    first_day = models.DateField()
    state = models.CharField(max_length=6, choices=State.choices, default=State.OPEN)
    opened_by = own_key("jobs.Membership", null=True, blank=True)
    opened_at = models.DateTimeField()
    closed_by = own_key("jobs.Membership", null=True, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)
    stopped = models.JSONField(default=list, blank=True)
    pending = models.JSONField(default=list, blank=True)
    entries_to = models.BigIntegerField(default=0)
    hours_to = models.BigIntegerField(default=0)
    agreements_to = models.BigIntegerField(default=0)
    minimums_to = models.BigIntegerField(default=0)
    breaks_to = models.BigIntegerField(default=0)

    class Meta(Record.Meta):
        abstract = False
        constraints = [
            models.UniqueConstraint(fields=["organisation", "first_day"], name="pay_week_once"),
            models.CheckConstraint(
                condition=models.Q(state="open", closed_by__isnull=True, closed_at__isnull=True)
                | models.Q(state="closed", closed_by__isnull=False, closed_at__isnull=False),
                name="pay_week_is_closed_by_someone",
            ),
        ]
