"""Which walls of a level lie near one another, or near a point: boxes of steel on a square grid.

Search alone, exact and without trade rules: what is found near is then looked at by whoever asked.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence

from framing.length import Length, inch
from framing.limits import MOST_NEAR
from framing.lines import Axis, Point

_CELL = inch(180)
_ROUNDING = inch(0, 1, 64)


class Crowded(ValueError):
    """So many walls lie near one another that it is no building: `index` lies near `near` others."""

    def __init__(self, index: int, near: int) -> None:
        super().__init__(f"wall {index} lies near {near} others")
        self.index, self.near = index, near


Box = tuple[Length, Length, Length, Length]
"""Least and greatest x, least and greatest y."""


class Nearby:
    """The walls of one level by place. Walls count as near where their boxes, each grown by its reach, share a point.

    A wall reaches as far as its steel may meet another's at the sharpest corner that can be built (30 degrees: its
    whole web), and at least the snap distance. Raises Crowded where copies of walls lie on one another in hundreds.
    """

    def __init__(self, axes: Sequence[Axis], snap: Length) -> None:
        self.axes = axes
        self.boxes = [_box(axis, max(2 * axis.half, snap) + _ROUNDING) for axis in axes]
        self._cells: dict[tuple[int, int], list[int]] = defaultdict(list)
        self.pairs = list(self._filled())
        """Pairs of walls near each other, the one listed first first, in the order of the second."""

    def _filled(self) -> Iterator[tuple[int, int]]:
        """Put wall after wall on the grid; each finds those before it."""
        boxes, cells = self.boxes, self._cells
        left_over = MOST_NEAR * (len(boxes) + 100)
        for index, box in enumerate(boxes):
            left, right, low, high = box
            near: set[int] = set()
            for cell in _cells(self.axes[index], box):
                here = cells[cell]
                if here:
                    near.update(here)
                here.append(index)
            found = 0
            for other in sorted(near):
                its_left, its_right, its_low, its_high = boxes[other]
                if its_left <= right and left <= its_right and its_low <= high and low <= its_high:
                    found += 1
                    yield other, index
            left_over -= found
            if left_over < 0:
                raise Crowded(index, found)

    def around(self, point: Point, reach: Length) -> list[int]:
        """Walls whose box comes within `reach` of a point, in order."""
        x, y = point
        near: set[int] = set()
        for column in range((x - reach) // _CELL, (x + reach) // _CELL + 1):
            for row in range((y - reach) // _CELL, (y + reach) // _CELL + 1):
                near.update(self._cells.get((column, row), ()))
        return sorted(index for index in near if _is_within(self.boxes[index], point, reach))


def _is_within(box: Box, point: Point, reach: Length) -> bool:
    x, y = point
    return box[0] - reach <= x <= box[1] + reach and box[2] - reach <= y <= box[3] + reach


def _box(axis: Axis, reach: Length) -> Box:
    x, y = axis.start
    if axis.step:
        step_x, step_y = axis.step
        x, y = x - step_y * axis.aside, y + step_x * axis.aside
        far_x, far_y = x + step_x * axis.length, y + step_y * axis.length
    else:
        (x, y), (far_x, far_y) = axis.point(0), axis.point(axis.length)
    left, right = (x, far_x) if x < far_x else (far_x, x)
    low, high = (y, far_y) if y < far_y else (far_y, y)
    return left - reach, right + reach, low - reach, high + reach


def _cells(axis: Axis, box: Box) -> Iterable[tuple[int, int]]:
    """Cells that a wall's box covers; of a slanted wall, which leaves most of its box empty, piece by piece."""
    if axis.step:
        return _covered(box)
    pieces = axis.length // _CELL + 1
    reach = axis.point(0)[0] - box[0] if axis.vector[0] > 0 else box[1] - axis.point(0)[0]
    found: set[tuple[int, int]] = set()
    for piece in range(pieces):
        one, two = (axis.point(axis.length * part // pieces) for part in (piece, piece + 1))
        xs, ys = sorted((one[0], two[0])), sorted((one[1], two[1]))
        found.update(_covered((xs[0] - reach, xs[1] + reach, ys[0] - reach, ys[1] + reach)))
    return found


def _covered(box: Box) -> list[tuple[int, int]]:
    columns = range(box[0] // _CELL, box[1] // _CELL + 1)
    rows = range(box[2] // _CELL, box[3] // _CELL + 1)
    return [(column, row) for column in columns for row in rows]
