"""What the office recorded of one person beside work and pay, as rows of tables, replaced and withdrawn ones too."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.db.models import Q

from jobs.models import Person
from payroll.models import Agreement, MissedBreak
from payroll.selectors.rates import tidy


def agreement_table(person: Person, first: date, last: date) -> tuple[tuple[str, ...], list[tuple[Any, ...]]]:
    """Columns and rows of agreements that touch a span of days."""
    columns = (
        "agreement", "kind", "rate", "guarantee_hours", "signed_on", "starts_on", "ends_on", "words", "reference",
        "withdrawn", "recorded_at", "replaces",
    )  # fmt: skip
    found = Agreement.objects.filter(Q(ends_on=None) | Q(ends_on__gte=first), person=person, starts_on__lte=last)
    return columns, [
        (
            one.pk, one.kind, None if one.rate is None else tidy(one.rate), one.guarantee_hours, one.signed_on,
            one.starts_on, one.ends_on, one.words, one.reference, one.withdrawn, one.recorded_at.isoformat(),
            one.replaces_id,
        )
        for one in found.order_by("pk")
    ]  # fmt: skip


def break_table(person: Person, first: date, last: date) -> tuple[tuple[str, ...], list[tuple[Any, ...]]]:
    """Columns and rows of breaks recorded as missed in a span of days."""
    found = MissedBreak.objects.filter(person=person, missed_on__range=(first, last)).order_by("pk")
    rows = [
        (one.pk, one.missed_on, one.kind, one.why, one.withdrawn, one.recorded_at.isoformat(), one.replaces_id)
        for one in found
    ]
    return ("missed_break", "missed_on", "kind", "why", "withdrawn", "recorded_at", "replaces"), rows
