"""Papers of a whole week: PDFs made by the worker, kept in parts for a while. They can always be made again."""

from __future__ import annotations

from django.db import models

from jobs.tenancy import Record, own_key


class PapersPart(Record):
    """One part of a closed week's statements as PDFs in a zip. Statements are cut into parts by their number, so a part
    made twice is the same. No record of pay: it may be deleted, and is after a while."""

    pay_week = own_key("payroll.PayWeek", related_name="papers")
    part = models.PositiveIntegerField(help_text="from 1")
    statements = models.PositiveIntegerField()
    archive = models.BinaryField(help_text="a zip of PDFs")
    made_at = models.DateTimeField()

    class Meta(Record.Meta):
        abstract = False
        constraints = [
            models.UniqueConstraint(fields=["organisation", "pay_week", "part"], name="papers_part_once"),
        ]
