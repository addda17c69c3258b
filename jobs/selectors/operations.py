"""Operations as the office sees them: what each is measured by, and the work that is open on it."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Count, F, Q

from jobs.models import Operation
from jobs.models.work import Grain


@dataclass(frozen=True, slots=True)
class OperationLine:
    """An operation in the list. `grain` in words; `open_units` are its work units with something left, on all jobs."""

    id: int
    code: str
    name: str
    measure: str
    unit: str
    grain: str
    active: bool
    open_units: int
    open_jobs: int


def operation_lines() -> list[OperationLine]:
    """Every operation in its order, those switched off too. One query; needs the organisation in scope."""
    left = Q(work_units__measured__gt=F("work_units__done"))
    rows = Operation.objects.annotate(
        open_units=Count("work_units", filter=left), open_jobs=Count("work_units__job", filter=left, distinct=True)
    ).order_by("position", "pk")
    return [
        OperationLine(
            one.pk, one.code, one.name, one.measure, one.unit, str(Grain(one.grain).label), one.active,
            one.open_units, one.open_jobs,
        )
        for one in rows
    ]  # fmt: skip
