"""Which walls come near one another: right-angled meetings, walls in line, near misses. Pure search, no trade rules.

An end belongs to a meeting where it lies within the other wall's half web, or within the snap distance if that is
more, of the other's centre line.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple, Protocol

from framing.length import Length, inch
from framing.plan import AUTO, LEFT, RIGHT, Point, Wall

_NEAR_MISS_WITHIN = inch(6)
_CELL = inch(24)


@dataclass(frozen=True, slots=True)
class Axis:
    """A wall's centre line: `start` is the centre of the steel at the drawn start, `step` the unit direction."""

    start: Point
    step: tuple[int, int]
    length: Length
    half: Length

    def along(self, point: Point) -> Length:
        """Where a point lies along the wall, ticks from its drawn start."""
        return (point.x - self.start.x) * self.step[0] + (point.y - self.start.y) * self.step[1]

    def beside(self, point: Point) -> Length:
        """How far a point lies to the left of the centre line; negative is right."""
        return (point.y - self.start.y) * self.step[0] - (point.x - self.start.x) * self.step[1]

    def point(self, along: Length) -> Point:
        return Point(self.start.x + self.step[0] * along, self.start.y + self.step[1] * along)

    def cross(self, other: tuple[int, int]) -> int:
        """Positive where `other` turns to the left of this wall."""
        return self.step[0] * other[1] - self.step[1] * other[0]


class Meeting(NamedTuple):
    """Two walls at right angles. An end is 0, 1 or None where the wall runs on past the crossing.

    `gap`: the largest distance of a drawn end from the other's drawn line, 0 where the drawing is exact.
    """

    first: int
    first_end: int | None
    first_at: Length
    second: int
    second_end: int | None
    second_at: Length
    gap: Length


class _Role(Protocol):
    @property
    def role(self) -> str: ...


def axes_of(walls: Sequence[Wall]) -> list[Axis]:
    """Centre lines of all walls, shifted by half a web where the drawn line is a face of the steel."""
    axes = []
    for wall in walls:
        step = wall.direction
        half = wall.type.stud.web // 2
        shift = {LEFT: -half, RIGHT: half}.get(wall.line, 0)  # to the left of the walk
        start = Point(wall.start.x - step[1] * shift, wall.start.y + step[0] * shift)
        axes.append(Axis(start, step, wall.length, half))
    return axes


def meetings(walls: Sequence[Wall], axes: Sequence[Axis], snap: Length) -> list[Meeting]:
    """All right-angled meetings, the best drawn first, then in the order of the plan."""
    reach = max([snap, *(axis.half for axis in axes)], default=snap)
    upright = sorted((axis.start.x, index) for index, axis in enumerate(axes) if axis.step[0] == 0)
    xs = [x for x, _ in upright]
    found = []
    for index, axis in enumerate(axes):
        if axis.step[0] == 0:
            continue
        low, high = sorted((axis.start.x, axis.start.x + axis.step[0] * axis.length))
        for place in range(bisect_left(xs, low - reach), len(upright)):
            x, other = upright[place]
            if x > high + reach:
                break
            meeting = _meeting(walls, axes, min(index, other), max(index, other), snap)
            if meeting is not None:
                found.append(meeting)
    found.sort(key=lambda m: (m.gap, m.first, m.second))
    return found


def _meeting(walls: Sequence[Wall], axes: Sequence[Axis], first: int, second: int, snap: Length) -> Meeting | None:
    one, two = axes[first], axes[second]
    one_at, two_at = one.along(two.start), two.along(one.start)
    one_end = _end_near(one, one_at, max(two.half, snap))
    two_end = _end_near(two, two_at, max(one.half, snap))
    if one_end is False or two_end is False:
        return None
    gap = 0
    for wall, other, end in ((walls[first], walls[second], one_end), (walls[second], walls[first], two_end)):
        if end is None:
            continue
        if wall.ends[end] != AUTO:
            return None
        drawn = wall.start if end == 0 else wall.end
        gap = max(gap, abs(drawn.x - other.start.x if other.direction[0] == 0 else drawn.y - other.start.y))
    return Meeting(first, one_end, one_at, second, two_end, two_at, gap)


