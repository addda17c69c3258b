"""A job as a sheet: its levels, its walls, and how far each operation stands on each wall."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from jobs.actors import Actor
from jobs.models import BudgetLine, Job, PlanRevision, Wall, WallVersion, WorkUnit
from jobs.refusals import not_found
from jobs.selectors.reach import jobs_of
from jobs.selectors.unit_states import UnitRow, state_of_all, unit_rows


@dataclass(frozen=True, slots=True)
class JobLine:
    """A job in a list."""

    id: int
    name: str
    code: str
    address: str
    time_zone: str
    unit_system: str
    started_on: date


@dataclass(frozen=True, slots=True)
class Progress:
    """How far some work units stand together; they have one operation and so one unit."""

    name: str
    unit: str
    measured: Decimal
    done: Decimal
    state: str

    @property
    def left(self) -> Decimal:
        return max(self.measured - self.done, Decimal(0))


@dataclass(frozen=True, slots=True)
class WallLine:
    """A wall in the table of its level. `cells` follow the sheet's operations; None where there is nothing to do."""

    id: int
    mark: str
    type_name: str
    length: str
    height: str
    cells: tuple[Progress | None, ...]


@dataclass(frozen=True, slots=True)
class LevelSheet:
    """One floor: what it comes to by operation, its walls, and work that belongs to the level and no wall."""

    name: str
    progress: tuple[Progress, ...]
    walls: tuple[WallLine, ...]
    level_work: tuple[Progress, ...]


@dataclass(frozen=True, slots=True)
class JobSheet:
    """A whole job from its newest plan. `order` is what to buy: product, stock length in inches, count."""

    job: JobLine
    floor_area_sqft: Decimal | None
    revision: int
    plan_name: str
    operations: tuple[str, ...]
    progress: tuple[Progress, ...]
    levels: tuple[LevelSheet, ...]
    order: tuple[dict[str, Any], ...]
    cautions: tuple[dict[str, Any], ...]
    budget: tuple[tuple[str, str, Decimal, Decimal], ...]

    @property
    def walls(self) -> int:
        return sum(len(level.walls) for level in self.levels)


def job_lines(actor: Actor) -> list[JobLine]:
    return [_line(job) for job in jobs_of(actor).order_by("-started_on", "name")]


def job_line(actor: Actor, job: int) -> JobLine:
    """Raises NotFound for a job that is not there or not in reach, alike."""
    return _line(_reached(actor, job))


def job_sheet(actor: Actor, job: int) -> JobSheet:
    """Raises NotFound."""
    found = _reached(actor, job)
    # In the order of the operations, though the first wall may lack some of them.
    units = sorted(unit_rows(WorkUnit.objects.filter(job=found)), key=lambda unit: (unit.position, unit.operation))
    operations = _operations(units)
    revision = PlanRevision.objects.filter(job=found).order_by("-number").defer("source").first()
    return JobSheet(
        job=_line(found),
        floor_area_sqft=found.floor_area_sqft,
        revision=revision.number if revision else 0,
        plan_name=revision.source_name if revision else "",
        operations=tuple(name for _, name in operations),
        progress=_by_operation(units),
        levels=tuple(_levels(found, units, operations)),
        order=tuple(revision.order) if revision else (),
        cautions=tuple(revision.cautions) if revision else (),
        budget=tuple(
            BudgetLine.objects.filter(job=found)
            .order_by("operation__position")
            .values_list("operation__name", "operation__unit", "quantity", "labour_money")
        ),
    )


def _reached(actor: Actor, job: int) -> Job:
    found = jobs_of(actor).filter(pk=job).first()
    if found is None:
        raise not_found("job", "job", job)
    return found


def _line(job: Job) -> JobLine:
    return JobLine(job.pk, job.name, job.code, job.address, job.time_zone, job.unit_system, job.started_on)


def _operations(units: Iterable[UnitRow]) -> list[tuple[int, str]]:
    """Operations that walls have, in the order in which the rows bring them (the operations' own)."""
    return list(dict.fromkeys((unit.operation, unit.name) for unit in units if unit.wall is not None))


def progress_of(units: Sequence[UnitRow]) -> Progress:
    """Work units of one operation, added up."""
    return Progress(
        name=units[0].name,
        unit=units[0].unit,
        measured=sum((unit.measured for unit in units), Decimal(0)),
        done=sum((unit.done for unit in units), Decimal(0)),
        state=state_of_all(unit.state for unit in units),
    )


def _by_operation(units: Iterable[UnitRow]) -> tuple[Progress, ...]:
    by: defaultdict[int, list[UnitRow]] = defaultdict(list)
    for unit in units:
        by[unit.operation].append(unit)
    return tuple(progress_of(of) for of in by.values())


def _levels(job: Job, units: Sequence[UnitRow], operations: Sequence[tuple[int, str]]) -> Iterable[LevelSheet]:
    by_wall: defaultdict[tuple[int, int], list[UnitRow]] = defaultdict(list)
    for unit in units:
        if unit.wall is not None:
            by_wall[unit.wall, unit.operation].append(unit)
    drawn = _newest_versions(job)
    walls: defaultdict[str, list[WallLine]] = defaultdict(list)
    for pk, mark, level in Wall.objects.filter(job=job).order_by("mark").values_list("pk", "mark", "level__name"):
        version = drawn.get(pk)
        cells = tuple(progress_of(by_wall[pk, op]) if (pk, op) in by_wall else None for op, _ in operations)
        geometry = version.geometry if version else {}
        line = WallLine(
            pk,
            mark,
            version.type_name if version else "",
            geometry.get("line_length", ""),
            geometry.get("height", ""),
            cells,
        )
        walls[level].append(line)
    for name in job.levels.order_by("position").values_list("name", flat=True):
        here = [unit for unit in units if unit.level == name]
        level_work = _by_operation(unit for unit in here if unit.wall is None)
        yield LevelSheet(name, _by_operation(here), tuple(walls[name]), level_work)


def _newest_versions(job: Job) -> dict[int, WallVersion]:
    """The newest version of each wall, without its pieces."""
    versions = (
        WallVersion.objects.filter(wall__job=job).order_by("revision__number").only("wall_id", "type_name", "geometry")
    )
    return {version.wall_id: version for version in versions}
