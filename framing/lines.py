"""Lines of a plan at any angle: lengths along them, where they cross, how they turn. Exact where that is possible.

Along x and y, and wherever a root comes out whole, lengths are exact. A length that is irrational (a wall at a slant,
a lap at an oblique corner) is rounded once, half up, to 1/1024 in: finer than anyone cuts, and coarse enough that the
same room drawn at an angle, its coordinates rounded to 0.0001 in, comes out the same.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isqrt
from typing import NamedTuple

from framing.length import TICKS_PER_INCH, Length

SLANT_GRID = TICKS_PER_INCH // 1024
_SCALE = 64  # bits: roots are taken this much finer than a tick


class Point(NamedTuple):
    """A point of the plan, ticks."""

    x: Length
    y: Length


def root_times(top: int, square: int, bottom: int) -> Length:
    """`top` x sqrt(`square`) / `bottom`: exact where that is a whole number of ticks, else on the slant grid."""
    if bottom < 0:
        top, bottom = -top, -bottom
    sign = -1 if top < 0 else 1
    inner = top * top * square
    root = isqrt(inner)
    if root * root == inner and root % bottom == 0:
        return sign * (root // bottom)
    fine = isqrt(inner << (2 * _SCALE))  # root x 2^64, rounded down
    step = (bottom * SLANT_GRID) << _SCALE
    return sign * ((2 * fine + step) // (2 * step)) * SLANT_GRID


def times(length: Length, top: int, bottom: int) -> Length:
    """`length` x `top` / `bottom`, exact where whole, else on the slant grid, half away from zero."""
    if bottom < 0:
        top, bottom = -top, -bottom
    whole, rest = divmod(length * top, bottom)
    if not rest:
        return whole
    sign = -1 if length * top < 0 else 1
    step = bottom * SLANT_GRID
    return sign * ((2 * abs(length * top) + step) // (2 * step)) * SLANT_GRID


@dataclass(frozen=True, slots=True)
class Turn:
    """The angle between two walls, walking away from where they meet: `dot` and `cross` of their directions.

    `cross` is positive; `square` is the product of the squared lengths of both vectors.
    """

    dot: int = 0
    cross: int = 1
    square: int = 1

    def over_sin(self, length: Length) -> Length:
        """How far a width reaches along the other wall: length / sin(angle)."""
        return length if not self.dot else root_times(length, self.square, self.cross)

    def cot(self, length: Length) -> Length:
        """length x cot(angle): positive at an acute corner, 0 at a square one, negative at an obtuse one."""
        return 0 if not self.dot else times(length, self.dot, self.cross)

    def turned(self) -> Turn:
        """The angle on the other side of the line: 180 degrees less this one."""
        return Turn(-self.dot, self.cross, self.square) if self.dot else self

    @property
    def is_within_reach(self) -> bool:
        """Between 30 and 150 degrees: sin >= 1/2."""
        return 4 * self.cross * self.cross >= self.square

    @property
    def is_straight(self) -> bool:
        """So nearly in one line (about a ninth of a degree) that the walls count as parallel."""
        return 250_000 * self.cross * self.cross <= self.square


SQUARE = Turn()


def step_of(vector: tuple[int, int]) -> tuple[int, int] | None:
    """One tick along a vector that runs along x or y; None for a slanted one."""
    dx, dy = vector
    return None if dx and dy else ((dx > 0) - (dx < 0), (dy > 0) - (dy < 0))


class Axis(NamedTuple):
    """A wall's centre line. `start` and `vector` are those of the drawn line; the centre lies `aside` to its left.

    `step` is `step_of(vector)`, worked out once: most walls run along x or y, and with it they need no roots.
    """

    start: Point
    vector: tuple[int, int]
    length: Length
    half: Length
    aside: Length
    step: tuple[int, int] | None

    @property
    def square(self) -> int:
        return self.vector[0] ** 2 + self.vector[1] ** 2

    def along(self, point: Point) -> Length:
        """Where a point lies along the wall, ticks from its drawn start."""
        dx, dy = point[0] - self.start[0], point[1] - self.start[1]
        if self.step:
            return dx * self.step[0] + dy * self.step[1]
        return root_times(dx * self.vector[0] + dy * self.vector[1], self.square, self.square)

    def beside(self, point: Point) -> Length:
        """How far a point lies to the left of the centre line; negative is right."""
        dx, dy = point[0] - self.start[0], point[1] - self.start[1]
        if self.step:
            return dy * self.step[0] - dx * self.step[1] - self.aside
        return root_times(dy * self.vector[0] - dx * self.vector[1], self.square, self.square) - self.aside

    def point(self, along: Length, beside: Length = 0) -> Point:
        """The point at a place along the wall, `beside` to the left of its centre line; whole ticks."""
        left = self.aside + beside
        if self.step:
            x, y = self.step
            return Point(self.start[0] + x * along - y * left, self.start[1] + y * along + x * left)
        dx, dy = self.vector
        size = isqrt(self.square << (2 * _SCALE))
        return Point(
            self.start.x + ((dx * along - dy * left) << _SCALE) // size,
            self.start.y + ((dy * along + dx * left) << _SCALE) // size,
        )

    def cross(self, other: Axis) -> int:
        """Positive where the other's direction turns to the left of this one."""
        if self.step and other.step:
            return self.step[0] * other.step[1] - self.step[1] * other.step[0]
        return self.vector[0] * other.vector[1] - self.vector[1] * other.vector[0]

    def dot(self, other: Axis) -> int:
        """Positive where both go the same way, 0 where they are square to each other."""
        return self.vector[0] * other.vector[0] + self.vector[1] * other.vector[1]

    def turn(self, other: Axis, *, is_same_way: bool = True) -> Turn:
        """The angle to another wall, as both are walked; turned where one of them is walked backwards."""
        if self.step and other.step:
            along = self.step[0] * other.step[0] + self.step[1] * other.step[1]
            return Turn(along if is_same_way else -along, 0, 1) if along else SQUARE
        dot = self.dot(other)
        if not dot:
            return SQUARE
        return Turn(dot if is_same_way else -dot, abs(self.cross(other)), self.square * other.square)

    def crossing(self, other: Axis) -> Length:
        """Where the other's centre line crosses this one, ticks from this drawn start. The two must not be parallel."""
        if self.step and other.step:  # square to each other
            (x, y), (other_x, other_y) = self.step, other.step
            dx, dy = other.start[0] - self.start[0], other.start[1] - self.start[1]
            return dx * x + dy * y - other.aside * (x * other_y - y * other_x)
        drawn = self.drawn_crossing(other)
        if not self.aside and not other.aside:
            return drawn
        # Moving the other line to its left, or this one to its own, moves where they cross.
        cross = self.cross(other)
        turn = Turn(self.dot(other), abs(cross), self.square * other.square) if self.dot(other) else SQUARE
        sign = 1 if cross > 0 else -1
        return drawn + sign * turn.cot(self.aside) - sign * turn.over_sin(other.aside)

    def drawn_crossing(self, other: Axis) -> Length:
        """The same for the lines as drawn, wherever the centres of their steel lie."""
        dx, dy = other.start[0] - self.start[0], other.start[1] - self.start[1]
        if self.step and other.step:
            return dx * self.step[0] + dy * self.step[1]
        cross = self.cross(other)
        top = dx * other.vector[1] - dy * other.vector[0]
        if self.step:
            return times(abs(self.vector[0]) + abs(self.vector[1]), top, cross)
        return root_times(top, self.square, cross)
