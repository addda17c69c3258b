"""Weekly reports: frozen figures, chart and paper of one job and week."""

from __future__ import annotations

from django.db import models

from jobs.tenancy import Record, own_key


class WeeklyReport(Record):
    """Made once for a job and a closed week, from statements, entries and hours as they stood then.

    `digest` is the SHA-256 of the canonical figures, the chart and the PDF, in this order; made again from the same
    data all three come out byte for byte.
    """

    job = own_key("jobs.Job", related_name="weekly_reports")
    first_day = models.DateField()
    figures = models.JSONField()
    chart = models.BinaryField(help_text="SVG")
    pdf = models.BinaryField()
    digest = models.BinaryField(max_length=32)
    made_at = models.DateTimeField()

    class Meta(Record.Meta):
        abstract = False
        constraints = [models.UniqueConstraint(fields=["organisation", "job", "first_day"], name="weekly_report_once")]
