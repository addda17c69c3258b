"""The shapes of answers, for the OpenAPI schema. Money, rates and quantities are decimal strings."""

from __future__ import annotations

from rest_framework import serializers


class StatementRowOut(serializers.Serializer):
    """A statement in a list."""

    id = serializers.IntegerField()
    number = serializers.IntegerField(help_text="place in the organisation's chain")
    person = serializers.IntegerField()
    first_day = serializers.DateField(help_text="of the workweek that was worked")
    paid_in = serializers.DateField(help_text="first day of the workweek that pays it")
    gross = serializers.CharField()
    difference = serializers.CharField(help_text="what the paying week pays for it")
    overpaid = serializers.CharField(help_text="paid before beyond a corrected gross; not taken back")
    corrects = serializers.IntegerField(allow_null=True)
    digest = serializers.CharField()


class WorkOut(serializers.Serializer):
    """What one entry earned of a line."""

    entry = serializers.UUIDField()
    work_unit = serializers.IntegerField()
    wall = serializers.IntegerField(allow_null=True)
    job = serializers.IntegerField()
    rate = serializers.IntegerField()
    place = serializers.CharField()
    worked_on = serializers.DateField()
    quantity = serializers.CharField()
    amount = serializers.CharField()


class LineOut(serializers.Serializer):
    """One line, why it is so, and the entries behind it."""

    code = serializers.CharField()
    text = serializers.CharField()
    quantity = serializers.CharField()
    unit = serializers.CharField()
    rate = serializers.CharField(help_text="for reading; the amount was rounded once from exact figures")
    amount = serializers.CharField()
    because = serializers.ListField(child=serializers.CharField())
    work = WorkOut(many=True)


class FloorOut(serializers.Serializer):
    """A floor that was tested."""

    text = serializers.CharField()
    required = serializers.CharField()
    reached = serializers.CharField()
    top_up = serializers.CharField()
    because = serializers.ListField(child=serializers.CharField())


class StatementOut(StatementRowOut):
    """A statement with lines, hours, regular rate and floors."""

    rules = serializers.CharField()
    rules_version = serializers.CharField()
    currency = serializers.CharField()
    hours = serializers.DictField(child=serializers.CharField())
    regular_rate = serializers.CharField(allow_null=True)
    regular_rate_working = serializers.ListField(child=serializers.CharField())
    floors = FloorOut(many=True)
    cautions = serializers.ListField(child=serializers.CharField())
    lines = LineOut(many=True)


class WeekOut(serializers.Serializer):
    """A pay week."""

    id = serializers.IntegerField()
    first_day = serializers.DateField()
    state = serializers.CharField()
    closed_at = serializers.DateTimeField(allow_null=True)


class PreviewPersonOut(serializers.Serializer):
    """What one person would be paid, or why there would be no statement."""

    person = serializers.IntegerField()
    gross = serializers.CharField()
    hours = serializers.CharField()
    overtime = serializers.CharField()
    warnings = serializers.ListField(child=serializers.CharField())
    stopped = serializers.ListField(child=serializers.CharField())


class PreviewLateOut(serializers.Serializer):
    """A closed week that changed since, and what closing would pay for it."""

    person = serializers.IntegerField()
    first_day = serializers.DateField()
    difference = serializers.CharField()
    overpaid = serializers.CharField()
    stopped = serializers.ListField(child=serializers.CharField())


class PreviewOut(serializers.Serializer):
    """An open week as it stands."""

    id = serializers.IntegerField()
    first_day = serializers.DateField()
    gross = serializers.CharField()
    people = PreviewPersonOut(many=True)
    late = PreviewLateOut(many=True)


class ClosingIn(serializers.Serializer):
    """Who is known not to be paid in the week."""

    not_paid = serializers.ListField(child=serializers.IntegerField(min_value=1), required=False, max_length=10_000)


class StoppedOut(serializers.Serializer):
    """A person who was not paid for a week, and why."""

    person = serializers.IntegerField()
    first_day = serializers.DateField()
    sentences = serializers.ListField(child=serializers.CharField())


class ClosingOut(serializers.Serializer):
    """What a closing did."""

    id = serializers.IntegerField()
    first_day = serializers.DateField()
    statements = serializers.IntegerField()
    gross = serializers.CharField()
    corrections = serializers.IntegerField()
    stopped = StoppedOut(many=True)
