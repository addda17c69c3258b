"""The audit record: who did what, when, from where, before and after; and the chain that holds the records together."""

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
    written_in = models.BigIntegerField(
        null=True, blank=True, help_text="for a restored record: the id its organisation had when it was written"
    )

    class Meta(Record.Meta):
        constraints = [
            models.CheckConstraint(
                condition=~models.Q(action="") & ~models.Q(subject_key=""), name="audit_record_names_its_subject"
            )
        ]
        indexes = [models.Index(fields=["organisation", "subject_kind", "subject_key"], name="audit_by_subject")]


class AuditLink(Record):
    """An audit record's place in its organisation's chain, given by the sealer once the record is committed.

    `digest` is the SHA-256 of the link before it, the number and the record's digest: see `jobs.audit.link_digest`.
    Writers never touch the chain, so they never wait for each other here; a record without a link is not sealed yet.
    """

    number = models.BigIntegerField(help_text="from 1, without gaps")
    record = own_key("jobs.AuditRecord", related_name="links")
    digest = models.BinaryField(max_length=32)
    sealed_at = models.DateTimeField()

    class Meta(Record.Meta):
        constraints = [
            models.UniqueConstraint(fields=["organisation", "number"], name="audit_chain_has_one_line"),
            models.UniqueConstraint(fields=["organisation", "record"], name="audit_record_is_sealed_once"),
            models.CheckConstraint(condition=models.Q(number__gte=1), name="audit_chain_starts_at_one"),
        ]


class FormerId(Record):
    """The id a restored row had before: by it hashes made then are checked, and the ids in old audit records read."""

    written_in = models.BigIntegerField(help_text="the id of the organisation the row came from")
    kind = models.CharField(max_length=40, help_text="the model of the row, as jobs.person")
    former = models.BigIntegerField()
    now = models.BigIntegerField()

    class Meta(Record.Meta):
        constraints = [
            models.UniqueConstraint(
                fields=["organisation", "written_in", "kind", "now"], name="former_id_once_for_each_row"
            ),
            models.UniqueConstraint(
                fields=["organisation", "written_in", "kind", "former"], name="former_id_names_one_row"
            ),
        ]
