"""What a unit of work, or an hour of other time, is paid: from a date on, in a scope."""

from __future__ import annotations

from django.db import models
from django.db.models.functions import Coalesce

from jobs.tenancy import Record, own_key
from payroll.law.week import OTHER_TIME
from payroll.models.replacing import replaced_once

PAID_BY_THE_HOUR = OTHER_TIME


class HeightBand(Record):
    """A name of the organisation's own for walls from some height up to the next band."""

    name = models.CharField(max_length=40)
    from_inches = models.DecimalField(max_digits=10, decimal_places=4)

    class Meta(Record.Meta):
        abstract = False
        constraints = [
            models.UniqueConstraint(fields=["organisation", "name"], name="height_band_name_is_unique"),
            models.UniqueConstraint(fields=["organisation", "from_inches"], name="height_band_start_is_unique"),
            models.CheckConstraint(condition=models.Q(from_inches__gte=0), name="height_band_starts_above_the_floor"),
            models.CheckConstraint(condition=~models.Q(name=""), name="height_band_has_a_name"),
        ]

    def __str__(self) -> str:
        return self.name


class Rate(Record):
    """Money per unit of an operation, or per hour of a kind of time, from a date until the next of the same scope.

    The scope is job, wall type, height band and class; each may be 'any', which is a value (no job, or an empty word)
    and counts in the uniqueness of (scope, start). A wrong rate is replaced by one with the same scope and start.
    """

    operation = own_key("jobs.Operation", null=True, blank=True, related_name="rates")
    time_kind = models.CharField(max_length=8, blank=True, default="")
    amount = models.DecimalField(max_digits=14, decimal_places=6)
    starts_on = models.DateField()
    job = own_key("jobs.Job", null=True, blank=True)
    wall_type = models.CharField(max_length=40, blank=True, default="")
    height_band = models.CharField(max_length=40, blank=True, default="")
    worker_class = models.CharField(max_length=40, blank=True, default="")
    replaces = own_key("payroll.Rate", null=True, blank=True)
    set_by = own_key("jobs.Membership", null=True, blank=True)
    set_at = models.DateTimeField()
    operation_scope = models.GeneratedField(
        expression=Coalesce("operation_id", 0), output_field=models.BigIntegerField(), db_persist=True
    )
    job_scope = models.GeneratedField(
        expression=Coalesce("job_id", 0), output_field=models.BigIntegerField(), db_persist=True
    )

    class Meta(Record.Meta):
        abstract = False
        constraints = [
            models.UniqueConstraint(
                fields=[
                    "organisation",
                    "operation_scope",
                    "time_kind",
                    "job_scope",
                    "wall_type",
                    "height_band",
                    "worker_class",
                    "starts_on",
                ],
                condition=models.Q(replaces__isnull=True),
                name="rate_scope_starts_once",
            ),
            *replaced_once("rate"),
            models.CheckConstraint(condition=models.Q(amount__gt=0), name="rate_is_positive"),
            models.CheckConstraint(
                condition=models.Q(operation__isnull=False, time_kind="")
                | models.Q(operation__isnull=True, time_kind__in=PAID_BY_THE_HOUR),
                name="rate_is_for_an_operation_or_for_time",
            ),
            models.CheckConstraint(
                condition=models.Q(time_kind="") | models.Q(wall_type="", height_band=""),
                name="rate_for_time_has_no_wall",
            ),
        ]