def _end_near(axis: Axis, at: Length, reach: Length) -> int | bool | None:
    """0 or 1 for the end that is near, None where the wall passes, False where it does not come here."""
    to_start, to_end = abs(at), abs(at - axis.length)
    if min(to_start, to_end) <= reach:
        return 0 if to_start <= to_end else 1
    return None if 0 < at < axis.length else False


def in_line_pairs(
    walls: Sequence[Wall], axes: Sequence[Axis], snap: Length
) -> list[tuple[tuple[int, int], tuple[int, int], Length]]:
    """Ends that meet end to end on one line: ((wall, end), (wall, end), gap), best drawn first.

    Walls of different webs count as in line where a face or the centres agree.
    """
    cells: dict[tuple[int, int], list[tuple[int, int]]] = {}
    for index, axis in enumerate(axes):
        for end in (0, 1):
            if walls[index].ends[end] == AUTO:
                point = axis.point(0 if end == 0 else axis.length)
                cells.setdefault((point.x // _CELL, point.y // _CELL), []).append((index, end))
    found = []
    for (cell_x, cell_y), members in cells.items():
        around = [
            other for dx in (-1, 0, 1) for dy in (-1, 0, 1) for other in cells.get((cell_x + dx, cell_y + dy), ())
        ]
        for index, end in members:
            for other, other_end in around:
                if index < other and (axes[index].step[0] == 0) == (axes[other].step[0] == 0):
                    gap = _in_line_gap(axes, (index, end), (other, other_end), snap)
                    if gap is not None:
                        found.append(((index, end), (other, other_end), gap))
    found.sort(key=lambda pair: (pair[2], pair[0], pair[1]))
    return found


def _in_line_gap(axes: Sequence[Axis], one: tuple[int, int], two: tuple[int, int], snap: Length) -> Length | None:
    axis, other = axes[one[0]], axes[two[0]]
    end_point = other.point(0 if two[1] == 0 else other.length)
    far_point = other.point(other.length if two[1] == 0 else 0)
    own_end = 0 if one[1] == 0 else axis.length
    gap = abs(axis.along(end_point) - own_end)
    runs_away = (axis.along(far_point) - own_end) * (1 if one[1] else -1) > 0
    aside = abs(axis.beside(end_point))
    if gap <= snap and runs_away and aside <= abs(axis.half - other.half):
        return gap
    return None


def near_misses(
    walls: Sequence[Wall], axes: Sequence[Axis], ends: Sequence[Sequence[_Role]]
) -> Iterator[tuple[int, int, int, Length]]:
    """Free ends, not set free by the plan, that stop a little short of another wall: (wall, end, other, clear)."""
    loose = [
        (axes[index].point(0 if end == 0 else axes[index].length), index, end)
        for index, wall in enumerate(walls)
        for end in (0, 1)
        if wall.ends[end] == AUTO and ends[index][end].role == "free end"
    ]
    if not loose:
        return
    by_x = sorted((min(axis.start.x, axis.point(axis.length).x), index) for index, axis in enumerate(axes))
    widest = max((abs(axis.length * axis.step[0]) for axis in axes), default=0)
    halves = max(axis.half for axis in axes)
    lows = [low for low, _ in by_x]
    for point, index, end in loose:
        best: tuple[Length, int] | None = None
        for at in range(bisect_left(lows, point.x - widest - halves - _NEAR_MISS_WITHIN), len(by_x)):
            low, other = by_x[at]
            if low > point.x + halves + _NEAR_MISS_WITHIN:
                break
            if other == index:
                continue
            axis = axes[other]
            along = axis.along(point)
            past = max(0, -along, along - axis.length)
            clear = max(past, abs(axis.beside(point)) - axis.half, 0)
            if clear <= _NEAR_MISS_WITHIN and (best is None or clear < best[0]):
                best = (clear, other)
        if best is not None:
            yield index, end, best[1], best[0]
