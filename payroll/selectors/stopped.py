"""Who got no statement when a week was closed, and why."""

from __future__ import annotations

from dataclasses import dataclass

from jobs.models import Person
from payroll.models import PayWeek


@dataclass(frozen=True, slots=True)
class StoppedRow:
    """A person without a statement in a closed week; paid as a late week once the reason is gone."""

    person: int
    name: str
    sentences: tuple[str, ...]


def stopped_in(*, pay_week: int) -> list[StoppedRow]:
    """By name; empty for an open week."""
    kept = PayWeek.objects.filter(pk=pay_week).values_list("stopped", flat=True).first() or []
    names = dict(Person.objects.filter(pk__in=[one["person"] for one in kept]).values_list("pk", "name"))
    rows = [StoppedRow(one["person"], names[one["person"]], tuple(one["sentences"])) for one in kept]
    return sorted(rows, key=lambda row: row.name)
