"""People who are paid, and the crews they work in."""

from __future__ import annotations

import hashlib
from uuid import uuid4

from django.contrib.postgres.functions import RandomUUID
from django.db import models

from jobs.tenancy import Record, own_key


class Person(Record):
    """Someone who is paid; he may or may not sign in. Names stand here only, so that they can be forgotten one day."""

    name = models.CharField(max_length=120)
    number = models.CharField(max_length=20, help_text="the organisation's own number for the person")
    worker_class = models.CharField(max_length=40, default="journeyman")
    started_on = models.DateField()
    left_on = models.DateField(null=True, blank=True)
    language = models.CharField(max_length=12, default="en")
    salt = models.UUIDField(
        default=uuid4, db_default=RandomUUID(), editable=False, help_text="goes into digests; made anew to forget him"
    )

    class Meta(Record.Meta):
        verbose_name_plural = "people"
        constraints = [
            models.UniqueConstraint(fields=["organisation", "number"], name="person_number_is_unique"),
            models.CheckConstraint(condition=~models.Q(number=""), name="person_has_a_number"),
            models.CheckConstraint(
                condition=models.Q(left_on__isnull=True) | models.Q(left_on__gte=models.F("started_on")),
                name="person_leaves_after_starting",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def veiled(self, value: str) -> str:
        """A digest of something personal, for records that are kept; without the salt nobody can try values on it."""
        return hashlib.sha256(self.salt.bytes + value.encode()).hexdigest()


class Crew(Record):
    """People who work together under one foreman."""

    name = models.CharField(max_length=80)
    foreman = own_key("jobs.Membership", null=True, blank=True, related_name="crews")

    class Meta(Record.Meta):
        constraints = [models.UniqueConstraint(fields=["organisation", "name"], name="crew_name_is_unique")]

    def __str__(self) -> str:
        return self.name


class CrewMember(Record):
    """A person's place in a crew and his weight when shares go by weight."""

    crew = own_key("jobs.Crew", related_name="members")
    person = own_key("jobs.Person", related_name="crew_places")
    weight = models.DecimalField(max_digits=6, decimal_places=3, default=1)
    active = models.BooleanField(default=True)

    class Meta(Record.Meta):
        constraints = [
            models.UniqueConstraint(fields=["organisation", "crew", "person"], name="crew_member_once"),
            models.CheckConstraint(condition=models.Q(weight__gt=0), name="crew_member_weight_is_positive"),
        ]
