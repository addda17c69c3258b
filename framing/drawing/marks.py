"""Marks in circles, running figures and dimension lines, and the room they need."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from itertools import product

from framing.drawing.lettering import MM_PER_POINT, clipped, span
from framing.drawing.shapes import FINE_LINE, LINE, Box, Pad, Pen, Shape, Spot, Text, arc

_ROUND = 0.95  # mm of air beside the letters in a ring
_ROUNDEST = 1.4  # a circle grows by this much at most before it is drawn out
_WIDEST = 24.0  # mm of letters in a ring: a longer mark is cut short there, and stands whole in the lists


def ring_size(words: str, size: float) -> tuple[float, float]:
    """Half the width and half the height, mm, of the ring around a mark: a circle, drawn out for a long one."""
    half = max(size * MM_PER_POINT * 0.5 + 0.75, 1.6)
    wide = min(_WIDEST, span(words, size, is_bold=True)) / 2
    if wide + _ROUND <= half:
        return half, half
    if wide + 0.6 <= _ROUNDEST * half:
        return wide + 0.6, wide + 0.6
    return wide + _ROUND, half


def ring(x: float, y: float, words: str, size: float = 7.0, pen: Pen = FINE_LINE) -> list[Shape]:
    """A mark in a circle about (x, y)."""
    wide, high = ring_size(words, size)
    pad = Pad()
    if wide - high < 0.35:
        pad.circle(x, y, wide, pen)
    else:
        reach = wide - high
        pad.area([*arc(x + reach, y, high, -90, 180, 12), *arc(x - reach, y, high, 90, 180, 12)], pen, "white")
    pad.text(x, y + size * MM_PER_POINT * 0.36, clipped(words, _WIDEST, size, is_bold=True), size, "middle", bold=True)
    return pad.shapes


def ring_box(x: float, y: float, words: str, size: float = 7.0) -> Box:
    wide, high = ring_size(words, size)
    return Box(x - wide, y - high, x + wide, y + high)


def tag(x: float, y: float, words: str, size: float = 7.0) -> list[Shape]:
    """The number of a detail: in a square, so that it is not taken for a mark."""
    half = tag_half(words, size)
    pad = Pad()
    pad.box(Box(x - half, y - half, x + half, y + half), LINE, "white")
    pad.text(x, y + size * MM_PER_POINT * 0.36, words, size, "middle", bold=True)
    return pad.shapes


def tag_half(words: str, size: float) -> float:
    return max(size * MM_PER_POINT * 0.5 + 0.6, span(words, size, is_bold=True) / 2 + 0.7)


def spread(places: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Places moved apart to at least `gap`, each as little as can be, kept from `low` to `high` where they all fit.

    Equal moves to either side: the least squares of all moves (pool adjacent violators).
    """
    if not places:
        return []
    blocks: list[tuple[float, int]] = []  # (sum of places less their own offset, how many)
    for index, place in enumerate(places):
        total, count = place - index * gap, 1
        while blocks and blocks[-1][0] / blocks[-1][1] > total / count:
            before = blocks.pop()
            total, count = total + before[0], count + before[1]
        blocks.append((total, count))
    offsets = [total / count for total, count in blocks for _ in range(count)]
    top = high - (len(places) - 1) * gap
    return [min(max(offset, low), max(low, top)) + index * gap for index, offset in enumerate(offsets)]


def running(
    pad: Pad, marks: Sequence[tuple[float, str]], top: float, low: float, high: float, *, size: float = 6.5
) -> float:
    """Upright figures below a line: each with a hair line up to its place. Returns the y under the longest.

    `marks`: (x, words) in order of x. `low`, `high`: the room that figures may spread into.
    """
    gap = size * MM_PER_POINT * 1.05
    places = spread([x for x, _ in marks], gap, low, high)
    longest = 0.0
    for (x, words), place in zip(marks, places, strict=True):
        pad.line((x, top), (x, top + 1.2), (place, top + 3.0), (place, top + 3.6))
        text = Text(Spot(place + size * MM_PER_POINT * 0.35, top + 4.1), words, size, "end", turn=90)
        pad.shapes.append(text)
        longest = max(longest, span(words, size))
    return top + 4.1 + longest


