"""Bars that some least plan holds for certain: a piece, and the one other piece that nothing fills its bar better than.

Where a piece's bar is filled best by one other piece, some least plan cuts them together: whatever lies beside the
first goes where the second lay, for it is no longer. What is left is a smaller problem with the same least, less the
bars fixed (the criterion of S. Martello, P. Toth, "Lower bounds and reduction procedures for the bin packing problem",
Discrete Applied Mathematics 28, 1990, for pairs).
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Sequence

from framing.cutting.problem import Lot, Problem

_TRIES = 60  # fillings tried before a piece is left to the search
_PASSES = 3


def paired(problem: Problem) -> tuple[list[Lot], list[int]]:
    """Lots that can be fixed, of one stock, and how many of each kind are left then."""
    left = list(problem.counts)
    lots: list[Lot] = []
    for _ in range(_PASSES):
        kinds = [kind for kind, count in enumerate(left) if count]
        known = len(lots)
        if kinds:
            lots += _pass(problem, kinds, left)
        if len(lots) == known:
            break
    return lots, left


def _pass(problem: Problem, kinds: Sequence[int], left: list[int]) -> list[Lot]:
    """Every kind once, the longest first; what is fixed is taken off `left`."""
    sizes = [-problem.sizes[kind] for kind in kinds]  # rising
    counts = [left[kind] for kind in kinds]
    lots = []
    for place in range(len(kinds)):
        while counts[place]:
            counts[place] -= 1
            other = _partner(sizes, counts, problem.stocks[0].room + sizes[place])
            counts[place] += 1
            if other is None:
                break
            taken = Counter([place] if other == len(sizes) else [place, other])
            times = min(counts[one] // many for one, many in taken.items())
            for one, many in taken.items():
                counts[one] -= many * times
            lots.append(Lot(0, tuple((kinds[one], many) for one, many in sorted(taken.items())), times))
    for kind, count in zip(kinds, counts, strict=True):
        left[kind] = count
    return lots


def _partner(sizes: Sequence[int], counts: Sequence[int], room: int) -> int | None:
    """The place of the one piece that fills a room best; the number of places where none goes in at all; None where
    some set of pieces fills it better, or might."""
    at = bisect_left(sizes, -room)
    while at < len(sizes) and not counts[at]:
        at += 1
    if at == len(sizes) or -sizes[at] == room:
        return at
    goal, shortest, tries = -sizes[at], -sizes[-1], _TRIES

    def better(first: int, rest: int) -> bool:
        nonlocal tries
        first = max(first, bisect_left(sizes, -rest))
        if rest < 2 * shortest:  # one more piece at most: the longest that goes in
            while first < len(sizes) and not counts[first]:
                first += 1
            return first < len(sizes) and room - rest - sizes[first] > goal
        for place in range(first, len(sizes)):
            for many in range(min(counts[place], rest // -sizes[place]), 0, -1):
                tries -= 1
                after = rest + many * sizes[place]
                if tries < 0 or room - after > goal or better(place + 1, after):
                    return True
        return False

    return None if better(at, room) else at
