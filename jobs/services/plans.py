"""Importing a plan: a new revision, its walls, and the work units it makes or measures anew."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from jobs import geometry
from jobs.actors import Actor
from jobs.geometry import CountedPlan
from jobs.models import Job, Level, PlanRevision, Wall, WallVersion
from jobs.plan_matching import differences
from jobs.refusals import Conflict, Mistake, not_found
from jobs.selectors.measures_digest import measures_digest
from jobs.selectors.plan_difference import difference_of
from jobs.selectors.planned_units import Matched, PlannedWall, plan_matched
from jobs.services.office import office_work, write_down
from jobs.services.operations import operations_lock
from jobs.services.plan_renaming import marks_rename
from jobs.services.work_units import work_units_lock, work_units_measure


def plan_import(
    *, actor: Actor, job: int, source: bytes, source_name: str, now: datetime, seen: int | None = None, shown: str = ""
) -> PlanRevision:
    """Import a plan as the job's next revision and measure its work units; all of it or nothing.

    A wall that stands where one stood under another mark is that wall, renamed, with all its work. The plan that is
    the newest already makes no new revision; operations added since get their work units from it. Work done stays
    done: a work unit the plan no longer has is measured 0, not removed. `seen` is the revision that the difference
    shown before was made against (`plan_difference(...).seen`), `shown` that difference's digest.
    Raises Invalid with every mistake of the plan, NotFound, NotAllowed, and Conflict when `seen` is not the newest or
    the difference is not the one shown.
    """
    counted = geometry.count_plan(source, source_name)
    with office_work(actor):
        # The lock keeps two imports into one job apart, so that numbers and measures follow each other.
        if Job.objects.select_for_update(no_key=True).filter(pk=job).first() is None:
            raise not_found("job", "job", job)
        operations_lock()
        matched = plan_matched(job, counted)
        newest = matched.newest
        _refuse_unseen(seen, newest)
        if shown:
            _refuse_otherwise(shown, job, counted, matched)
        levels, ids = _levels(job, matched)
        renamed = marks_rename(job, matched.pairs)
        planned = _walls(job, matched, ids)
        if newest is not None and newest.source_sha256 == counted.source_sha256 and not _counted_anew(matched):
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
        measured = work_units_measure(revision=revision, planned=planned, levels=levels)
        after = {"job": job, "number": revision.number, "sha256": counted.source_sha256, "work_units": measured}
        after["measures"] = measures_digest(revision.pk)
        write_down(actor, now, "plan_import", "plan revision", revision.pk, after | {"renamed": renamed})
        return revision


def _refuse_unseen(seen: int | None, newest: PlanRevision | None) -> None:
    stands = newest.number if newest else 0
    if seen is not None and seen != stands:
        raise Conflict(
            Mistake(
                "seen",
                f"the difference was shown against revision {seen}, and the newest is {stands} by now. "
                "Compare the plan again before importing it.",
            )
        )


def _refuse_otherwise(shown: str, job: int, counted: CountedPlan, matched: Matched) -> None:
    """Work units are locked first, so that no entry changes what is done between the comparing and the measuring."""
    work_units_lock(job)
    if difference_of(job, counted, matched).digest != shown:
        raise Conflict(
            Mistake("shown", "what importing the plan would change is not what was shown any more. Look at it again.")
        )


def _counted_anew(matched: Matched) -> bool:
    """Whether the same plan is counted otherwise than it was, as by a newer engine."""
    return any(pair.before is None or pair.after is None or differences(pair) for pair in matched.pairs)


def _levels(job: int, matched: Matched) -> tuple[dict[int, Mapping[str, Any]], dict[int, int]]:
    """Level id -> what the take-off says of it, and matched id -> id; levels that are new are made."""
    known = Level.objects.filter(job=job).in_bulk()
    found: dict[int, Mapping[str, Any]] = {}
    ids: dict[int, int] = {}
    for position, (matched_id, level) in enumerate(matched.levels.items()):
        row = known.get(matched_id)
        if row is None:
            row = Level.objects.create(job_id=job, name=level["name"], position=position)
        elif row.position != position:
            row.position = position
            row.save(update_fields=["position"])
        found[row.pk] = level
        ids[matched_id] = row.pk
    return found, ids


def _walls(job: int, matched: Matched, ids: Mapping[int, int]) -> list[PlannedWall]:
    """The plan's walls beside their records; walls that are new are made."""
    new = [wall for wall in matched.planned if wall.id < 0]
    made = Wall.objects.bulk_create(Wall(job_id=job, level_id=ids[wall.level], mark=wall.found["mark"]) for wall in new)
    known = {wall.id: record.pk for wall, record in zip(new, made, strict=True)}
    return [PlannedWall(known.get(wall.id, wall.id), ids[wall.level], wall.found) for wall in matched.planned]


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
