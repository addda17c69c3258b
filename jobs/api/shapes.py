"""The shapes of requests and answers, for the OpenAPI schema.

`jobs.api.parse` reads by hand, because a batch of 500 is read in milliseconds that way; a test keeps both alike.
"""

from __future__ import annotations

from rest_framework import serializers

from jobs.models.hours import HoursKind
from jobs.models.inspections import Verdict
from jobs.models.words import Says
from jobs.requests import SPOKEN_UNITS

QUANTITY = r"^\d{1,10}(\.\d{1,4})?$"


class PersonShare(serializers.Serializer):
    """A person's share, or his weight or quantity where the split asks for one."""

    person = serializers.IntegerField(min_value=1)
    weight = serializers.RegexField(QUANTITY, required=False)
    quantity = serializers.RegexField(QUANTITY, required=False)


class Shares(serializers.Serializer):
    """How an entry is shared: among a crew, or the people named."""

    by = serializers.ChoiceField(["equal", "weight", "quantity"], default="equal")
    crew = serializers.IntegerField(min_value=1, required=False)
    people = PersonShare(many=True, required=False)


class PartIn(serializers.Serializer):
    """A part in a unit that people speak: a count of it, or sheets by their numbers in the hanging order."""

    unit = serializers.ChoiceField(SPOKEN_UNITS)
    count = serializers.CharField(required=False, help_text="3, 10 1/2 or 12'-6\"")
    numbers = serializers.ListField(
        child=serializers.IntegerField(min_value=1, max_value=999_999), required=False, min_length=1, max_length=200
    )
    plan = serializers.IntegerField(min_value=1, required=False, help_text="the plan revision that numbers the sheets")


class EntryIn(serializers.Serializer):
    """Work finished on a work unit. With `replaces` it takes the place of an earlier entry of the same work unit."""

    uuid = serializers.UUIDField()
    work_unit = serializers.IntegerField(min_value=1, required=False, help_text="left out in a correction")
    worked_on = serializers.DateField()
    quantity = serializers.RegexField(
        r"^(all left|\d{1,10}(\.\d{1,4})?|(\d{1,6} )?\d{1,4}/[1-9]\d{0,3})$",
        required=False,
        help_text='in the operation\'s unit, or "all left"; left out where a part is given',
    )
    part = PartIn(required=False)
    shares = Shares()
    made_at = serializers.DateTimeField(help_text="by the phone's clock, with its offset")
    note = serializers.CharField(max_length=500, required=False)
    replaces = serializers.UUIDField(required=False)
    started_at = serializers.DateTimeField(
        required=False, help_text="when in the day it was made, with its offset, to the minute"
    )
    finished_at = serializers.DateTimeField(required=False, help_text="given together with started_at")


class ShareOut(serializers.Serializer):
    person = serializers.IntegerField()
    quantity = serializers.RegexField(QUANTITY)


class ReasonOut(serializers.Serializer):
    rule = serializers.CharField()
    source = serializers.CharField()
    term = serializers.CharField()


class NoticeOut(serializers.Serializer):
    """What to look at, and what to do next. Never a refusal."""

    kind = serializers.CharField()
    sentence = serializers.CharField()
    next = serializers.CharField()


class EntryOut(serializers.Serializer):
    """An entry as received; the same for every repetition of its request."""

    id = serializers.IntegerField()
    uuid = serializers.UUIDField()
    work_unit = serializers.IntegerField()
    worked_on = serializers.DateField()
    quantity = serializers.RegexField(QUANTITY)
    shares = ShareOut(many=True)
    received_at = serializers.DateTimeField()
    replaces = serializers.UUIDField(allow_null=True)
    because = ReasonOut(many=True, help_text="how a part, such as 3 sheets, became the quantity")
    notices = NoticeOut(many=True)
    started_at = serializers.DateTimeField(allow_null=True)
    finished_at = serializers.DateTimeField(allow_null=True)


class ProblemError(serializers.Serializer):
    path = serializers.CharField(allow_blank=True)
    detail = serializers.CharField()


class Problem(serializers.Serializer):
    """A problem document, RFC 9457."""

    type = serializers.CharField()
    title = serializers.CharField()
    status = serializers.IntegerField()
    detail = serializers.CharField(allow_blank=True)
    errors = ProblemError(many=True)


class EntryBatchIn(serializers.Serializer):
    """Up to 500 entries, each received or refused on its own."""

    entries = EntryIn(many=True)


class EntryOutcome(serializers.Serializer):
    """201 with the entry, or another status with its problem."""

    uuid = serializers.CharField(allow_null=True)
    status = serializers.IntegerField()
    entry = EntryOut(required=False)
    problem = Problem(required=False)


class EntryBatchOut(serializers.Serializer):
    entries = EntryOutcome(many=True)


