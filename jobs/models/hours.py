"""Hours: time worked, of every kind the law counts, in whole minutes; from when to when where that is known."""

from __future__ import annotations

from fractions import Fraction

from django.db import models

from jobs.tenancy import Record, own_key


class HoursKind(models.TextChoices):
    PIECE = "piece", "piece work"
    WAITING = "waiting", "waiting"
    TRAVEL = "travel", "travel"
    MEETING = "meeting", "meeting"
    REWORK = "rework", "rework"
    REST = "rest", "paid rest"
    MEAL = "meal", "unpaid meal"


class Hours(Record):
    """Time of one person on one job and day. Minutes, because 20 minutes has no exact decimal of an hour."""

    uuid = models.UUIDField()
    job = own_key("jobs.Job", related_name="hours")
    person = own_key("jobs.Person", related_name="hours")
    worked_on = models.DateField()
    kind = models.CharField(max_length=8, choices=HoursKind.choices)
    minutes = models.PositiveSmallIntegerField()
    started_at = models.DateTimeField(null=True, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)
    logged_by = own_key("jobs.Membership")
    received_at = models.DateTimeField()
    replaces = own_key("jobs.Hours", null=True, blank=True, related_name="replaced_by")

    class Meta(Record.Meta):
        verbose_name_plural = "hours"
        constraints = [
            models.UniqueConstraint(fields=["organisation", "uuid"], name="hours_uuid_is_unique"),
            models.UniqueConstraint(fields=["organisation", "person", "id"], name="hours_of_person"),
            models.UniqueConstraint(
                fields=["organisation", "replaces"],
                condition=models.Q(replaces__isnull=False),
                name="hours_are_replaced_at_most_once",
            ),
            models.CheckConstraint(condition=models.Q(kind__in=HoursKind.values), name="hours_kind_is_known"),
            # A day on which the clock goes back has 25 hours.
            models.CheckConstraint(condition=models.Q(minutes__range=(0, 1500)), name="hours_fit_in_a_day"),
            models.CheckConstraint(
                condition=models.Q(minutes__gt=0) | models.Q(replaces__isnull=False),
                name="hours_are_positive_unless_corrected",
            ),
            models.CheckConstraint(
                condition=models.Q(replaces__isnull=True) | models.Q(replaces__lt=models.F("id")),
                name="hours_replace_earlier_ones",
            ),
            models.CheckConstraint(
                condition=models.Q(started_at__isnull=True, finished_at__isnull=True)
                | models.Q(
                    started_at__isnull=False, finished_at__isnull=False, finished_at__gte=models.F("started_at")
                ),
                name="hours_start_and_finish_together",
            ),
        ]
        indexes = [
            models.Index(fields=["organisation", "person", "worked_on"], name="hours_by_person_and_day"),
            models.Index(fields=["organisation", "worked_on"], name="hours_by_day"),
        ]

    @property
    def hours(self) -> Fraction:
        """The time in hours, exact."""
        return Fraction(self.minutes, 60)


class HoursSpan(Record):
    """From when to when a person worked, for hours in force alone: kept by a trigger on hours, never written by hand.

    Hours are never deleted, so replaced ones would stand in the way of their own correction; here they are gone, and
    the exclusion constraint `hours_do_not_overlap` (made in migration 0005) holds over what is left.
    """

    hours = own_key("jobs.Hours")
    person = own_key("jobs.Person")
    started_at = models.DateTimeField()
    finished_at = models.DateTimeField()

    class Meta(Record.Meta):
        constraints = [
            models.UniqueConstraint(fields=["organisation", "hours"], name="hours_span_once"),
            models.CheckConstraint(
                condition=models.Q(finished_at__gt=models.F("started_at")), name="hours_span_goes_forward"
            ),
        ]
