"""A linear program whose columns arrive one by one: least cost of x with rows x >= wanted, x >= 0.

Revised simplex with the inverse of the basis kept whole, devex prices, and tiny lots added to what is wanted and to
what columns cost, so that no basis is degenerate. Floating point throughout: what it says is a hint, and whoever needs
a proof makes one from its duals in whole numbers (`framing.cutting.columns`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]
Places: TypeAlias = NDArray[np.int64]

_TINY = 1e-10  # up to 1e-7 of a cost
_LEAST_PIVOT = 1e-7
_LEAST_GAIN = 1e-8
_FEASIBLE = 1e-9
_TOGETHER = 24  # pivots whose changes of the inverse are made in one product
_FRESH_EVERY = 100  # pivots after which the inverse is made anew


class Stopped(Exception):
    """The allowed work is spent, or the basis is of no more use."""


class Singular(Stopped):
    """Rounding has made the basis of no use; from an earlier one the program can go on."""


@dataclass(frozen=True, slots=True)
class Basis:
    """A basis to come back to."""

    columns: Places
    inverse: Floats


class Simplex:
    """Columns 0 to rows - 1 are the surpluses; `add` appends the others. `work` counts rows squared per pivot."""

    def __init__(self, wanted: Sequence[int], work: int) -> None:
        rows = len(wanted)
        self.rows = rows
        self.work = work
        tiny = [1e-6 * (1 + (row * 7919 % 1009) / 1009) for row in range(rows)]
        self._jitter: Floats = np.where(np.array(wanted) < 0, -1.0, 1.0) * tiny  # a limit is loosened
        self._entry_rows: Places = np.arange(rows, dtype=np.int64)
        self._entries: Floats = np.full(rows, -1.0)
        self._starts: Places = np.arange(rows, dtype=np.int64)
        self._cost: Floats = np.zeros(rows)
        self._reduced: Floats = np.zeros(rows)
        self._new: list[tuple[float, list[int], list[float]]] = []
        self._wanted: Floats = np.array(wanted, dtype=np.float64)
        self._pivots = 0
        self._late = 0
        self._late_columns: Floats = np.empty((_TOGETHER, rows))
        self._late_rows: Floats = np.empty((_TOGETHER, rows))

    def __len__(self) -> int:
        return len(self._cost) + len(self._new)

    def add(self, cost: float, rows: Sequence[int], entries: Sequence[float]) -> int:
        """Append a column; answers its number."""
        number = len(self)
        self._new.append((cost + abs(cost) * _TINY * (number * 7919 % 1009), list(rows), list(entries)))
        return len(self) - 1

    def recost(self, column: int, change: float) -> None:
        self._gather()
        self._cost[column] += change
        self._refresh()

    def start(self, columns: Sequence[int]) -> None:
        """Take a first basis, which must be feasible."""
        self._gather()
        self._basis: Places = np.array(columns, dtype=np.int64)
        self._invert()

    def want(self, wanted: Sequence[int]) -> None:
        """Change what the rows want; `reoptimise` makes the basis feasible again."""
        self._wanted = np.array(wanted, dtype=np.float64)
        self._refresh()

    def basis(self) -> Basis:
        self._settle()
        return Basis(self._basis.copy(), self._inverse.copy())

    def restore(self, basis: Basis) -> None:
        self._basis, self._inverse = basis.columns.copy(), basis.inverse.copy()
        self._late = 0
        self._refresh()

    @property
    def duals(self) -> list[float]:
        self._settle()
        return [float(value) for value in self._cost[self._basis] @ self._inverse]

    @property
    def objective(self) -> float:
        self._settle()
        return float(self._cost[self._basis] @ self._inverse @ self._wanted)

    def solution(self) -> list[tuple[float, int]]:
        """(amount, column) of the columns in the basis, surpluses left out."""
        pairs = zip(self._x, self._basis, strict=True)
        return [(float(x), int(column)) for x, column in pairs if column >= self.rows]

    def optimise(self, enough: float = -np.inf) -> None:
        """Pivot while a column improves and the cost is above `enough`. Raises Stopped."""
        self._gather()
        weights = np.ones(len(self._cost))
        objective = self.objective
        while objective > enough:
            gains = np.where(self._reduced < -_LEAST_GAIN, self._reduced * self._reduced / weights, 0.0)
            column = int(np.argmax(gains))
            if gains[column] == 0.0:
                return
            alpha = self._column(column)
            row = self._leaving(alpha)
            leaving = self._basis[row]
            weight = weights[column]
            objective += float(self._reduced[column] * self._x[row] / alpha[row])
            across = self._pivot(row, column, alpha)
            weights = np.maximum(weights, across * across * weight)
            weights[leaving] = max(weight / alpha[row] ** 2, 1.0)

    def enter(self, columns: Sequence[int]) -> None:
        """Pivot these columns in, one after another, those that improve. Raises Stopped."""
        self._gather()
        for column in columns:
            if self._reduced[column] < -_LEAST_GAIN:
                alpha = self._column(column)
                self._pivot(self._leaving(alpha), column, alpha)

    def _leaving(self, alpha: Floats) -> int:
        """The row that a column entering the basis meets first. Raises Stopped where there is none."""
        usable = alpha > _LEAST_PIVOT
        if not usable.any():
            raise Stopped
        ratios = np.where(usable, np.maximum(self._x, 0.0) / np.where(usable, alpha, 1.0), np.inf)
        near = np.nonzero(ratios <= ratios.min() * (1 + 1e-9) + 1e-10)[0]
        return int(near[np.argmax(alpha[near])])

    def reoptimise(self) -> None:
        """Make the basis feasible after `want`, keeping it dual feasible. Raises Stopped, Singular."""
        self._gather()
        while True:
            row = int(np.argmin(self._x))
            if self._x[row] >= -_FEASIBLE:
                return
            across = self._across(self._row(row))
            usable = across < -_LEAST_PIVOT
            if not usable.any():
                raise Singular
            ratios = np.where(usable, np.maximum(self._reduced, 0.0) / np.where(usable, -across, 1.0), np.inf)
            near = np.nonzero(ratios <= ratios.min() + 1e-9)[0]
            column = int(near[np.argmin(across[near])])
            self._pivot(row, column, self._column(column))

    def _pivot(self, row: int, column: int, alpha: Floats) -> Floats:
        """Exchange a basic column; answers the pivot row over all columns."""
        self.work -= self.rows * self.rows
        if self.work < 0:
            raise Stopped
        scaled = self._row(row) / alpha[row]
        across = self._across(scaled)
        step = self._x[row] / alpha[row]
        self._late_columns[self._late] = alpha
        self._late_columns[self._late, row] -= 1.0
        self._late_rows[self._late] = scaled
        self._late += 1
        if self._late == _TOGETHER:
            self._settle()
        self._x -= step * alpha
        self._x[row] = step
        self._reduced = self._reduced - self._reduced[column] * across
        self._basis[row] = column
        self._pivots += 1
        if self._pivots % _FRESH_EVERY == 0:
            self._invert()
        return across

    def _settle(self) -> None:
        """Bring late changes into the inverse, all in one product."""
        if self._late:
            self._inverse -= self._late_columns[: self._late].T @ self._late_rows[: self._late]
            self._late = 0

    def _row(self, row: int) -> Floats:
        """A row of the inverse as it is now."""
        late = self._late
        found: Floats = self._inverse[row] - self._late_columns[:late, row] @ self._late_rows[:late]
        return found

    def _across(self, row: Floats) -> Floats:
        """A row times every column."""
        found: Floats = np.add.reduceat(row[self._entry_rows] * self._entries, self._starts)
        return found

    def _column(self, column: int) -> Floats:
        low, high = self._extent(column)
        rows, entries, late = self._entry_rows[low:high], self._entries[low:high], self._late
        found: Floats = self._inverse[:, rows] @ entries
        if late:
            found -= (self._late_rows[:late, rows] @ entries) @ self._late_columns[:late]
        return found

    def _extent(self, column: int) -> tuple[int, int]:
        last = column + 1 == len(self._starts)
        return int(self._starts[column]), len(self._entries) if last else int(self._starts[column + 1])

    def _gather(self) -> None:
        """Take the columns added since the last pivot into the arrays."""
        if not self._new:
            return
        lengths = [len(rows) for _, rows, _ in self._new]
        starts = len(self._entries) + np.concatenate([[0], np.cumsum(lengths[:-1])])
        self._starts = np.concatenate([self._starts, starts.astype(np.int64)])
        self._entry_rows = np.concatenate([self._entry_rows, [row for _, rows, _ in self._new for row in rows]])
        self._entries = np.concatenate([self._entries, [entry for _, _, entries in self._new for entry in entries]])
        self._cost = np.concatenate([self._cost, [cost for cost, _, _ in self._new]])
        self._new.clear()
        if hasattr(self, "_inverse"):
            self._refresh()

    def _invert(self) -> None:
        matrix = np.zeros((self.rows, self.rows))
        for place, column in enumerate(self._basis):
            low, high = self._extent(int(column))
            matrix[self._entry_rows[low:high], place] = self._entries[low:high]
        try:
            inverse: Floats = np.linalg.inv(matrix).astype(np.float64)
        except np.linalg.LinAlgError:
            raise Singular from None
        self._inverse = inverse
        self._late = 0
        self._refresh()

    def _refresh(self) -> None:
        self._settle()
        self._x = self._inverse @ (self._wanted + self._jitter)
        self._reduced = self._cost - self._across(self._cost[self._basis] @ self._inverse)
