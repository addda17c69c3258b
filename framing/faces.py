"""The faces of walls walked around: which stretches of which faces look into one space.

Walls are the edges of a plane graph, their meetings its nodes, taken from how the junctions were found and not from
coordinates: what is drawn slightly off is joined here as it is in the steel. Along every edge one walks with its left
or its right face at hand; at a node one turns as far left as the walls there allow. Each walk is closed, or it ends
where walls butt existing work at both of its ends. Directions are compared in whole numbers.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cmp_to_key
from itertools import pairwise
from typing import NamedTuple

from framing.joints import AT_STRUCTURE, IN_LINE, LAP, STEM, THROUGH, Junctions, WallEnd
from framing.length import Length
from framing.plan import LEFT, RIGHT, Wall


class Stretch(NamedTuple):
    """A stretch of one face, `low` to `high` along the wall's drawn line, from one meeting to the next.

    `onward`: walked from the wall's start to its end, so that its left face looks into the space; else its right.
    """

    wall: int
    onward: bool
    low: Length
    high: Length

    @property
    def face(self) -> str:
        return LEFT if self.onward else RIGHT


@dataclass(frozen=True, slots=True)
class Walk:
    """Stretches in the order of walking, the space to the left. `group`: walls that hang together have one number.

    `is_closed`: it comes back to where it began; else both its ends butt existing work.
    """

    stretches: tuple[Stretch, ...]
    is_closed: bool
    group: int


def walks_of(walls: Sequence[Wall], joined: Junctions) -> list[Walk]:
    """All walks of a level: every stretch of every face is in exactly one of them. In the order of the walls."""
    nodes = _Nodes(walls, joined)
    halves: list[Stretch] = []
    heads: list[int] = []
    leaving: dict[int, list[int]] = defaultdict(list)  # halves by the node they leave; 2k and 2k + 1 are one stretch
    for wall in range(len(walls)):
        places = nodes.along(wall)
        for (low, one), (high, two) in pairwise(places):
            if one == two or high == low:
                continue
            for onward, tail, head in ((True, one, two), (False, two, one)):
                leaving[tail].append(len(halves))
                halves.append(Stretch(wall, onward, low, high))
                heads.append(head)
    before = _turned_right(walls, halves, leaving)
    group = _groups(halves, heads, leaving)
    starts = [half for node in nodes.at_structure for half in leaving[node]]
    taken = [False] * len(halves)
    found: list[Walk] = []
    for first in (*sorted(starts), *range(len(halves))):
        if taken[first]:
            continue
        walk, half, is_open = [], first, False
        while not taken[half]:
            taken[half] = True
            walk.append(halves[half])
            is_open = heads[half] in nodes.at_structure
            if is_open:
                break
            half = before[half ^ 1]
        found.append(Walk(tuple(walk), not is_open, group[first]))
    return sorted(found, key=lambda one: min(one.stretches))


class _Nodes:
    """Meetings of one level: each place at which a wall meets others, under one number for all that meet there."""

    def __init__(self, walls: Sequence[Wall], joined: Junctions) -> None:
        self._parent: list[int] = []
        self._places: list[list[tuple[Length, int]]] = [[] for _ in walls]
        self._ends = [self._add(wall, end.at) for wall, ends in enumerate(joined.ends) for end in ends]
        structure = []
        for wall, ends in enumerate(joined.ends):
            for which, end in enumerate(ends):
                self._join_end(joined, wall, which, end)
                if end.role == AT_STRUCTURE:
                    structure.append(self._ends[2 * wall + which])
        for wall, gaps in joined.gaps.items():
            for gap in gaps:
                self._join(self._add(wall, gap.at), self._add(gap.before.other, gap.before.other_at))
        for wall, places in enumerate(self._places):
            places.sort()
            near = walls[wall].type.stud.web // 2
            for (low, one), (high, two) in pairwise(places):
                if high - low <= near:
                    self._join(one, two)
        self.at_structure = frozenset(self._root(node) for node in structure)

    def _add(self, wall: int, at: Length) -> int:
        node = len(self._parent)
        self._parent.append(node)
        self._places[wall].append((at, node))
        return node

    def _join_end(self, joined: Junctions, wall: int, which: int, end: WallEnd) -> None:
        if end.other < 0:
            return
        own = self._ends[2 * wall + which]
        if end.role == STEM:
            self._join(own, self._add(end.other, end.other_at))
        elif end.role in (THROUGH, LAP, IN_LINE):
            kinds = (IN_LINE,) if end.role == IN_LINE else (THROUGH, LAP)
            for place, met in enumerate(joined.ends[end.other]):
                if met.other == wall and met.role in kinds:
                    self._join(own, self._ends[2 * end.other + place])

    def _root(self, node: int) -> int:
        while self._parent[node] != node:
            self._parent[node] = self._parent[self._parent[node]]
            node = self._parent[node]
        return node

    def _join(self, one: int, two: int) -> None:
        one, two = self._root(one), self._root(two)
        self._parent[max(one, two)] = min(one, two)

    def along(self, wall: int) -> list[tuple[Length, int]]:
        """Where a wall meets others, with the number of each meeting."""
        return [(at, self._root(node)) for at, node in self._places[wall]]


def _turned_right(walls: Sequence[Wall], halves: Sequence[Stretch], leaving: dict[int, list[int]]) -> list[int]:
    """For each half: the next one clockwise that leaves the same node."""

    def compared(one: int, two: int) -> int:
        return _compared(_way(walls, halves[one]), _way(walls, halves[two]))

    before = [0] * len(halves)
    for own in leaving.values():
        turned = sorted(own, key=cmp_to_key(compared)) if len(own) > 1 else own
        for place, half in enumerate(turned):
            before[half] = turned[place - 1]
    return before


def _way(walls: Sequence[Wall], half: Stretch) -> tuple[int, int]:
    start, end = walls[half.wall].start, walls[half.wall].end
    dx, dy = end.x - start.x, end.y - start.y
    return (dx, dy) if half.onward else (-dx, -dy)


def _compared(one: tuple[int, int], two: tuple[int, int]) -> int:
    """Counter-clockwise from due east: negative where the first comes before the second."""
    upper_one, upper_two = (way[1] > 0 or (way[1] == 0 and way[0] > 0) for way in (one, two))
    if upper_one != upper_two:
        return -1 if upper_one else 1
    cross = one[0] * two[1] - one[1] * two[0]
    return (cross < 0) - (cross > 0)


def _groups(halves: Sequence[Stretch], heads: Sequence[int], leaving: Mapping[int, Sequence[int]]) -> list[int]:
    """For each half the number of the walls that hang together with its own."""
    found = [-1] * len(halves)
    number = 0
    for first in range(len(halves)):
        if found[first] >= 0:
            continue
        waiting = [first, first ^ 1]
        found[first] = found[first ^ 1] = number
        while waiting:
            for half in leaving[heads[waiting.pop()]]:
                if found[half] < 0:
                    found[half] = found[half ^ 1] = number
                    waiting += (half, half ^ 1)
        number += 1
    return found
