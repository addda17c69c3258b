"""The shapes of sync and changes, for the OpenAPI schema."""

from __future__ import annotations

from rest_framework import serializers

from jobs.api import shapes
from jobs.api.shapes import QUANTITY

STATES = ("open", "part done", "done", "accepted", "reopened")


class SyncOperation(serializers.Serializer):
    """One operation a phone kept, under the one key that says what it is. Paths of its problems start inside of it."""

    entry = shapes.EntryIn(required=False)
    hours = shapes.HoursIn(required=False)
    inspection = shapes.InspectionIn(required=False)


class SyncIn(serializers.Serializer):
    """Up to 500 operations in any order. With `since`, a cursor or null, the changes are told too."""

    operations = SyncOperation(many=True, help_text="500 at most; none to ask for changes alone")
    since = serializers.CharField(required=False, allow_null=True, help_text="the cursor of the last answer, or null")


class SyncOutcome(serializers.Serializer):
    """201 with what was received, or another status with its problem."""

    uuid = serializers.CharField(allow_null=True)
    status = serializers.IntegerField()
    entry = shapes.EntryOut(required=False)
    hours = shapes.HoursOut(required=False)
    inspection = shapes.InspectionOut(required=False)
    problem = shapes.Problem(required=False)


class ReachOut(serializers.Serializer):
    """Ids of all in reach now: whatever else the device holds has been withdrawn, with all below it."""

    jobs = serializers.ListField(child=serializers.IntegerField())
    crews = serializers.ListField(child=serializers.IntegerField())
    people = serializers.ListField(child=serializers.IntegerField())


class OperationKindOut(serializers.Serializer):
    """Something paid by the piece."""

    id = serializers.IntegerField()
    code = serializers.CharField()
    name = serializers.CharField()
    measure = serializers.CharField()
    unit = serializers.CharField()
    grain = serializers.CharField()
    position = serializers.IntegerField()
    active = serializers.BooleanField()


class LevelOut(serializers.Serializer):
    id = serializers.IntegerField()
    job = serializers.IntegerField()
    name = serializers.CharField()
    position = serializers.IntegerField()


class PersonChangeOut(shapes.PersonOut):
    started_on = serializers.DateField()
    left_on = serializers.DateField(allow_null=True)


class WallChangeOut(serializers.Serializer):
    id = serializers.IntegerField()
    job = serializers.IntegerField()
    level = serializers.IntegerField()
    mark = serializers.CharField()


class WorkUnitChangeOut(serializers.Serializer):
    """A work unit by the ids of its job, level, wall and operation; quantities in the operation's unit."""

    id = serializers.IntegerField()
    job = serializers.IntegerField()
    level = serializers.IntegerField()
    wall = serializers.IntegerField(allow_null=True)
    operation = serializers.IntegerField()
    face = serializers.CharField(allow_blank=True)
    layer = serializers.IntegerField()
    opening = serializers.CharField(allow_blank=True)
    measured = serializers.RegexField(QUANTITY)
    done = serializers.RegexField(QUANTITY)
    left = serializers.RegexField(QUANTITY)
    state = serializers.ChoiceField(STATES)
    reason = serializers.CharField(allow_blank=True, help_text="why it was reopened")


class ChangesOut(serializers.Serializer):
    """One page of changes. Keep rows by id; when `whole`, forget what is held first; drop what `reach` leaves out."""

    cursor = serializers.CharField()
    more = serializers.BooleanField()
    whole = serializers.BooleanField()
    reach = ReachOut()
    jobs = shapes.JobOut(many=True)
    operations = OperationKindOut(many=True)
    levels = LevelOut(many=True)
    crews = shapes.CrewOut(many=True)
    people = PersonChangeOut(many=True)
    walls = WallChangeOut(many=True)
    work_units = WorkUnitChangeOut(many=True)


class SyncOut(serializers.Serializer):
    """The outcomes in the order of the operations; the first page of changes, where `since` was given."""

    operations = SyncOutcome(many=True)
    changes = ChangesOut(required=False)
