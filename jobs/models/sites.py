"""Jobs: the sites work is done on, who may see them, and what was bid."""

from __future__ import annotations

from django.db import models

from jobs.tenancy import Record, own_key


class Job(Record):
    """A site: the law it stands under, its clock, money and units, and the floor area costs are divided by."""

    name = models.CharField(max_length=120)
    code = models.CharField(max_length=20)
    address = models.TextField(blank=True)
    rule_set = models.CharField(max_length=40, help_text="the rule set of its pay, such as us-federal")
    time_zone = models.CharField(max_length=64)
    currency = models.CharField(max_length=3)
    unit_system = models.CharField(max_length=8, default="imperial")
    floor_area_sqft = models.DecimalField(max_digits=14, decimal_places=4, null=True, blank=True)
    started_on = models.DateField()

    class Meta(Record.Meta):
        constraints = [
            models.UniqueConstraint(fields=["organisation", "code"], name="job_code_is_unique"),
            models.CheckConstraint(
                condition=models.Q(unit_system__in=["imperial", "metric"]), name="job_unit_system_is_known"
            ),
            models.CheckConstraint(condition=models.Q(currency__regex="^[A-Z]{3}$"), name="job_currency_is_a_code"),
            models.CheckConstraint(
                condition=models.Q(floor_area_sqft__isnull=True) | models.Q(floor_area_sqft__gt=0),
                name="job_floor_area_is_positive",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class JobAccess(Record):
    """Lets a foreman or worker see a job. Owners and the office see every job of their organisation."""

    job = own_key("jobs.Job", related_name="access")
    membership = own_key("jobs.Membership", related_name="job_access")

    class Meta(Record.Meta):
        constraints = [models.UniqueConstraint(fields=["organisation", "job", "membership"], name="job_access_once")]


class BudgetLine(Record):
    """What was bid for one operation on a job: how much of it, and the labour money for all of it."""

    job = own_key("jobs.Job", related_name="budget")
    operation = own_key("jobs.Operation")
    quantity = models.DecimalField(max_digits=14, decimal_places=4)
    labour_money = models.DecimalField(max_digits=14, decimal_places=2)

    class Meta(Record.Meta):
        constraints = [
            models.UniqueConstraint(fields=["organisation", "job", "operation"], name="budget_line_once"),
            models.CheckConstraint(condition=models.Q(quantity__gt=0), name="budget_line_quantity_is_positive"),
            models.CheckConstraint(condition=models.Q(labour_money__gte=0), name="budget_line_money_is_not_negative"),
        ]
