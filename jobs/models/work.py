"""What is paid by the piece: operations, and the work units a plan makes of them."""

from __future__ import annotations

from decimal import Decimal

from django.db import models

from jobs.tenancy import Record, own_key


class Grain(models.TextChoices):
    """How finely an operation is cut into work units."""

    WALL = "wall", "wall"
    FACE = "face", "face"
    LAYER = "layer", "layer of a face"
    OPENING = "opening", "opening"
    LEVEL = "level", "level"


class Operation(Record):
    """Something paid by the piece. `measure` names a count of the take-off; `unit` is what people say it in."""

    code = models.CharField(max_length=20)
    name = models.CharField(max_length=80)
    measure = models.CharField(max_length=40)
    unit = models.CharField(max_length=10)
    grain = models.CharField(max_length=8, choices=Grain.choices)
    position = models.PositiveSmallIntegerField(default=0)
    active = models.BooleanField(default=True)

    class Meta(Record.Meta):
        constraints = [
            models.UniqueConstraint(fields=["organisation", "code"], name="operation_code_is_unique"),
            models.CheckConstraint(condition=models.Q(grain__in=Grain.values), name="operation_grain_is_known"),
            models.CheckConstraint(condition=~models.Q(measure="") & ~models.Q(unit=""), name="operation_is_measured"),
        ]

    def __str__(self) -> str:
        return self.name


class WorkUnit(Record):
    """One operation on one wall (face, layer, opening) or level: the thing that is done, and paid, once.

    `done` is the sum of the entries in force, kept by a trigger on entries; the application may not write it.
    """

    job = own_key("jobs.Job", related_name="work_units")
    level = own_key("jobs.Level", related_name="work_units")
    wall = own_key("jobs.Wall", related_name="work_units", null=True, blank=True)
    operation = own_key("jobs.Operation", related_name="work_units")
    face = models.CharField(max_length=10, blank=True, default="")
    layer = models.PositiveSmallIntegerField(default=0)
    opening = models.CharField(max_length=40, blank=True, default="")
    measured = models.DecimalField(max_digits=14, decimal_places=4)
    done = models.DecimalField(max_digits=14, decimal_places=4, default=Decimal(0), editable=False)
    revision = own_key("jobs.PlanRevision")
    because = models.JSONField(help_text="why it measures that much: rules, sources, terms and the rounding")

    class Meta(Record.Meta):
        constraints = [
            models.UniqueConstraint(
                fields=["organisation", "job", "level", "wall", "operation", "face", "layer", "opening"],
                name="work_unit_once",
                nulls_distinct=False,
            ),
            models.UniqueConstraint(fields=["organisation", "job", "id"], name="work_unit_of_job"),
            models.CheckConstraint(condition=models.Q(measured__gte=0), name="work_unit_measured_is_not_negative"),
            models.CheckConstraint(condition=models.Q(done__gte=0), name="work_unit_done_is_not_negative"),
            models.CheckConstraint(
                condition=models.Q(face__in=["", "left", "right", "from end", "to end"]), name="work_unit_face_is_known"
            ),
        ]


class WorkUnitMeasure(Record):
    """Each time a plan revision measured a work unit anew: what it was, what it became and why. Never changed."""

    work_unit = own_key("jobs.WorkUnit", related_name="measures")
    revision = own_key("jobs.PlanRevision")
    before = models.DecimalField(max_digits=14, decimal_places=4)
    measured = models.DecimalField(max_digits=14, decimal_places=4)
    because = models.JSONField()

    class Meta(Record.Meta):
        constraints = [
            models.UniqueConstraint(
                fields=["organisation", "work_unit", "revision"], name="work_unit_measured_once_per_revision"
            ),
            models.CheckConstraint(
                condition=models.Q(measured__gte=0) & models.Q(before__gte=0), name="work_unit_measure_is_not_negative"
            ),
        ]
