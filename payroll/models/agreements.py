"""What the office records beside rates: agreements with people, minimum wages of a place, breaks that were missed.

All append-only. A record that is wrong or ends is replaced by a new one that points at it; `withdrawn` says that it
holds on no day at all.
"""

from __future__ import annotations

from django.db import models

from jobs.tenancy import Record, own_key
from payroll.law.agreements import BEFORE_THE_WORK, GUARANTEE, KINDS
from payroll.law.week import BREAK_KINDS, GUARANTEE_HOURS
from payroll.models.replacing import replaced_once


class Agreement(Record):
    """An agreement with a person about his pay, from its first day to its last, or until another takes its place.

    `rate` and `guarantee_hours` are those of an hourly guarantee. What was agreed stands in `words`, or `reference`
    says where the signed paper lies; neither should name people, as both are kept for as long as pay is.
    """

    person = own_key("jobs.Person", related_name="agreements")
    kind = models.CharField(max_length=30)
    rate = models.DecimalField(max_digits=14, decimal_places=6, null=True, blank=True)
    guarantee_hours = models.CharField(max_length=10, blank=True, default="")
    signed_on = models.DateField()
    starts_on = models.DateField()
    ends_on = models.DateField(null=True, blank=True)
    words = models.TextField(blank=True, default="")
    reference = models.CharField(max_length=200, blank=True, default="")
    withdrawn = models.BooleanField(default=False)
    replaces = own_key("payroll.Agreement", null=True, blank=True)
    recorded_by = own_key("jobs.Membership", null=True, blank=True)
    recorded_at = models.DateTimeField()

    class Meta(Record.Meta):
        abstract = False
        constraints = [
            *replaced_once("agreement"),
            models.CheckConstraint(condition=models.Q(kind__in=KINDS), name="agreement_kind_is_known"),
            models.CheckConstraint(
                condition=models.Q(kind=GUARANTEE, rate__gt=0, guarantee_hours__in=GUARANTEE_HOURS)
                | (~models.Q(kind=GUARANTEE) & models.Q(rate__isnull=True, guarantee_hours="")),
                name="agreement_guarantee_has_its_figures",
            ),
            models.CheckConstraint(
                condition=~models.Q(kind__in=BEFORE_THE_WORK) | models.Q(signed_on__lte=models.F("starts_on")),
                name="agreement_is_signed_before_the_work",
            ),
            models.CheckConstraint(
                condition=models.Q(ends_on__isnull=True) | models.Q(ends_on__gte=models.F("starts_on")),
                name="agreement_ends_after_it_starts",
            ),
            models.CheckConstraint(
                condition=~models.Q(words="", reference=""), name="agreement_has_words_or_a_reference"
            ),
        ]
        indexes = [models.Index(fields=["organisation", "person"], name="agreement_by_person")]


class LocalMinimum(Record):
    """A minimum wage that the city or county of a job asks for, from a day until the job's next one."""

    job = own_key("jobs.Job", related_name="local_minimums")
    amount = models.DecimalField(max_digits=14, decimal_places=6)
    starts_on = models.DateField()
    cite = models.CharField(max_length=300, help_text="the ordinance, as it is to be cited")
    read_on = models.DateField(help_text="the day on which the office read it")
    withdrawn = models.BooleanField(default=False)
    replaces = own_key("payroll.LocalMinimum", null=True, blank=True)
    recorded_by = own_key("jobs.Membership", null=True, blank=True)
    recorded_at = models.DateTimeField()

    class Meta(Record.Meta):
        abstract = False
        constraints = [
            models.UniqueConstraint(
                fields=["organisation", "job", "starts_on"],
                condition=models.Q(replaces__isnull=True),
                name="local_minimum_starts_once",
            ),
            *replaced_once("local_minimum"),
            models.CheckConstraint(condition=models.Q(amount__gt=0), name="local_minimum_is_positive"),
            models.CheckConstraint(condition=~models.Q(cite=""), name="local_minimum_has_a_citation"),
        ]


class MissedBreak(Record):
    """A day on which a person's meal period, or his rests, were not provided. Where the law pays an hour for it, the
    statement does."""

    person = own_key("jobs.Person", related_name="missed_breaks")
    missed_on = models.DateField()
    kind = models.CharField(max_length=4)
    why = models.CharField(max_length=300)
    withdrawn = models.BooleanField(default=False)
    replaces = own_key("payroll.MissedBreak", null=True, blank=True)
    recorded_by = own_key("jobs.Membership", null=True, blank=True)
    recorded_at = models.DateTimeField()

    class Meta(Record.Meta):
        abstract = False
        constraints = [
            models.UniqueConstraint(
                fields=["organisation", "person", "missed_on", "kind"],
                condition=models.Q(replaces__isnull=True),
                name="missed_break_once_a_day_and_kind",
            ),
            *replaced_once("missed_break"),
            models.CheckConstraint(condition=models.Q(kind__in=BREAK_KINDS), name="missed_break_kind_is_known"),
            models.CheckConstraint(condition=~models.Q(why=""), name="missed_break_has_a_reason"),
        ]
