"""Pay periods with their pay day, dated; and final pay: one person's statement written before the week is closed."""

from __future__ import annotations

from django.db import models

from jobs.tenancy import Record, own_key
from payroll.law.pay_days import LEAVING
from payroll.models.replacing import replaced_once


class PayPeriod(Record):
    """How the organisation pays, from a workweek's first day on: one or two workweeks in a period, and its pay day so
    many days after the period's last day."""

    starts_on = models.DateField()
    weeks = models.PositiveSmallIntegerField()
    pay_day_after = models.PositiveSmallIntegerField(help_text="days from the period's last day to its pay day")
    replaces = own_key("payroll.PayPeriod", null=True, blank=True)
    set_by = own_key("jobs.Membership", null=True, blank=True)
    set_at = models.DateTimeField()

    class Meta(Record.Meta):
        abstract = False
        constraints = [
            models.UniqueConstraint(
                fields=["organisation", "starts_on"],
                condition=models.Q(replaces__isnull=True),
                name="pay_period_starts_once",
            ),
            *replaced_once("pay_period"),
            models.CheckConstraint(condition=models.Q(weeks__in=[1, 2]), name="pay_period_has_one_or_two_weeks"),
            models.CheckConstraint(condition=models.Q(pay_day_after__lte=31), name="pay_period_pays_within_a_month"),
        ]


class FinalPay(Record):
    """A person's pay for an open week, written when he left: a closing of his own. The rest of the week stays open."""

    person = own_key("jobs.Person", related_name="final_pay")
    pay_week = own_key("payroll.PayWeek", related_name="final_pay")
    statement = own_key("payroll.Statement", related_name="final_pay")
    last_day = models.DateField()
    leaving = models.CharField(max_length=20)
    closed_by = own_key("jobs.Membership")
    closed_at = models.DateTimeField()

    class Meta(Record.Meta):
        abstract = False
        constraints = [
            models.UniqueConstraint(fields=["organisation", "statement"], name="final_pay_once_a_statement"),
            models.UniqueConstraint(fields=["organisation", "pay_week", "person"], name="final_pay_once_a_week"),
            models.CheckConstraint(condition=models.Q(leaving__in=LEAVING), name="final_pay_leaving_is_known"),
        ]
