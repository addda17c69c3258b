"""Least cost in whole numbers by SCIP, a solver that the project itself does not use."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pyscipopt import Model, quicksum


@dataclass(frozen=True)
class Row:
    """So many of each column, together at least `low` and at most `high`."""

    entries: Mapping[int, int]
    low: int | None = None
    high: int | None = None


def least_cost(costs: Sequence[int], rows: Sequence[Row]) -> int:
    """The least total cost of whole amounts, none below zero, that keep every row."""
    model = Model()
    model.hideOutput()
    columns = [model.addVar(vtype="INTEGER", lb=0, obj=cost) for cost in costs]
    for row in rows:
        total = quicksum(many * columns[column] for column, many in row.entries.items())
        if row.low is not None:
            model.addCons(total >= row.low)
        if row.high is not None:
            model.addCons(total <= row.high)
    model.optimize()
    assert model.getStatus() == "optimal", model.getStatus()
    return round(model.getObjVal())
