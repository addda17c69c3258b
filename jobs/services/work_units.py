"""Work units: made and measured anew from a plan revision, the difference written down for each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from jobs.audit import canonical
from jobs.bulk import rows_update
from jobs.measures import Measured
from jobs.models import PlanRevision, WorkUnit, WorkUnitMeasure
from jobs.selectors.planned_units import Key, PlannedWall, measured_units, unit_key, wanted_units


def work_units_measure(
    *, revision: PlanRevision, planned: Sequence[PlannedWall], levels: Mapping[int, Mapping[str, Any]]
) -> dict[str, int]:
    """Make or re-measure the work units of a job; how many were made, changed and measured 0.

    Needs the job locked and the organisation in scope. Locks the job's work units in id order, as entries do.
    """
    wanted = dict(wanted_units(planned, levels))
    standing = {unit_key(unit): unit for unit in _locked(revision.job_id)}
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
    changes = [(unit, _now(wanted, unit_key(unit))) for unit in measured_units(standing.values(), planned, levels)]
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


def work_units_lock(job: int) -> None:
    """Hold a job's work units, in id order as entries do, until the transaction ends."""
    list(WorkUnit.objects.select_for_update(no_key=True).filter(job=job).order_by("pk").values_list("pk"))


def _locked(job: int) -> list[WorkUnit]:
    return list(WorkUnit.objects.select_for_update(no_key=True).filter(job=job).order_by("pk"))


def _now(wanted: Mapping[Key, Measured], key: Key) -> Measured:
    gone = [{"rule": "the newest plan does not have it", "source": "the plan revision", "term": "0"}]
    return wanted.get(key) or Measured(Decimal(0), gone)
