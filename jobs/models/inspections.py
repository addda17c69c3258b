"""Inspections: a work unit was looked at and accepted, or reopened with a reason."""

from __future__ import annotations

from django.db import models

from jobs.tenancy import Record, own_key


class Verdict(models.TextChoices):
    ACCEPTED = "accepted", "accepted"
    REOPENED = "reopened", "reopened"


class Inspection(Record):
    """The last inspection of a work unit tells its state. Reopening never takes earned pay back."""

    uuid = models.UUIDField()
    work_unit = own_key("jobs.WorkUnit", related_name="inspections")
    verdict = models.CharField(max_length=8, choices=Verdict.choices)
    reason = models.CharField(max_length=500, blank=True, default="")
    inspected_on = models.DateField()
    inspected_by = own_key("jobs.Membership")
    received_at = models.DateTimeField()

    class Meta(Record.Meta):
        constraints = [
            models.UniqueConstraint(fields=["organisation", "uuid"], name="inspection_uuid_is_unique"),
            models.CheckConstraint(condition=models.Q(verdict__in=Verdict.values), name="inspection_verdict_is_known"),
            models.CheckConstraint(
                condition=models.Q(verdict="accepted") | ~models.Q(reason=""), name="inspection_reopens_for_a_reason"
            ),
        ]
