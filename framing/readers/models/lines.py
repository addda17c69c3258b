"""Lines of steel from a model's walls: turned to the building's main direction, straightened, joined at their ends.

A model's walls end at the other wall's centre, near face or far face, as its author drew them. Here each end runs to
the other wall's line of steel; ends at walls that are not ours are ends at existing structure.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from framing.length import TICKS_PER_MM
from framing.plan import AUTO, STRUCTURE, WallType
from framing.readers.models.values import ModelLayer, ModelWall, Vec

SNAP = 25.4  # mm: how far an end may lie off another wall's body and still meet it
STRAIGHTEN = math.radians(0.5)
_TURN_STEP = math.radians(0.01)
_CELL = 2000.0
_MOST_CELLS = 4000
_SHARPEST = 0.4  # sine of the smallest angle between two lines that are joined at their crossing
_PARALLEL = 0.02
_ASIDE = 0.5  # mm that a line may lie aside of the one that it goes on in
_Z_OVERLAP = 300.0


@dataclass(frozen=True, slots=True)
class Line:
    """One row of steel. `is_reversed`: walked against the wall's own direction. `low`, `high`: its ends' u, joined;
    `ends` as in a plan, in the order low, high.
    """

    key: str
    wall: ModelWall
    layer: ModelLayer
    type: WallType
    is_reversed: bool
    low: float
    high: float
    ends: tuple[str, str] = (AUTO, AUTO)

    def point(self, u: float) -> Vec:
        return self.wall.at(u, self.layer.middle)


def line_of(key: str, wall: ModelWall, layer: ModelLayer, kind: WallType) -> Line:
    """The row of steel in a layer. Where its faces differ it is walked so that the wall's first layer lies to the left,
    as in our types.
    """
    is_reversed = kind.left != kind.right and len(wall.layers) > 1 and wall.layers[0].middle < wall.layers[-1].middle
    return Line(key, wall, layer, kind, is_reversed, layer.start, layer.end)


def main_turn(walls: Iterable[ModelWall]) -> float:
    """The angle, within +-45 degrees, of the direction or its square in which most of the length of wall runs."""
    lengths: dict[int, float] = defaultdict(float)
    turns: dict[int, list[tuple[float, float]]] = defaultdict(list)
    for wall in walls:
        turn = math.atan2(wall.direction.y, wall.direction.x) % (math.pi / 2)
        step = round(turn / _TURN_STEP) % round(math.pi / 2 / _TURN_STEP)
        if step == 0 and turn > math.pi / 4:
            turn -= math.pi / 2
        lengths[step] += wall.length
        turns[step].append((wall.length, turn))
    if not lengths:
        return 0.0
    best = max(lengths, key=lambda step: (lengths[step], -step))
    # The longest wall's own direction, not a mean: it is the one least disturbed by rounding.
    turn = max(turns[best])[1]
    turn = turn - math.pi / 2 if turn > math.pi / 4 else turn
    return 0.0 if abs(turn) < 1e-9 else turn


def turned(wall: ModelWall, turn: float, shift: Vec) -> tuple[ModelWall, float]:
    """The wall with the whole plan moved by `shift` and turned back by `turn`, set straight along x or y if it nearly
    is, and by how many mm that moved its ends.
    """
    cos, sin = math.cos(turn), -math.sin(turn)
    d, x, y = wall.direction, wall.origin.x + shift.x, wall.origin.y + shift.y
    direction = Vec(d.x * cos - d.y * sin, d.x * sin + d.y * cos) if turn else d
    origin = Vec(x * cos - y * sin, x * sin + y * cos) if turn else Vec(x, y)
    off = min(abs(direction.x), abs(direction.y))
    bent = off * wall.length / 2
    if off > math.sin(STRAIGHTEN) or bent > SNAP:
        return replace(wall, origin=origin, direction=direction), 0.0
    straight = Vec(float(round(direction.x)), float(round(direction.y)))
    middle = (wall.start + wall.end) / 2
    across = (wall.left + wall.right) / 2
    moved = Vec(
        origin.x + (direction.x - straight.x) * middle - (direction.y - straight.y) * across,
        origin.y + (direction.y - straight.y) * middle + (direction.x - straight.x) * across,
    )
    return replace(wall, origin=moved, direction=straight), bent


def joined(lines: list[Line], others: list[ModelWall], floors: dict[str, float]) -> list[Line]:
    """The lines with each end run to the line that it meets. `others`: every wall of the model, taken or not."""
    by_wall: dict[str, list[Line]] = defaultdict(list)
    for line in lines:
        by_wall[line.wall.id].append(line)
    near = _Near(others)
    found = []
    for line in lines:
        low, low_end = _end(line, 0, by_wall, near, floors)
        high, high_end = _end(line, 1, by_wall, near, floors)
        if high - low <= 1.0:  # both ends ran past each other: leave them as drawn
            low, high = line.layer.start, line.layer.end
        found.append(replace(line, low=low, high=high, ends=(low_end, high_end)))
    return found


class _Near:
    """Walls by the cells of the plan that they lie in."""

    def __init__(self, walls: list[ModelWall]) -> None:
        self.walls = walls
        self.by_id = {wall.id: wall for wall in walls}
        self.cells: dict[tuple[int, int], list[int]] = defaultdict(list)
        self.everywhere: list[int] = []
        for index, wall in enumerate(walls):
            corners = [wall.at(u, v) for u in (wall.start, wall.end) for v in (wall.right, wall.left)]
            reach = SNAP + 2 * wall.thickness
            xs = range(*_cells(min(c.x for c in corners) - reach, max(c.x for c in corners) + reach))
            ys = range(*_cells(min(c.y for c in corners) - reach, max(c.y for c in corners) + reach))
            if len(xs) * len(ys) > _MOST_CELLS:
                self.everywhere.append(index)
                continue
            for x in xs:
                for y in ys:
                    self.cells[x, y].append(index)

    def at(self, point: Vec) -> Iterator[ModelWall]:
        cell = (math.floor(point.x / _CELL), math.floor(point.y / _CELL))
        for index in (*self.cells.get(cell, ()), *self.everywhere):
            yield self.walls[index]


def _cells(low: float, high: float) -> tuple[int, int]:
    return math.floor(low / _CELL), math.floor(high / _CELL) + 1


def _end(
    line: Line, end: int, by_wall: dict[str, list[Line]], near: _Near, floors: dict[str, float]
) -> tuple[float, str]:
    """Where one end (0 low, 1 high) of a line runs to, and whether it ends at structure."""
    own = line.layer.end if end else line.layer.start
    point = line.point(own)
    stated = [near.by_id[joint.other] for joint in line.wall.joints if joint.end == end and joint.other in near.by_id]
    drawn = [wall for wall in near.at(point) if _touches(line.wall, wall, point, floors)]
    for candidates in (stated, drawn):
        lines = [
            other
            for wall in candidates
            if wall.id != line.wall.id and wall.level == line.wall.level
            for other in by_wall.get(wall.id, ())
        ]
        places = [place for other in lines if (place := _crossing(line, own, other)) is not None]
        if places:
            return min(places, key=lambda place: abs(place - own)), AUTO
        beside = [place for other in lines if (place := _in_line(line, end, own, other)) is not None]
        if beside:
            return min(beside, key=lambda place: abs(place - own)), AUTO
    is_at_structure = any(wall.id != line.wall.id and wall.id not in by_wall for wall in (*stated, *drawn))
    return own, STRUCTURE if is_at_structure else AUTO


def _touches(wall: ModelWall, other: ModelWall, point: Vec, floors: dict[str, float]) -> bool:
    """Whether a point at the end of `wall` lies in or at the body of `other`, or beyond its end at a corner."""
    if other is wall or other.id == wall.id:
        return False
    low = max(floors[wall.level] + wall.base, floors[other.level] + other.base)
    high = min(floors[wall.level] + wall.base + wall.height, floors[other.level] + other.base + other.height)
    if high - low < min(_Z_OVERLAP, wall.height / 2):
        return False
    u, v = other.along(point), other.beside(point)
    past = wall.thickness + SNAP
    return other.start - past <= u <= other.end + past and other.right - SNAP <= v <= other.left + SNAP


def _crossing(line: Line, own: float, other: Line) -> float | None:
    """The u at which this line crosses the other's, if that is near its own end."""
    d, e = line.wall.direction, other.wall.direction
    sine = d.x * e.y - d.y * e.x
    if abs(sine) < _SHARPEST:
        return None
    start, target = line.point(0.0), other.point(0.0)
    u = ((target.x - start.x) * e.y - (target.y - start.y) * e.x) / sine
    reach = (line.wall.thickness + other.wall.thickness + SNAP) / abs(sine)
    return u if abs(u - own) <= reach else None


def _in_line(line: Line, end: int, own: float, other: Line) -> float | None:
    """The middle of the gap to a line that goes on from this end in the same direction."""
    d, e = line.wall.direction, other.wall.direction
    if abs(d.x * e.y - d.y * e.x) > _PARALLEL:
        return None
    ends = [line.wall.along(other.point(u)) for u in (other.layer.start, other.layer.end)]
    near, far = (min(ends), max(ends)) if end else (max(ends), min(ends))
    runs_on = far > own if end else far < own
    aside = abs(line.wall.beside(other.point(other.layer.start)) - line.layer.middle)
    allowed = abs(line.type.stud.web - other.type.stud.web) / 2 / TICKS_PER_MM + _ASIDE
    if not runs_on or abs(near - own) > 2 * SNAP or aside > allowed:
        return None
    return (own + near) / 2
