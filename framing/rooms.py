"""Rooms of a level: the spaces that walls close, with their clear floor area and the faces that look into them.

A room's outline runs along the surface of its board, so its area is the floor that is left to stand on. Where walls
butt existing work, that is taken to run square to them: straight from one wall's end to the next, or round one corner
of the shell where the two are square to each other. What neither closes is outside of every room, and is told so.
Walls that stand free inside of a room are taken off its floor, and their faces look into it. Corners of outlines are
whole ticks, so areas are exact to far less than is printed.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import pairwise

from framing.faces import Stretch, Walk, walks_of
from framing.joints import Junctions
from framing.length import TICKS_PER_FOOT, Length
from framing.lines import Axis, Point, Turn
from framing.meetings import axes_of
from framing.plan import LEFT, RIGHT, Wall

OUTSIDE = 0
_BANDS = 24  # heights looked at for a place to write in
BY_WALLS, BY_STRUCTURE, BY_SHELL = "walls", "existing work", "a corner of existing work"


@dataclass(slots=True)
class Room:
    """One closed space. `area`: clear floor, square ticks. `outline`: corners, counter-clockwise, ticks; `islands`: the
    same of walls that stand free in it, clockwise.

    `closed_by`: walls; or existing work, straight or round one corner, that some of them butt.
    """

    number: int
    closed_by: str
    outline: tuple[Point, ...]
    area: Fraction
    stretches: list[Stretch]
    islands: list[tuple[Point, ...]] = field(default_factory=list)

    def middle(self) -> Point:
        """A place on the floor with room around it: of some heights the middle of the widest clear stretch."""
        edges = [
            (one, two)
            for outline in (self.outline, *self.islands)
            for one, two in zip(outline, (*outline[1:], *outline[:1]), strict=True)
        ]
        heights = sorted({point.y for edge in edges for point in edge})
        bands = sorted(((low - high, low, high) for low, high in pairwise(heights)))[:_BANDS]
        best: tuple[int, Point] | None = None
        for _, low, high in bands:
            y = (low + high) // 2
            crossed = sorted(
                one.x + (two.x - one.x) * (y - one.y) // (two.y - one.y)
                for one, two in edges
                if (one.y > y) != (two.y > y)
            )
            for left, right in zip(crossed[::2], crossed[1::2], strict=True):
                roomy = min(right - left, high - low)
                if best is None or roomy > best[0]:
                    best = (roomy, Point((left + right) // 2, y))
        return best[1] if best else self.outline[0]


@dataclass(slots=True)
class Rooms:
    """Rooms by number, from 1; and for every face of every wall which room it looks into, stretch by stretch."""

    rooms: list[Room] = field(default_factory=list)
    _sides: dict[tuple[int, str], list[tuple[Length, Length, int]]] = field(default_factory=lambda: defaultdict(list))

    def at(self, wall: int, face: str, along: Length) -> int:
        """The room that a face looks into at a place along the wall's drawn line; OUTSIDE where it is in none."""
        sides = self._sides.get((wall, face))
        if not sides:
            return OUTSIDE
        return sides[0][2] if len(sides) == 1 else sides[max(bisect_right(sides, (along,)) - 1, 0)][2]

    def parted(self, wall: int) -> Iterator[tuple[int, int]]:
        """Pairs of rooms that lie on the two sides of a wall, opposite each other."""
        right = self._sides.get((wall, RIGHT), ())
        for low, high, one in self._sides.get((wall, LEFT), ()):
            for start, end, two in right:
                if start < high and low < end and one != two and OUTSIDE not in (one, two):
                    yield one, two

    def room(self, number: int) -> Room:
        """The room of a number from 1."""
        return self.rooms[number - 1]

    def keep(self, stretches: Iterable[Stretch], number: int) -> None:
        """Say that stretches look into a room."""
        for one in stretches:
            self._sides[one.wall, one.face].append((one.low, one.high, number))

    def settle(self) -> None:
        """Put the stretches in order, those that follow one another in one room as one."""
        for key, sides in self._sides.items():
            sides.sort()
            merged = sides[:1]
            for low, high, number in sides[1:]:
                if merged[-1][2] == number:
                    merged[-1] = (merged[-1][0], high, number)
                else:
                    merged.append((low, high, number))
            self._sides[key] = merged


