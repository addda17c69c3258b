"""What importing a plan would change, wall by wall and work unit by work unit, told before it is done."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from decimal import Decimal
from typing import Any

from jobs import geometry
from jobs.actors import Actor
from jobs.audit import canonical
from jobs.geometry import CountedPlan
from jobs.measures import Measured
from jobs.models import Job, Operation, WorkUnit
from jobs.plan_matching import Pair, differences, openings_renamed
from jobs.refusals import Mistake, NotAllowed, not_found
from jobs.requests import plain
from jobs.selectors.planned_units import Key, Matched, PlannedWall, measured_units, plan_matched, unit_key, wanted_units

MAY_COMPARE = frozenset({"owner", "office", "system"})
ADDED, REMOVED, CHANGED, RENAMED, SAME = "added", "removed", "changed", "renamed", "same"


@dataclass(frozen=True, slots=True)
class UnitDifference:
    """A work unit before and after, in its operation's unit. `id` is None for one that is new."""

    id: int | None
    operation: str
    unit: str
    part: str
    before: Decimal
    after: Decimal
    done: Decimal

    @property
    def past(self) -> Decimal:
        """What is done beyond the new measure. It stays done and paid; nothing is left to claim."""
        return max(self.done - self.after, Decimal(0))

    @property
    def sentence(self) -> str:
        """'stand studs: 9 -> 7 each, 8 done, 1 past the new measure'."""
        part = f" ({self.part})" if self.part else ""
        said = f"{self.operation}{part}: {plain(self.before)} -> {plain(self.after)} {self.unit}"
        if self.done:
            said += f", {plain(self.done)} done"
        return f"{said}, {plain(self.past)} past the new measure" if self.past else said


@dataclass(frozen=True, slots=True)
class WallDifference:
    """One wall: what happens to it, its mark before where that was another, what is drawn otherwise, its work units."""

    kind: str
    level: str
    mark: str
    former_mark: str
    changes: tuple[str, ...]
    units: tuple[UnitDifference, ...]


@dataclass(frozen=True, slots=True)
class PlanDifference:
    """A plan against the newest revision of a job; `seen` is that revision's number, 0 before the first.

    `walls` leaves out those that stay the same. `levels` are work units of whole levels, by level name. `stands` is
    whether the newest revision is this very file. `cautions` are the plan's own, as sentences.
    """

    job: int
    seen: int
    source_sha256: str
    walls: tuple[WallDifference, ...]
    levels: tuple[tuple[str, UnitDifference], ...]
    same: int
    stands: bool
    cautions: tuple[str, ...]

    @property
    def changes_nothing(self) -> bool:
        return self.stands and not self.walls and not self.levels

    @property
    def digest(self) -> str:
        """SHA-256 of all that is told here: another digest, another difference."""
        told = asdict(self)
        return hashlib.sha256(canonical(_plain(told)).encode()).hexdigest()

    def past(self) -> list[tuple[str, UnitDifference]]:
        """Work units that would measure less than is done, each with the name of its place."""
        places = [(f"{wall.level}, wall {wall.mark}", unit) for wall in self.walls for unit in wall.units]
        return [(place, unit) for place, unit in [*places, *self.levels] if unit.past > 0]


def plan_difference(*, actor: Actor, job: int, source: bytes, source_name: str) -> PlanDifference:
    """Compare a plan with what stands. Changes nothing; needs the organisation in scope.

    Raises Invalid with every mistake of the plan, NotFound, NotAllowed.
    """
    if actor.role not in MAY_COMPARE:
        raise NotAllowed(Mistake("", f"the role {actor.role} does not import plans. Ask the office."))
    counted = geometry.count_plan(source, source_name)
    if not Job.objects.filter(pk=job).exists():
        raise not_found("job", "job", job)
    return difference_of(job, counted, plan_matched(job, counted))


