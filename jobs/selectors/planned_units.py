"""A counted plan beside what stands on a job: which wall is which, and the work units the plan asks for.

Levels and walls that are new have no id yet; they bear negative ones here, which the import replaces.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from jobs import measures
from jobs.geometry import CountedPlan
from jobs.measures import Measured
from jobs.models import Level, Operation, PlanRevision, Wall, WallVersion, WorkUnit
from jobs.models.work import Grain
from jobs.plan_matching import Drawn, Pair, Standing, walls_match

# Level, wall (None for grain level), operation, face, layer, opening.
Key = tuple[int, int | None, int, str, int, str]


@dataclass(frozen=True, slots=True)
class PlannedWall:
    """A wall's record id and level id beside what the take-off says of it."""

    id: int
    level: int
    found: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Matched:
    """A plan matched with the newest revision of a job: None before the first."""

    newest: PlanRevision | None
    levels: dict[int, Mapping[str, Any]]
    pairs: list[Pair]
    planned: list[PlannedWall]


def plan_matched(job: int, counted: CountedPlan) -> Matched:
    """Match a counted plan with what stands on the job. Needs the organisation in scope."""
    newest = PlanRevision.objects.filter(job=job).order_by("-number").defer("source").first()
    known = dict(Level.objects.filter(job=job).values_list("name", "pk"))
    ids = {level["name"]: known.get(level["name"], -nth) for nth, level in enumerate(counted.levels, start=1)}
    drawn = [Drawn(level["name"], wall) for level in counted.levels for wall in level["walls"]]
    pairs = walls_match(_standing(newest), drawn)
    earlier = _earlier(job, pairs)
    planned = [
        PlannedWall(
            pair.before.id if pair.before else earlier.get((pair.after.level, pair.after.mark), -nth),
            ids[pair.after.level],
            pair.after.found,
        )
        for nth, pair in enumerate(pairs, start=1)
        if pair.after is not None
    ]
    return Matched(newest, {ids[level["name"]]: level for level in counted.levels}, pairs, planned)


def wanted_units(
    planned: Sequence[PlannedWall], levels: Mapping[int, Mapping[str, Any]]
) -> Iterator[tuple[Key, Measured]]:
    """The work units of a plan by the operations in use, each with its quantity and reasons."""
    for operation in Operation.objects.filter(active=True).order_by("position", "pk"):
        places = (
            [(level, None, found) for level, found in levels.items()]
            if operation.grain == Grain.LEVEL
            else [(wall.level, wall.id, wall.found) for wall in planned]
        )
        for level, wall, found in places:
            for one in measures.measured(operation.measure, operation.grain, found):
                yield (level, wall, operation.pk, one.face, one.layer, one.opening), one


def unit_key(unit: WorkUnit) -> Key:
    return (unit.level_id, unit.wall_id, unit.operation_id, unit.face, unit.layer, unit.opening)


def measured_units(
    units: Iterable[WorkUnit], planned: Sequence[PlannedWall], levels: Mapping[int, Mapping[str, Any]]
) -> list[WorkUnit]:
    """Those of a job's work units that a plan measures anew: of operations in use, and of walls and levels it has not.

    What an operation that is off stands on keeps its measure, but nobody works on a wall that is not to be built.
    """
    active = set(Operation.objects.filter(active=True).values_list("pk", flat=True))
    walls = {wall.id for wall in planned}
    return [
        unit
        for unit in units
        if unit.operation_id in active
        or (unit.level_id not in levels if unit.wall_id is None else unit.wall_id not in walls)
    ]


def _earlier(job: int, pairs: Sequence[Pair]) -> dict[tuple[str, str], int]:
    """Walls that an earlier revision had and the newest has not, by level and mark: one drawn again is that wall."""
    newest = [pair.before.id for pair in pairs if pair.before]
    walls = Wall.objects.filter(job=job).exclude(pk__in=newest)
    return {(level, mark): wall for wall, level, mark in walls.values_list("pk", "level__name", "mark")}


def _standing(newest: PlanRevision | None) -> list[Standing]:
    versions = WallVersion.objects.filter(revision=newest) if newest else WallVersion.objects.none()
    return [
        Standing(version.wall_id, version.wall.level.name, version.wall.mark, version.geometry, version.counts)
        for version in versions.select_related("wall__level").order_by("wall_id")
    ]
