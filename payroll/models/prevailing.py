"""What a job's wage determination sets for a class of worker, as the office entered it. Append-only."""

from __future__ import annotations

from django.db import models

from jobs.tenancy import Record, own_key
from payroll.models.replacing import replaced_once


class PrevailingRate(Record):
    """Basic and fringe rate an hour on a prevailing-rate job for people of one class, from the first day of a workweek
    until the next of the same job and class. A job with one is a prevailing-rate job from its first one on.

    `worker_class` is the class that the firm's people have, `class_named` the one of the determination for the work
    they do, `fringe_to_plan` the part of the fringe rate that the firm contributes to plans, `citation` names the
    determination with its date. A wrong one is replaced by one of the same job, class and start.
    """

    job = own_key("jobs.Job", related_name="prevailing_rates")
    worker_class = models.CharField(max_length=40)
    class_named = models.CharField(max_length=80)
    basic = models.DecimalField(max_digits=10, decimal_places=4)
    fringe = models.DecimalField(max_digits=10, decimal_places=4)
    fringe_to_plan = models.DecimalField(max_digits=10, decimal_places=4)
    starts_on = models.DateField()
    citation = models.CharField(max_length=200)
    replaces = own_key("payroll.PrevailingRate", null=True, blank=True)
    set_by = own_key("jobs.Membership", null=True, blank=True)
    set_at = models.DateTimeField()

    class Meta(Record.Meta):
        abstract = False
        constraints = [
            models.UniqueConstraint(
                fields=["organisation", "job", "worker_class", "starts_on"],
                condition=models.Q(replaces__isnull=True),
                name="prevailing_rate_starts_once",
            ),
            *replaced_once("prevailing_rate"),
            models.CheckConstraint(condition=models.Q(basic__gt=0), name="prevailing_rate_basic_is_positive"),
            models.CheckConstraint(
                condition=models.Q(fringe__gte=0, fringe_to_plan__gte=0)
                & models.Q(fringe_to_plan__lte=models.F("fringe")),
                name="prevailing_rate_plans_lie_within_fringe",
            ),
            models.CheckConstraint(
                condition=~models.Q(worker_class="") & ~models.Q(class_named="") & ~models.Q(citation=""),
                name="prevailing_rate_names_class_and_citation",
            ),
        ]
