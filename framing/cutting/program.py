"""A linear program whose columns arrive one by one: least cost of x with rows x >= wanted, x >= 0. HiGHS solves it.

HiGHS's simplex method keeps its basis from one solution to the next. Floating point throughout: what it says is a hint,
and whoever needs a proof makes one from its duals in whole numbers (`framing.cutting.columns`).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

import highspy
import numpy as np

Basis: TypeAlias = highspy.HighsBasis

_OPTIONS: dict[str, bool | int | str] = {
    "output_flag": False,
    "presolve": "off",
    "solver": "simplex",
    "simplex_strategy": 4,  # the primal method: a basis stays feasible where columns are added
    "threads": 1,
}
_NO_ROWS = np.empty(0, dtype=np.int32)
_NO_ENTRIES = np.empty(0)


class Stopped(Exception):
    """The allowed work is spent, or rounding has made the program of no use."""


class Program:
    """Rows are numbered from 0 as `wanted` gives them, columns from 0 as they are added. `pivots` are those left."""

    def __init__(self, wanted: Sequence[int], pivots: int) -> None:
        self.pivots = pivots
        self.duals: list[float] = []
        self.objective = 0.0
        self._solver = highspy.Highs()  # type: ignore[no-untyped-call]
        for option, value in _OPTIONS.items():
            self._solver.setOptionValue(option, value)
        for least in wanted:
            self._solver.addRow(least, highspy.kHighsInf, 0, _NO_ROWS, _NO_ENTRIES)
        self._costs: list[float] = []
        self._amounts: list[float] = []

    def add(self, cost: float, rows: Sequence[int], entries: Sequence[float]) -> int:
        """Append a column; answers its number."""
        places, values = np.array(rows, dtype=np.int32), np.array(entries, dtype=np.float64)
        self._solver.addCol(cost, 0.0, highspy.kHighsInf, len(rows), places, values)
        self._costs.append(cost)
        return len(self._costs) - 1

    def recost(self, column: int, change: float) -> None:
        """Let a column cost so much more."""
        self._costs[column] += change
        self._solver.changeColCost(column, self._costs[column])

    def want(self, wanted: Sequence[int]) -> None:
        """Change what the rows want."""
        for row, least in enumerate(wanted):
            self._solver.changeRowBounds(row, least, highspy.kHighsInf)

    def basis(self) -> Basis:
        """The basis of the last solution, to come back to."""
        return self._solver.getBasis()

    def restore(self, basis: Basis) -> None:
        """Take a basis of before. Columns added since stay out of it."""
        later = len(self._costs) - len(basis.col_status)
        basis.col_status = [*basis.col_status, *[highspy.HighsBasisStatus.kLower] * later]
        self._solver.setBasis(basis)

    def solve(self) -> None:
        """Find the least cost from the present basis. Raises Stopped."""
        self._solver.setOptionValue("simplex_iteration_limit", self.pivots)
        self._solver.run()
        info = self._solver.getInfo()
        self.pivots = max(0, self.pivots - info.simplex_iteration_count)
        if self._solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            raise Stopped
        found = self._solver.getSolution()
        self.duals, self._amounts = list(found.row_dual), list(found.col_value)
        self.objective = info.objective_function_value

    def amounts(self) -> list[tuple[float, int]]:
        """(amount, column) of the columns that the last solution uses."""
        return [(amount, column) for column, amount in enumerate(self._amounts) if amount > 0]