def difference_of(job: int, counted: CountedPlan, matched: Matched) -> PlanDifference:
    """The difference of a plan that was counted and matched. Needs the organisation in scope."""
    units = _units(job, matched)
    walls = [_wall(pair, wall, units) for pair, wall in _pairs(matched)]
    named = {level: str(found["name"]) for level, found in matched.levels.items()}
    levels = [(named[place], one) for (place, wall), found in units.items() if wall is None for one in found]
    told = [wall for wall in walls if wall.kind != SAME]
    return PlanDifference(
        job=job,
        seen=matched.newest.number if matched.newest else 0,
        source_sha256=counted.source_sha256,
        walls=tuple(told),
        levels=tuple((name, one) for name, one in levels if one.before != one.after),
        same=len(walls) - len(told),
        stands=matched.newest is not None and matched.newest.source_sha256 == counted.source_sha256,
        cautions=tuple(str(caution.get("sentence", "")) for caution in counted.cautions),
    )


def _plain(told: Any) -> Any:
    """Decimals in one form: a measure is the same whether the database or the take-off says it."""
    if isinstance(told, dict):
        return {key: _plain(value) for key, value in told.items()}
    if isinstance(told, list | tuple):
        return [_plain(value) for value in told]
    return plain(told) if isinstance(told, Decimal) else told


def _pairs(matched: Matched) -> Iterator[tuple[Pair, int]]:
    planned: Iterator[PlannedWall] = iter(matched.planned)
    for pair in matched.pairs:
        yield pair, next(planned).id if pair.after else (pair.before.id if pair.before else 0)


def _wall(pair: Pair, wall: int, units: Mapping[Any, list[UnitDifference]]) -> WallDifference:
    found = [one for (_, of), ones in units.items() if of == wall for one in ones if one.before != one.after]
    changes = differences(pair)
    if pair.before is None:
        kind = ADDED
    elif pair.after is None:
        kind = REMOVED
    elif pair.renamed:
        kind = RENAMED
    else:
        kind = CHANGED if changes or found else SAME
    stands = pair.after or pair.before
    return WallDifference(
        kind=kind,
        level=stands.level if stands else "",
        mark=stands.mark if stands else "",
        former_mark=pair.before.mark if pair.before and pair.renamed else "",
        changes=tuple(changes),
        units=tuple(found),
    )


def _units(job: int, matched: Matched) -> dict[tuple[int, int | None], list[UnitDifference]]:
    """(level, wall) -> its work units before and after, of those that the import would measure."""
    wanted: dict[Key, Measured] = dict(wanted_units(matched.planned, matched.levels))
    operations = Operation.objects.in_bulk()
    standing = WorkUnit.objects.filter(job=job).order_by("operation__position", "pk")
    renamed = {pair.before.id: openings_renamed(pair) for pair in matched.pairs if pair.before}
    found: dict[tuple[int, int | None], list[UnitDifference]] = {}
    for unit in measured_units(standing, matched.planned, matched.levels):
        key = unit_key(unit)
        if unit.wall_id in renamed and unit.opening:
            key = (*key[:5], renamed[unit.wall_id].get(unit.opening, unit.opening))
        after = wanted.pop(key, None)
        one = _difference(key, operations[unit.operation_id], after, unit)
        found.setdefault((key[0], key[1]), []).append(one)
    for key, measured in wanted.items():
        found.setdefault((key[0], key[1]), []).append(_difference(key, operations[key[2]], measured, None))
    return found


def _difference(key: Key, operation: Operation, after: Measured | None, unit: WorkUnit | None) -> UnitDifference:
    face, layer, opening = key[3:]
    part = (f"opening {opening}" if opening else "", f"{face} face" if face else "", f"layer {layer}" if layer else "")
    return UnitDifference(
        id=unit.pk if unit else None,
        operation=operation.name,
        unit=operation.unit,
        part=", ".join(word for word in part if word),
        before=unit.measured if unit else Decimal(0),
        after=after.quantity if after else Decimal(0),
        done=unit.done if unit else Decimal(0),
    )
