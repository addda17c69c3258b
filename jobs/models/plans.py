"""Plans as they were imported, and the walls they describe: a wall lives on, its versions stand still."""

from __future__ import annotations

from django.db import models

from jobs.tenancy import Record, own_key


class PlanRevision(Record):
    """One imported plan of a job with its source, byte for byte, and what the take-off of the whole plan said."""

    job = own_key("jobs.Job", related_name="revisions")
    number = models.PositiveIntegerField()
    source_name = models.CharField(max_length=200)
    source_sha256 = models.CharField(max_length=64)
    source = models.BinaryField()
    reader = models.CharField(max_length=40)
    imported_by = own_key("jobs.Membership", null=True, blank=True)
    imported_at = models.DateTimeField()
    order = models.JSONField(help_text="what to buy: product, stock length, count")
    cautions = models.JSONField()
    totals = models.JSONField(help_text="counts of the whole plan")

    class Meta(Record.Meta):
        constraints = [
            models.UniqueConstraint(fields=["organisation", "job", "number"], name="plan_revision_number_is_unique"),
            models.CheckConstraint(condition=models.Q(number__gte=1), name="plan_revision_numbers_start_at_one"),
            models.CheckConstraint(
                condition=models.Q(source_sha256__regex="^[0-9a-f]{64}$"), name="plan_revision_has_a_sha256"
            ),
        ]


class Level(Record):
    """A floor of a job, in the order of the plan."""

    job = own_key("jobs.Job", related_name="levels")
    name = models.CharField(max_length=80)
    position = models.PositiveSmallIntegerField()

    class Meta(Record.Meta):
        constraints = [
            models.UniqueConstraint(fields=["organisation", "job", "name"], name="level_name_is_unique"),
            models.UniqueConstraint(fields=["organisation", "job", "id"], name="level_of_job"),
        ]

    def __str__(self) -> str:
        return self.name


class Wall(Record):
    """A partition, known by job, level and mark across every revision of the plan."""

    job = own_key("jobs.Job", related_name="walls")
    level = own_key("jobs.Level", related_name="walls")
    mark = models.CharField(max_length=40)

    class Meta(Record.Meta):
        constraints = [
            models.UniqueConstraint(fields=["organisation", "job", "level", "mark"], name="wall_mark_is_unique"),
            models.UniqueConstraint(fields=["organisation", "job", "id"], name="wall_of_job"),
        ]

    def __str__(self) -> str:
        return self.mark


class WallVersion(Record):
    """A wall as one revision draws it: geometry, counts with their reasons, faces and pieces. Never changed."""

    wall = own_key("jobs.Wall", related_name="versions")
    revision = own_key("jobs.PlanRevision", related_name="wall_versions")
    type_name = models.CharField(max_length=40)
    geometry = models.JSONField(help_text="lengths in decimal inches: line_length, track_length, openings")
    counts = models.JSONField()
    faces = models.JSONField()
    pieces = models.JSONField(help_text="studs, track_pieces, sheets, junctions, cautions of this wall")

    class Meta(Record.Meta):
        constraints = [
            models.UniqueConstraint(fields=["organisation", "wall", "revision"], name="wall_version_once_per_revision")
        ]