class HoursIn(serializers.Serializer):
    """Time of one person on one job and day; with `replaces` in the place of earlier hours."""

    uuid = serializers.UUIDField()
    job = serializers.IntegerField(min_value=1)
    person = serializers.IntegerField(min_value=1)
    worked_on = serializers.DateField()
    kind = serializers.ChoiceField(HoursKind.values)
    hours = serializers.CharField(required=False, help_text='"7.25" or "7:15"; whole minutes')
    started_at = serializers.DateTimeField(required=False, help_text="with its offset, to the minute; instead of hours")
    finished_at = serializers.DateTimeField(required=False, help_text="given together with started_at")
    made_at = serializers.DateTimeField()
    replaces = serializers.UUIDField(required=False)


class HoursOut(serializers.Serializer):
    id = serializers.IntegerField()
    uuid = serializers.UUIDField()
    job = serializers.IntegerField()
    person = serializers.IntegerField()
    worked_on = serializers.DateField()
    kind = serializers.ChoiceField(HoursKind.values)
    hours = serializers.CharField(help_text="h:mm")
    received_at = serializers.DateTimeField()
    replaces = serializers.UUIDField(allow_null=True)
    started_at = serializers.DateTimeField(allow_null=True)
    finished_at = serializers.DateTimeField(allow_null=True)


class InspectionIn(serializers.Serializer):
    """A verdict on a work unit; reopened asks for a reason."""

    uuid = serializers.UUIDField()
    work_unit = serializers.IntegerField(min_value=1)
    verdict = serializers.ChoiceField(Verdict.values)
    reason = serializers.CharField(max_length=500, required=False)
    inspected_on = serializers.DateField()
    made_at = serializers.DateTimeField()


class InspectionOut(serializers.Serializer):
    id = serializers.IntegerField()
    uuid = serializers.UUIDField()
    work_unit = serializers.IntegerField()
    verdict = serializers.ChoiceField(Verdict.values)
    reason = serializers.CharField(allow_blank=True)
    inspected_on = serializers.DateField()
    received_at = serializers.DateTimeField()


class WordIn(serializers.Serializer):
    """A word on an entry or hours, named by their UUID; disputed and settled ask for a reason."""

    uuid = serializers.UUIDField()
    about = serializers.UUIDField()
    person = serializers.IntegerField(min_value=1, help_text="whom it is about: oneself, or whose dispute is settled")
    says = serializers.ChoiceField(Says.values)
    reason = serializers.CharField(max_length=500, required=False)
    made_at = serializers.DateTimeField()


class WordOut(serializers.Serializer):
    id = serializers.IntegerField()
    uuid = serializers.UUIDField()
    about = serializers.UUIDField()
    person = serializers.IntegerField()
    says = serializers.ChoiceField(Says.values)
    reason = serializers.CharField(allow_blank=True)
    received_at = serializers.DateTimeField()


class PhotoIn(serializers.Serializer):
    """A photo of an entry: a JPEG, PNG or WebP of at most 10,000,000 bytes and 50,000,000 pixels."""

    uuid = serializers.UUIDField()
    photo = serializers.CharField(help_text="the file in base64")
    made_at = serializers.DateTimeField()


class PhotoOut(serializers.Serializer):
    """A photo as it is kept: a JPEG without metadata; `size` in bytes, 0 once it was forgotten."""

    uuid = serializers.UUIDField()
    entry = serializers.UUIDField()
    sha256 = serializers.RegexField("^[0-9a-f]{64}$")
    width = serializers.IntegerField()
    height = serializers.IntegerField()
    size = serializers.IntegerField()
    received_at = serializers.DateTimeField()


class PhotosOut(serializers.Serializer):
    photos = PhotoOut(many=True)


class PhotoWithImageOut(PhotoOut):
    photo = serializers.CharField(help_text="the JPEG in base64")


class JobOut(serializers.Serializer):
    id = serializers.IntegerField()
    name = serializers.CharField()
    code = serializers.CharField()
    time_zone = serializers.CharField()
    unit_system = serializers.ChoiceField(["imperial", "metric"])
    started_on = serializers.DateField()


class WallOut(serializers.Serializer):
    id = serializers.IntegerField()
    level = serializers.CharField()
    mark = serializers.CharField()


class WorkUnitOut(serializers.Serializer):
    """One operation on one wall, face, layer, opening or level, and how much of it is left."""

    id = serializers.IntegerField()
    level = serializers.CharField()
    wall = serializers.IntegerField(allow_null=True)
    mark = serializers.CharField(allow_null=True)
    operation = serializers.CharField()
    operation_name = serializers.CharField()
    unit = serializers.CharField()
    face = serializers.CharField(allow_blank=True)
    layer = serializers.IntegerField()
    opening = serializers.CharField(allow_blank=True)
    measured = serializers.RegexField(QUANTITY)
    done = serializers.RegexField(QUANTITY)
    left = serializers.RegexField(QUANTITY)


class PersonOut(serializers.Serializer):
    id = serializers.IntegerField()
    name = serializers.CharField()
    number = serializers.CharField()
    worker_class = serializers.CharField()


class CrewPlaceOut(serializers.Serializer):
    person = serializers.IntegerField()
    weight = serializers.RegexField(QUANTITY)


class CrewOut(serializers.Serializer):
    id = serializers.IntegerField()
    name = serializers.CharField()
    people = CrewPlaceOut(many=True)
