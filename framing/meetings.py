"""Which walls come near one another: crossings at any angle, walls in line, near misses. Search alone, no trade rules.

An end belongs to a meeting where it lies within the other wall's steel, or within the snap distance if that is more, of
the other's centre line.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from framing.length import Length, inch
from framing.lines import SQUARE, Axis, Point, Turn, step_of
from framing.nearby import Nearby
from framing.plan import AUTO, LEFT, RIGHT, Wall

_NEAR_MISS_WITHIN = inch(6)
_NOISE = inch(0, 1, 64)  # walls in line may lie this far off each other before they count as two lines


class Meeting(NamedTuple):
    """Two walls that cross or touch. An end is 0, 1 or None where the wall runs on past the crossing.

    `gap`: the largest distance of a drawn end from where the drawn lines cross, 0 where the drawing is exact.
    `turn`: the angle between the two as both are walked from start to end.
    """

    gap: Length
    first: int
    second: int
    first_end: int | None
    first_at: Length
    second_end: int | None
    second_at: Length
    turn: Turn


class InLine(NamedTuple):
    """Ends that meet end to end on one line: (wall, end) of both, and the gap between them."""

    one: tuple[int, int]
    two: tuple[int, int]
    gap: Length


def axes_of(walls: Sequence[Wall]) -> list[Axis]:
    """Centre lines of all walls, aside by half a web where the drawn line is a face of the steel."""
    axes = []
    for wall in walls:
        half = wall.type.stud.web // 2
        vector = (wall.end.x - wall.start.x, wall.end.y - wall.start.y)
        aside = {LEFT: -half, RIGHT: half}.get(wall.line, 0)
        axes.append(Axis(wall.start, vector, wall.length, half, aside, step_of(vector)))
    return axes


def meetings(walls: Sequence[Wall], near: Nearby, snap: Length) -> tuple[list[Meeting], list[InLine]]:
    """All crossings and all pairs of ends in line, the best drawn first, then in the order of the plan."""
    axes = near.axes
    crossings: list[Meeting] = []
    in_line: list[InLine] = []
    for first, second in near.pairs:
        turn = axes[first].turn(axes[second])
        if turn.dot and turn.is_straight:
            in_line += _in_line(walls, axes, first, second, snap)
        else:
            meeting = _meeting(walls, axes, first, second, snap, turn)
            if meeting is not None:
                crossings.append(meeting)
    crossings.sort()  # by gap, then by the two walls, which are a pair of their own
    in_line.sort(key=lambda pair: (pair.gap, pair.one, pair.two))
    return crossings, in_line


def _meeting(
    walls: Sequence[Wall], axes: Sequence[Axis], first: int, second: int, snap: Length, turn: Turn
) -> Meeting | None:
    one, two = axes[first], axes[second]
    is_square = turn is SQUARE
    one_at = one.crossing(two)
    one_end = _end_near(one, one_at, max(two.half if is_square else turn.over_sin(two.half), snap))
    if one_end is False or (one_end is not None and walls[first].ends[one_end] != AUTO):
        return None
    two_at = two.crossing(one)
    two_end = _end_near(two, two_at, max(one.half if is_square else turn.over_sin(one.half), snap))
    if two_end is False or (two_end is not None and walls[second].ends[two_end] != AUTO):
        return None
    gap = 0
    if one_end is not None:
        gap = abs(one.drawn_crossing(two) - (one.length if one_end else 0))
    if two_end is not None:
        gap = max(gap, abs(two.drawn_crossing(one) - (two.length if two_end else 0)))
    return Meeting(gap, first, second, one_end, one_at, two_end, two_at, turn)


def _end_near(axis: Axis, at: Length, reach: Length) -> int | bool | None:
    """0 or 1 for the end that is near, None where the wall passes, False where it does not come here."""
    length = axis.length
    if reach < at < length - reach:
        return None
    to_start, to_end = abs(at), abs(at - length)
    if min(to_start, to_end) <= reach:
        return 0 if to_start <= to_end else 1
    return False


def _in_line(walls: Sequence[Wall], axes: Sequence[Axis], first: int, second: int, snap: Length) -> Iterator[InLine]:
    """Walls of different webs count as in line where a face or the centres agree."""
    axis, other = axes[first], axes[second]
    if abs(axis.beside(other.point(other.length // 2))) > axis.half + other.half + snap + other.length // 500:
        return  # side by side
    for end in (0, 1):
        for other_end in (0, 1):
            if walls[first].ends[end] != AUTO or walls[second].ends[other_end] != AUTO:
                continue
            end_point = other.point(0 if other_end == 0 else other.length)
            far_point = other.point(other.length if other_end == 0 else 0)
            own_end = 0 if end == 0 else axis.length
            gap = abs(axis.along(end_point) - own_end)
            runs_away = (axis.along(far_point) - own_end) * (1 if end else -1) > 0
            if gap <= snap and runs_away and abs(axis.beside(end_point)) <= abs(axis.half - other.half) + _NOISE:
                yield InLine((first, end), (second, other_end), gap)


def overlaps(near: Nearby) -> Iterator[tuple[int, int, Length, Length]]:
    """Parallel walls that lie beside or on one another: (wall, other, length shared, distance of their centres)."""
    for first, second in near.pairs:
        axis, other = near.axes[first], near.axes[second]
        turn = axis.turn(other)
        if not (turn.dot and turn.is_straight):
            continue
        low, high = sorted(axis.along(other.point(at)) for at in (0, other.length))
        shared = min(axis.length, high) - max(0, low)
        aside = abs(axis.beside(other.point(other.length // 2)))
        if shared > 0 and aside < axis.half + other.half:
            yield first, second, shared, aside


def near_misses(near: Nearby, alone: Sequence[tuple[int, int]]) -> Iterator[tuple[int, int, int, Length]]:
    """Those of the ends `alone`, (wall, end), that stop a little short of another wall: (wall, end, other, clear)."""
    for index, end in alone:
        axis = near.axes[index]
        point = axis.point(axis.length if end else 0)
        found = [
            (_clear(near.axes[other], point), other)
            for other in near.around(point, 2 * _NEAR_MISS_WITHIN)
            if other != index and not _is_alongside(axis, near.axes[other])
        ]
        if found and min(found)[0] <= _NEAR_MISS_WITHIN:
            clear, other = min(found)
            yield index, end, other, clear


def _is_alongside(axis: Axis, other: Axis) -> bool:
    """Parallel walls beside each other are not about to meet."""
    turn = axis.turn(other)
    if not (turn.dot and turn.is_straight):
        return False
    low, high = sorted(other.along(axis.point(at)) for at in (0, axis.length))
    return min(high, other.length) > max(0, low)


def _clear(axis: Axis, point: Point) -> Length:
    """Clear distance of a point from a wall's steel, the larger of along and beside."""
    along = axis.along(point)
    return max(-along, along - axis.length, abs(axis.beside(point)) - axis.half, 0)
