"""The audit record: who did what, when, from where, before and after."""

from __future__ import annotations

from django.db import models

from jobs.tenancy import Record, own_key


class AuditRecord(Record):
    """One change, written in the change's own transaction and never touched again.

    `digest` is the SHA-256 of the record's canonical content (see `jobs.audit`). People appear as ids only, so that
    a name can be forgotten without breaking a digest.
    """

    at = models.DateTimeField()
    actor = own_key("jobs.Membership", null=True, blank=True)
    device = own_key("jobs.Device", null=True, blank=True)
    action = models.CharField(max_length=40)
    subject_kind = models.CharField(max_length=40)
    subject_key = models.CharField(max_length=64)
    before = models.JSONField(null=True)
    after = models.JSONField(null=True)
    digest = models.BinaryField(max_length=32)

    class Meta(Record.Meta):
        constraints = [
            models.CheckConstraint(
                condition=~models.Q(action="") & ~models.Q(subject_key=""), name="audit_record_names_its_subject"
            )
        ]
        indexes = [models.Index(fields=["organisation", "subject_kind", "subject_key"], name="audit_by_subject")]
