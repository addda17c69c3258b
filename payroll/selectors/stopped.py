"""Who got no statement when a week was closed, and why."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from jobs.models import Person
from payroll.models import PayWeek


@dataclass(frozen=True, slots=True)
class StoppedRow:
    """Somebody who was not paid at a closing: for the closed week itself, or for an earlier one that changed.
    He is paid as a late week once the reason is gone."""

    person: int
    name: str
    first_day: date
    own_week: bool
    sentences: tuple[str, ...]


def stopped_in(*, pay_week: int) -> list[StoppedRow]:
    """By name; empty for an open week."""
    week = PayWeek.objects.filter(pk=pay_week).first()
    kept = week.stopped if week is not None else []
    names = dict(Person.objects.filter(pk__in=[one["person"] for one in kept]).values_list("pk", "name"))
    rows = []
    for one in kept:
        # Weeks closed by an earlier version do not say which week; theirs was the closed one in all but odd cases.
        first = date.fromisoformat(one["first_day"]) if "first_day" in one else week.first_day
        own = first == week.first_day
        rows.append(StoppedRow(one["person"], names[one["person"]], first, own, tuple(one["sentences"])))
    return sorted(rows, key=lambda row: (row.name, row.first_day))
