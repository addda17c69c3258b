"""The dearest pattern that a bar can hold, where every kind of piece has a worth: a bounded knapsack, exactly.

A table gives, for every kind on and every room in coarse cells, the most that those kinds can be worth there; sizes
are cut down to whole cells, so a table never says too little. A search then follows the table and leaves out what it
shows to be no dearer. Whole numbers throughout, so what is said to be the most is the most.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from framing.cutting.problem import Pattern

CELLS = 4096
_KEPT = 3  # patterns offered of one search


@dataclass(frozen=True, slots=True)
class Priced:
    """`most`: no pattern is worth more. `patterns`: the dearest found, at most three, the best last."""

    most: int
    patterns: tuple[Pattern, ...]
    is_whole: bool  # whether the search ended by itself, so that the last pattern is worth `most`


class Pricer:
    """Searches for one list of sizes. `room`: the largest that will be asked for."""

    def __init__(self, sizes: Sequence[int], room: int) -> None:
        self._sizes = sizes
        self._room = room
        self._cell = -(-room // CELLS)

    def dearest(self, worth: Sequence[int], counts: Sequence[int], rooms: Sequence[int], tries: int) -> list[Priced]:
        """For each room the dearest pattern with at most `counts` of each kind. Worths and counts are not negative."""
        kinds = [kind for kind, size in enumerate(self._sizes) if worth[kind] and counts[kind] and size <= self._room]
        table = self._table(kinds, worth, counts)
        search = _Search(
            kinds,
            np.array([self._sizes[kind] for kind in kinds], dtype=np.int64),
            np.array([worth[kind] for kind in kinds], dtype=np.int64),
            [counts[kind] for kind in kinds],
            table,
            self._cell,
        )
        return [search.run(room, tries) for room in rooms]

    def _table(self, kinds: Sequence[int], worth: Sequence[int], counts: Sequence[int]) -> NDArray[np.int64]:
        top = self._room // self._cell
        table = np.zeros((len(kinds) + 1, top + 1), dtype=np.int64)
        for row in range(len(kinds) - 1, -1, -1):
            kind, after, here = kinds[row], table[row + 1], table[row]
            size = self._sizes[kind]
            most = min(counts[kind], self._room // size)
            here[:] = after
            cells = size // self._cell
            if not cells:
                here += worth[kind] * most
                continue
            for many in range(1, min(most, top // cells) + 1):
                np.maximum(here[many * cells :], after[: top + 1 - many * cells] + many * worth[kind],
                           out=here[many * cells :])  # fmt: skip
        return table


class _Search:
    def __init__(
        self,
        kinds: Sequence[int],
        sizes: NDArray[np.int64],
        worth: NDArray[np.int64],
        counts: Sequence[int],
        table: NDArray[np.int64],
        cell: int,
    ) -> None:
        self.kinds, self.sizes, self.worth, self.counts = kinds, sizes, worth, counts
        self.table, self.cell = table, cell

    def run(self, room: int, tries: int) -> Priced:
        self.best = 0
        self.tries = tries
        self.found: list[Pattern] = []
        self.chosen: list[tuple[int, int]] = []
        self._deeper(0, room, 0)
        is_whole = self.tries >= 0
        most = self.best if is_whole else int(self.table[0, room // self.cell])
        return Priced(most, tuple(self.found[-_KEPT:]), is_whole)

    def _deeper(self, first: int, room: int, worth: int) -> None:
        rows = first + np.nonzero(self.sizes[first:] <= room)[0]
        most = worth + self.worth[rows] + self.table[rows, (room - self.sizes[rows]) // self.cell]
        for place in np.argsort(-most, kind="stable"):
            if most[place] <= self.best or self.tries < 0:
                return
            row = int(rows[place])
            size, each = int(self.sizes[row]), int(self.worth[row])
            for many in range(min(self.counts[row], room // size), 0, -1):
                rest, got = room - many * size, worth + many * each
                if got + int(self.table[row + 1, rest // self.cell]) <= self.best:
                    continue
                self.tries -= 1
                self.chosen.append((self.kinds[row], many))
                if got > self.best:
                    self.best = got
                    self.found.append(tuple(sorted(self.chosen)))
                self._deeper(row + 1, rest, got)
                self.chosen.pop()
                if self.tries < 0:
                    return
