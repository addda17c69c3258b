"""Work units: made and measured anew from a plan revision, the difference written down for each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from jobs import measures
from jobs.audit import canonical
from jobs.bulk import rows_update
from jobs.measures import Measured
from jobs.models import Operation, PlanRevision, WorkUnit, WorkUnitMeasure
from jobs.models.work import Grain

Key = tuple[int, int | None, int, str, int, str]


@dataclass(frozen=True, slots=True)
class PlannedWall:
    """A wall's record id and level id beside what the take-off says of it."""

    id: int
    level: int
    found: Mapping[str, Any]


def work_units_measure(
    *, revision: PlanRevision, planned: Sequence[PlannedWall], levels: Mapping[int, Mapping[str, Any]]
) -> dict[str, int]:
    """Make or re-measure the work units of a job; how many were made, changed and measured 0.

    Needs the job locked and the organisation in scope. Locks the job's work units in id order, as entries do.
    """
    wanted = dict(_wanted(planned, levels))
    standing = {_key(unit): unit for unit in _locked(revision.job_id)}
    fresh = [
        WorkUnit(
            job_id=revision.job_id,
            level_id=level,
            wall_id=wall,
            operation_id=operation,
            face=face,
            layer=layer,
            opening=opening,
            measured=found.quantity,
            revision=revision,
            because=found.because,
        )
        for (level, wall, operation, face, layer, opening), found in wanted.items()
        if (level, wall, operation, face, layer, opening) not in standing
    ]
    WorkUnit.objects.bulk_create(fresh, batch_size=2000)
    active = set(Operation.objects.filter(active=True).values_list("pk", flat=True))
    changes = [(unit, _now(wanted, key)) for key, unit in standing.items() if unit.operation_id in active]
    changed = [(unit, found) for unit, found in changes if unit.measured != found.quantity]
    rows_update(
        "jobs_workunit",
        {"measured": "numeric", "revision_id": "bigint", "because": "jsonb"},
        [(unit.pk, found.quantity, revision.pk, canonical(found.because)) for unit, found in changed],
    )
    history = [(unit, Decimal(0), unit.measured, unit.because) for unit in fresh]
    history += [(unit, unit.measured, found.quantity, found.because) for unit, found in changed]
    WorkUnitMeasure.objects.bulk_create(
        (
            WorkUnitMeasure(work_unit=unit, revision=revision, before=before, measured=quantity, because=because)
            for unit, before, quantity, because in history
        ),
        batch_size=2000,
    )
    gone = sum(1 for _, found in changed if found.quantity == 0)
    return {"made": len(fresh), "changed": len(changed) - gone, "gone": gone}


def _wanted(planned: Sequence[PlannedWall], levels: Mapping[int, Mapping[str, Any]]) -> Iterator[tuple[Key, Measured]]:
    for operation in Operation.objects.filter(active=True).order_by("position", "pk"):
        places = (
            [(level, None, found) for level, found in levels.items()]
            if operation.grain == Grain.LEVEL
            else [(wall.level, wall.id, wall.found) for wall in planned]
        )
        for level, wall, found in places:
            for one in measures.measured(operation.measure, operation.grain, found):
                yield (level, wall, operation.pk, one.face, one.layer, one.opening), one


def _locked(job: int) -> list[WorkUnit]:
    return list(WorkUnit.objects.select_for_update(no_key=True).filter(job=job).order_by("pk"))


def _key(unit: WorkUnit) -> Key:
    return (unit.level_id, unit.wall_id, unit.operation_id, unit.face, unit.layer, unit.opening)


def _now(wanted: Mapping[Key, Measured], key: Key) -> Measured:
    gone = [{"rule": "the newest plan does not have it", "source": "the plan revision", "term": "0"}]
    return wanted.get(key) or Measured(Decimal(0), gone)
