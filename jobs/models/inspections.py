"""Inspections: a work unit was looked at and accepted, or reopened with a reason."""

from __future__ import annotations

from django.db import models

from jobs.tenancy import Record, own_key


class Verdict(models.TextChoices):
    ACCEPTED = "accepted", "accepted"
    REOPENED = "reopened", "reopened"


class Inspection(Record):
    """The last inspection of a work unit tells its state. Reopening never takes earned pay back.

    The reason is words that may name people: it stands in `InspectionNote`, where it can be forgotten, and here its
    salted digest alone, by which a text that is still there can be proven to be the one given.
    """

    uuid = models.UUIDField()
    work_unit = own_key("jobs.WorkUnit", related_name="inspections")
    verdict = models.CharField(max_length=8, choices=Verdict.choices)
    reason_digest = models.CharField(max_length=64, blank=True, default="")
    inspected_on = models.DateField()
    inspected_by = own_key("jobs.Membership")
    received_at = models.DateTimeField()

    class Meta(Record.Meta):
        constraints = [
            models.UniqueConstraint(fields=["organisation", "uuid"], name="inspection_uuid_is_unique"),
            models.CheckConstraint(condition=models.Q(verdict__in=Verdict.values), name="inspection_verdict_is_known"),
            models.CheckConstraint(
                condition=models.Q(verdict="accepted") | ~models.Q(reason_digest=""),
                name="inspection_reopens_for_a_reason",
            ),
        ]


class InspectionNote(Record):
    """The reason of an inspection in words."""

    inspection = own_key("jobs.Inspection", related_name="notes")
    text = models.CharField(max_length=500)

    class Meta(Record.Meta):
        constraints = [models.UniqueConstraint(fields=["organisation", "inspection"], name="inspection_note_once")]