def turns(rooms: Rooms, walls: int) -> list[int]:
    """Which room's turn comes when: `turns[number]`, from 0; OUTSIDE comes last.

    Rooms come in their own order, but before each those beside it that are less than half its size: closets before
    the room around them, rooms before their corridor. `walls`: how many there are.
    """
    smaller: dict[int, set[int]] = defaultdict(set)
    for wall in range(walls):
        for one, two in rooms.parted(wall):
            if 2 * rooms.room(one).area < rooms.room(two).area:
                smaller[two].add(one)
            elif 2 * rooms.room(two).area < rooms.room(one).area:
                smaller[one].add(two)
    found: dict[int, int] = {}

    def visit(number: int) -> None:  # each step in is to less than half the size, so it never goes deep
        if number not in found:
            for other in sorted(smaller[number]):
                visit(other)
            found[number] = len(found)

    for room in rooms.rooms:
        visit(room.number)
    return [len(found), *(found[room.number] for room in rooms.rooms)]


@dataclass(frozen=True, slots=True)
class _Space:
    walk: Walk
    outline: tuple[Point, ...]
    double: int  # twice the area, negative where the walk goes round the outside of its walls
    closed_by: str


def rooms_of(walls: Sequence[Wall], joined: Junctions) -> Rooms:
    """The rooms of a level, numbered in the order of its walls."""
    axes = axes_of(walls)
    spaces = [_space(walk, walls, axes) for walk in walks_of(walls, joined)]
    inside = [space for space in spaces if space.double > 0]
    found = Rooms()
    for number, space in enumerate(inside, 1):
        area = Fraction(space.double, 2)
        found.rooms.append(Room(number, space.closed_by, space.outline, area, list(space.walk.stretches)))
        found.keep(space.walk.stretches, number)
    around = [space for space in spaces if space.double <= 0]
    holders = _Holders(inside) if len({space.walk.group for space in spaces}) > 1 else None
    for space in around:
        number = holders.holding(space) if holders else OUTSIDE
        found.keep(space.walk.stretches, number)
        if number != OUTSIDE:
            room = found.room(number)
            room.stretches += space.walk.stretches
            room.islands.append(space.outline)
            room.area += Fraction(space.double, 2)
    found.settle()
    return found


def _space(walk: Walk, walls: Sequence[Wall], axes: Sequence[Axis]) -> _Space:
    corners: list[Point] = []
    pairs = list(zip(walk.stretches, (*walk.stretches[1:], walk.stretches[0]), strict=True))
    closed_by = BY_WALLS
    if not walk.is_closed:
        first, last = walk.stretches[0], walk.stretches[-1]
        corners.append(_end_of(walls, axes, first, is_head=False))
        pairs.pop()
        closed_by = BY_STRUCTURE
    for one, two in pairs:
        corners += _corner(walls, axes, one, two)
    if not walk.is_closed:
        corners.append(_end_of(walls, axes, last, is_head=True))
        shell = _shell_corner(axes[last.wall], axes[first.wall], corners[-1], corners[0])
        if shell is not None:
            corners.append(shell)
            closed_by = BY_SHELL
    outline = tuple(corners)
    return _Space(walk, outline, twice_area(outline), closed_by)


def _beside(walls: Sequence[Wall], one: Stretch) -> Length:
    """How far the surface of the stretch's board lies to the left of the wall's centre line."""
    kind = walls[one.wall].type
    reach = kind.stud.web // 2 + sum(board.thickness for board in kind.layers(one.face))
    return reach if one.onward else -reach


def _end_of(walls: Sequence[Wall], axes: Sequence[Axis], one: Stretch, *, is_head: bool) -> Point:
    along = one.high if one.onward == is_head else one.low
    return axes[one.wall].point(along, _beside(walls, one))


