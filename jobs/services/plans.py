"""Importing a plan: a new revision, its walls, and the work units it makes or measures anew."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from jobs import geometry
from jobs.actors import Actor
from jobs.geometry import CountedPlan
from jobs.models import Job, Level, PlanRevision, Wall, WallVersion
from jobs.refusals import not_found
from jobs.services.office import office_work, write_down
from jobs.services.work_units import PlannedWall, work_units_measure


def plan_import(*, actor: Actor, job: int, source: bytes, source_name: str, now: datetime) -> PlanRevision:
    """Import a plan as the job's next revision and measure its work units; all of it or nothing.

    The plan that is the newest already makes no new revision; operations added since get their work units from it.
    Work done stays done: a work unit the plan no longer has is measured 0, not removed.
    Raises Invalid with every mistake of the plan, NotFound, NotAllowed.
    """
    counted = geometry.count_plan(source, source_name)
    with office_work(actor):
        # The lock keeps two imports into one job apart, so that numbers and measures follow each other.
        if Job.objects.select_for_update(no_key=True).filter(pk=job).first() is None:
            raise not_found("job", "job", job)
        levels = _levels(job, counted)
        planned = _walls(job, levels)
        newest = PlanRevision.objects.filter(job=job).order_by("-number").first()
        if newest is not None and newest.source_sha256 == counted.source_sha256:
            revision = newest
        else:
            revision = PlanRevision.objects.create(
                job_id=job,
                number=newest.number + 1 if newest else 1,
                source_name=source_name[:200],
                source_sha256=counted.source_sha256,
                source=source,
                reader=counted.reader,
                imported_by_id=actor.membership,
                imported_at=now,
                order=counted.order,
                cautions=counted.cautions,
                totals=counted.totals,
            )
            _versions(revision, planned, levels)
        differences = work_units_measure(revision=revision, planned=planned, levels=levels)
        after = {"job": job, "number": revision.number, "sha256": counted.source_sha256, "work_units": differences}
        write_down(actor, now, "plan_import", "plan revision", revision.pk, after)
        return revision


def _levels(job: int, counted: CountedPlan) -> dict[int, Mapping[str, Any]]:
    """Level id -> what the take-off says of it; levels that are new are made."""
    known = {level.name: level for level in Level.objects.filter(job=job)}
    found: dict[int, Mapping[str, Any]] = {}
    for position, level in enumerate(counted.levels):
        row = known.get(level["name"])
        if row is None:
            row = Level.objects.create(job_id=job, name=level["name"], position=position)
        elif row.position != position:
            row.position = position
            row.save(update_fields=["position"])
        found[row.pk] = level
    return found


def _walls(job: int, levels: Mapping[int, Mapping[str, Any]]) -> list[PlannedWall]:
    """The plan's walls beside their records; walls that are new are made."""
    known = {(wall.level_id, wall.mark): wall for wall in Wall.objects.filter(job=job)}
    drawn = [(level, counted_wall) for level, found in levels.items() for counted_wall in found["walls"]]
    fresh = [
        Wall(job_id=job, level_id=level, mark=wall["mark"])
        for level, wall in drawn
        if (level, wall["mark"]) not in known
    ]
    known |= {(wall.level_id, wall.mark): wall for wall in Wall.objects.bulk_create(fresh)}
    return [PlannedWall(known[level, wall["mark"]].pk, level, wall) for level, wall in drawn]


def _versions(revision: PlanRevision, planned: list[PlannedWall], levels: Mapping[int, Mapping[str, Any]]) -> None:
    WallVersion.objects.bulk_create(
        WallVersion(
            wall_id=wall.id,
            revision=revision,
            type_name=wall.found["type"],
            geometry=geometry.wall_geometry(wall.found),
            counts=wall.found["counts"],
            faces=wall.found.get("faces", []),
            pieces=geometry.wall_pieces(levels[wall.level], wall.found["mark"]),
        )
        for wall in planned
    )
