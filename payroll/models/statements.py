"""Statements: a person's pay for a week, its lines, and the entries, hours and jobs behind them. All append-only."""

from __future__ import annotations

from django.db import models

from jobs.tenancy import Record, own_key


class Statement(Record):
    """One person's pay for one workweek, complete. A correction is a whole new statement that points at the one before.

    `pay_week` is the week that was worked, `paid_in` the week in which its money is paid: the same for a first
    statement; for a correction or a late week the week that was open then. `difference` is what `paid_in` pays for it
    (the gross, for a first statement), `overpaid` what earlier statements paid above the corrected gross; that is shown
    and never taken back. `parameters` are the values of the law that were used. Statements of an organisation form one
    chain: `digest` covers the content and `previous_digest`. Content holds ids, not names.
    """

    pay_week = own_key("payroll.PayWeek", related_name="statements")
    paid_in = own_key("payroll.PayWeek", related_name="paying")
    person = own_key("jobs.Person", related_name="statements")
    corrects = own_key("payroll.Statement", null=True, blank=True, related_name="corrected_by")
    worker_class = models.CharField(max_length=40)
    rule_set = models.CharField(max_length=120, help_text="several, with commas, for work under several")
    rules_version = models.CharField(max_length=200)
    currency = models.CharField(max_length=3)
    gross = models.DecimalField(max_digits=14, decimal_places=2)
    difference = models.DecimalField(max_digits=14, decimal_places=2)
    overpaid = models.DecimalField(max_digits=14, decimal_places=2, default=0)
    hours = models.JSONField(help_text="total, overtime, double and by kind; exact fractions as text")
    regular_rate = models.CharField(max_length=80, blank=True, default="", help_text="exact fraction as text")
    regular_rate_because = models.JSONField(default=list)
    floors = models.JSONField()
    parameters = models.JSONField()
    cautions = models.JSONField()
    number = models.BigIntegerField(help_text="place in the organisation's chain, from 1")
    previous_digest = models.BinaryField(max_length=32)
    digest = models.BinaryField(max_length=32)
    written_in = models.BigIntegerField(
        null=True, blank=True, help_text="for a restored statement: the id its organisation had when it was written"
    )

    class Meta(Record.Meta):
        abstract = False
        constraints = [
            models.UniqueConstraint(
                fields=["organisation", "pay_week", "person"],
                condition=models.Q(corrects__isnull=True),
                name="statement_once_per_person_and_week",
            ),
            models.UniqueConstraint(fields=["organisation", "corrects"], name="statement_is_corrected_at_most_once"),
            models.UniqueConstraint(fields=["organisation", "number"], name="statement_chain_has_one_line"),
            models.CheckConstraint(
                condition=models.Q(corrects__isnull=True) | ~models.Q(pay_week=models.F("paid_in")),
                name="statement_correction_is_paid_in_another_week",
            ),
            models.CheckConstraint(
                condition=models.Q(difference__gte=0, overpaid__gte=0)
                & (models.Q(difference=0) | models.Q(overpaid=0)),
                name="statement_difference_is_paid_or_overpaid",
            ),
            models.CheckConstraint(condition=models.Q(number__gte=1), name="statement_numbers_start_at_one"),
        ]
        indexes = [models.Index(fields=["organisation", "person", "pay_week"], name="statement_by_person")]


class StatementLine(Record):
    """One line: quantity x rate = amount, and why. Lines add up to the gross, which a trigger checks.

    The printed quantity and rate are rounded for reading; the amount was rounded once, from exact fractions.
    A line with code 'correction' pays the `difference` of another statement, which it points at.
    """

    statement = own_key("payroll.Statement", related_name="lines")
    position = models.PositiveSmallIntegerField()
    code = models.CharField(max_length=24)
    text = models.CharField(max_length=200)
    job = own_key("jobs.Job", null=True, blank=True)
    operation = own_key("jobs.Operation", null=True, blank=True)
    quantity = models.DecimalField(max_digits=14, decimal_places=4)
    unit = models.CharField(max_length=10)
    rate = models.DecimalField(max_digits=18, decimal_places=6)
    amount = models.DecimalField(max_digits=14, decimal_places=2)
    because = models.JSONField()
    pays = own_key("payroll.Statement", null=True, blank=True)

    class Meta(Record.Meta):
        abstract = False
        constraints = [
            models.UniqueConstraint(
                fields=["organisation", "statement", "position"], name="statement_line_position_is_unique"
            ),
            models.CheckConstraint(
                condition=models.Q(code="correction", pays__isnull=False)
                | (~models.Q(code="correction") & models.Q(pays__isnull=True)),
                name="statement_line_correction_points_at_its_statement",
            ),
        ]


class LineAllotment(Record):
    """The part of a piece line that one entry earned. A trigger checks that the parts add up to the line."""

    line = own_key("payroll.StatementLine", related_name="allotments")
    entry = own_key("jobs.Entry", related_name="allotments")
    rate_used = own_key("payroll.Rate")
    quantity = models.DecimalField(max_digits=14, decimal_places=4)
    amount = models.DecimalField(max_digits=14, decimal_places=2)

    class Meta(Record.Meta):
        abstract = False


class StatementHours(Record):
    """The hours that a statement counted, by their records. Hours of a closed week without one are late."""

    statement = own_key("payroll.Statement", related_name="counted_hours")
    hours = own_key("jobs.Hours")

    class Meta(Record.Meta):
        abstract = False


class JobShare(Record):
    """What each job bears of a line. Lines of one job bear whole; premiums, floors and bonuses are shared by hours."""

    line = own_key("payroll.StatementLine", related_name="job_shares")
    job = own_key("jobs.Job")
    amount = models.DecimalField(max_digits=14, decimal_places=2)

    class Meta(Record.Meta):
        abstract = False