def _corner(walls: Sequence[Wall], axes: Sequence[Axis], one: Stretch, two: Stretch) -> Iterator[Point]:
    """Where two stretches walked one after the other meet: the crossing of their surfaces, or both ends of a step."""
    axis, other = axes[one.wall], axes[two.wall]
    here, there = _end_of(walls, axes, one, is_head=True), _end_of(walls, axes, two, is_head=False)
    if one.wall == two.wall or _is_straight(axis.turn(other)):
        yield here
        if there != here:
            yield there
        return
    yield crossing(here, axis.vector, there, other.vector)


def _is_straight(turn: Turn) -> bool:
    return bool(turn.dot) and turn.is_straight


def crossing(one: Point, way: tuple[int, int], two: Point, other: tuple[int, int]) -> Point:
    """Where the lines through two points cross, to the tick below. They must not be parallel."""
    cross = way[0] * other[1] - way[1] * other[0]
    step = (two.x - one.x) * other[1] - (two.y - one.y) * other[0]
    return Point(one.x + way[0] * step // cross, one.y + way[1] * step // cross)


def _shell_corner(last: Axis, first: Axis, leaving: Point, coming: Point) -> Point | None:
    """The corner of existing work between two walls that butt it square to each other; None where it runs straight."""
    if last.dot(first):
        return None
    across = (-last.vector[1], last.vector[0])
    return crossing(leaving, across, coming, (-first.vector[1], first.vector[0]))


def twice_area(outline: Sequence[Point]) -> int:
    """Twice the area of a polygon, square ticks: positive where it runs counter-clockwise."""
    return sum(one.x * two.y - two.x * one.y for one, two in zip(outline, (*outline[1:], *outline[:1]), strict=True))


class _Holders:
    """Finds the smallest room around a point. Rooms lie in the cells of a square grid that they reach into."""

    def __init__(self, spaces: Sequence[_Space]) -> None:
        self._spaces = spaces
        self._boxes = [_box(space.outline) for space in spaces]
        sides = sorted(max(right - left, top - low) for left, low, right, top in self._boxes)
        self._cell = max(sides[len(sides) // 2], TICKS_PER_FOOT) if sides else TICKS_PER_FOOT
        self._cells: dict[tuple[int, int], list[int]] = defaultdict(list)
        self._large: list[int] = []
        for number, (left, low, right, top) in enumerate(self._boxes):
            columns, rows = (range(a // self._cell, b // self._cell + 1) for a, b in ((left, right), (low, top)))
            if len(columns) * len(rows) > 64:
                self._large.append(number)
                continue
            for column in columns:
                for row in rows:
                    self._cells[column, row].append(number)

    def holding(self, space: _Space) -> int:
        """Number of the room in which a walk around the outside of some walls lies; OUTSIDE where in none."""
        point = space.outline[1]  # the first of an open walk lies on existing work, as the room's own outline may
        near = self._cells.get((point.x // self._cell, point.y // self._cell), ())
        best: tuple[int, int] | None = None
        for number in (*near, *self._large):
            other = self._spaces[number]
            left, low, right, top = self._boxes[number]
            if other.walk.group == space.walk.group or not (left <= point.x <= right and low <= point.y <= top):
                continue
            if is_inside(point, other.outline) and (best is None or other.double < best[0]):
                best = (other.double, number + 1)
        return best[1] if best else OUTSIDE


def _box(outline: Sequence[Point]) -> tuple[Length, Length, Length, Length]:
    xs, ys = [point.x for point in outline], [point.y for point in outline]
    return min(xs), min(ys), max(xs), max(ys)


def is_inside(point: Point, outline: Sequence[Point]) -> bool:
    """Whether a point lies in a polygon: a ray due east crosses its outline an odd number of times."""
    found = False
    for one, two in zip(outline, (*outline[1:], *outline[:1]), strict=True):
        if (one.y > point.y) != (two.y > point.y):
            # east of the point where (x - one.x) (two.y - one.y) > ..., compared without dividing
            side = (two.x - one.x) * (point.y - one.y) - (point.x - one.x) * (two.y - one.y)
            found ^= (side > 0) == (two.y > one.y)
    return found
