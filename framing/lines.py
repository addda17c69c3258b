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


@dataclass(frozen=True, slots=True)
class Axis:
    """A wall's centre line. `start` and `vector` are those of the drawn line; the centre lies `aside` to its left."""

    start: Point
    vector: tuple[int, int]
    length: Length
    half: Length
    aside: Length

    @property
    def square(self) -> int:
        return self.vector[0] ** 2 + self.vector[1] ** 2

    @property
    def is_upright(self) -> bool:
        return 0 in self.vector

    def along(self, point: Point) -> Length:
        """Where a point lies along the wall, ticks from its drawn start."""
        dx, dy = point.x - self.start.x, point.y - self.start.y
        return self._per_length(dx * self.vector[0] + dy * self.vector[1])

    def beside(self, point: Point) -> Length:
        """How far a point lies to the left of the centre line; negative is right."""
        dx, dy = point.x - self.start.x, point.y - self.start.y
        return self._per_length(dy * self.vector[0] - dx * self.vector[1]) - self.aside

    def _per_length(self, product: int) -> Length:
        """A dot or cross product with the vector, over the vector's length."""
        if self.is_upright:
            return product // (abs(self.vector[0]) + abs(self.vector[1]))
        return root_times(product, self.square, self.square)

    def point(self, along: Length, beside: Length = 0) -> Point:
        """The point at a place along the wall, `beside` to the left of its centre line; whole ticks."""
        left = self.aside + beside
        dx, dy = self.vector
        if self.is_upright:
            step = (dx > 0) - (dx < 0), (dy > 0) - (dy < 0)
            return Point(
                self.start.x + step[0] * along - step[1] * left, self.start.y + step[1] * along + step[0] * left
            )
        size = isqrt(self.square << (2 * _SCALE))
        return Point(
            self.start.x + ((dx * along - dy * left) << _SCALE) // size,
            self.start.y + ((dy * along + dx * left) << _SCALE) // size,
        )

    def cross(self, other: Axis) -> int:
        """Positive where the other's direction turns to the left of this one."""
        return self.vector[0] * other.vector[1] - self.vector[1] * other.vector[0]

    def dot(self, other: Axis) -> int:
        return self.vector[0] * other.vector[0] + self.vector[1] * other.vector[1]

    def turn(self, other: Axis, *, is_same_way: bool = True) -> Turn:
        """The angle to another wall, as both are walked; turned where one of them is walked backwards."""
        dot = self.dot(other)
        if not dot:
            return SQUARE
        return Turn(dot if is_same_way else -dot, abs(self.cross(other)), self.square * other.square)

    def crossing(self, other: Axis) -> Length:
        """Where the other's centre line crosses this one, ticks from this drawn start. The two must not be parallel."""
        cross = self.cross(other)
        dx, dy = other.start.x - self.start.x, other.start.y - self.start.y
        top = dx * other.vector[1] - dy * other.vector[0]
        size = abs(self.vector[0]) + abs(self.vector[1])
        drawn = times(size, top, cross) if self.is_upright else root_times(top, self.square, cross)
        if not self.aside and not other.aside:
            return drawn
        # Moving the other line to its left, or this one to its own, moves where they cross.
        turn = Turn(self.dot(other), abs(cross), self.square * other.square) if self.dot(other) else SQUARE
        sign = 1 if cross > 0 else -1
        return drawn + sign * turn.cot(self.aside) - sign * turn.over_sin(other.aside)