def dimension(
    pad: Pad, low: float, high: float, y: float, words: str, *, size: float = 6.5, above: bool = True
) -> None:
    """A lying dimension with slashes at its ends, words on it where they fit, else beside its right end."""
    pad.line((low, y), (high, y))
    for x in (low, high):
        slash(pad, x, y)
    wide = span(words, size)
    lift = y - 0.7 if above else y + size * MM_PER_POINT * 0.76 + 0.6
    if wide + 0.8 <= high - low:
        pad.text((low + high) / 2, lift, words, size, "middle")
    else:
        pad.text(high + 1.2, y + size * MM_PER_POINT * 0.36, words, size)


def slash(pad: Pad, x: float, y: float) -> None:
    pad.line((x - 0.7, y + 0.7), (x + 0.7, y - 0.7), pen=LINE)


def between(pad: Pad, one: Spot, two: Spot, words: str, *, size: float = 6.5, off: float = 0.8) -> Box:
    """A dimension line at any slant with its words beside its middle, read from below or the right."""
    pad.line(one, two)
    dx, dy = two.x - one.x, two.y - one.y
    length = math.hypot(dx, dy) or 1.0
    across = Spot(-dy / length, dx / length)
    for spot in (one, two):
        pad.line(
            (spot.x - 0.6 * (dx / length) + 0.6 * across.x, spot.y - 0.6 * (dy / length) + 0.6 * across.y),
            (spot.x + 0.6 * (dx / length) - 0.6 * across.x, spot.y + 0.6 * (dy / length) - 0.6 * across.y),
            pen=LINE,
        )
    turn = -math.degrees(math.atan2(dy, dx))
    while turn > 90.01:
        turn -= 180
    while turn <= -89.99:
        turn += 180
    up = Spot(-math.sin(math.radians(turn)), -math.cos(math.radians(turn)))
    middle = Spot((one.x + two.x) / 2 + up.x * off, (one.y + two.y) / 2 + up.y * off)
    return pad.text(middle.x, middle.y, words, size, "middle", turn=turn).box()


class Room:
    """What is taken on a paper: finds a free place among several for each word.

    A word of an owner keeps a wider distance from what others own, so that nobody reads it as theirs.
    """

    def __init__(self, paper: Box, cell: float = 12.0) -> None:
        self.paper = paper
        self.cell = cell
        self.taken: dict[tuple[int, int], list[tuple[Box, str]]] = defaultdict(list)

    def _cells(self, box: Box) -> Iterable[tuple[int, int]]:
        return product(
            range(int(box.left // self.cell), int(box.right // self.cell) + 1),
            range(int(box.top // self.cell), int(box.bottom // self.cell) + 1),
        )

    def take(self, box: Box, owner: str = "") -> None:
        for cell in self._cells(box):
            self.taken[cell].append((box, owner))

    def is_free(self, box: Box, owner: str = "", apart: float = 0.4) -> bool:
        """Whether a box is 0.4 mm from everything, and `apart` from what belongs to another owner."""
        wide = Box(box.left - apart, box.top - apart, box.right + apart, box.bottom + apart)
        return self.paper.holds(box) and not any(
            other.meets(box, apart if owner and whose and whose != owner else 0.4)
            for cell in self._cells(wide)
            for other, whose in self.taken[cell]
        )

    def first_free(self, boxes: Sequence[Box], owner: str = "") -> int | None:
        """Take the first box that is free, well apart from what others own if there is such a one, and say which."""
        for apart in (2.4, 0.4) if owner else (0.4,):
            for index, box in enumerate(boxes):
                if self.is_free(box, owner, apart):
                    self.take(box)
                    return index
        return None
