"""The least plan exactly, for a list so short that every stage of cutting it can be written out.

A stage says how many pieces of each kind are cut so far; a table holds the least cost of each. Every filling of every
stock is tried on all stages at once: offcuts of a rack bar after bar, bars without a limit any number of times.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from math import prod
from typing import TYPE_CHECKING, TypeAlias

from framing.cutting.problem import Lot, Problem

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Filling: TypeAlias = tuple[int, ...]
"""How many pieces of each kind."""

_STEPS = 30_000_000  # stages times fillings: well under a second
_STAGES = 200_000
_FILLINGS = 3_000  # of one stock
_FAR = 1 << 61


@dataclass(frozen=True, slots=True)
class _Step:
    """`times` bars of a stock, each in one filling."""

    stock: int
    filling: Filling
    times: int


def least_plan(problem: Problem) -> list[Lot] | None:
    """The cheapest plan of all; None where the list is too long to be written out."""
    turns = _turns(problem)
    if turns is None:
        return None
    # Loaded only here: most lists never need it.
    import numpy as np

    shape = [count + 1 for count in problem.counts]
    table: NDArray[np.int64] = np.full(shape, _FAR, dtype=np.int64)
    table.flat[0] = 0
    chosen: list[NDArray[np.int32]] = []
    for steps in turns:
        before = table.copy() if problem.stocks[steps[0].stock].supply is not None else table
        last: NDArray[np.int32] = np.full(shape, -1, dtype=np.int32)
        for place, step in enumerate(steps):
            back = [
                np.maximum(np.arange(length) - step.times * many, 0)
                for length, many in zip(shape, step.filling, strict=True)
            ]
            cost = before[np.ix_(*back)] + problem.stocks[step.stock].cost * step.times
            better = cost < table
            last[better] = place
            table[better] = cost[better]
        chosen.append(last)
    return _followed(problem, turns, chosen)


def _turns(problem: Problem) -> list[list[_Step]] | None:
    """Steps to try, turn after turn: one turn for each offcut, the last for all stocks without a limit."""
    stages = prod(count + 1 for count in problem.counts)
    if stages > _STAGES or problem.stocks[-1].cost * sum(problem.counts) >= _FAR:
        return None
    offcuts: list[list[_Step]] = []
    bought: list[_Step] = []
    for number, stock in enumerate(problem.stocks):
        fillings = list(islice(_fillings(problem.sizes, problem.counts, stock.room), _FILLINGS + 1))
        if len(fillings) > _FILLINGS:
            return None
        if stock.supply is not None:
            offcuts += [[_Step(number, filling, 1) for filling in fillings]] * min(stock.supply, sum(problem.counts))
        else:
            bought += [step for filling in fillings for step in _repeated(number, filling, problem.counts)]
        if (sum(map(len, offcuts)) + len(bought)) * stages > _STEPS:
            return None
    return [*offcuts, bought]


def _repeated(stock: int, filling: Filling, counts: Sequence[int]) -> Iterator[_Step]:
    """One bar, two, four and so on: together any number of bars that may be wanted."""
    most = max(-(-count // many) for count, many in zip(counts, filling, strict=True) if many)
    times = 1
    while times <= most:
        yield _Step(stock, filling, times)
        times *= 2


def _fillings(sizes: Sequence[int], counts: Sequence[int], room: int, taken: Filling = ()) -> Iterator[Filling]:
    """Every filling that leaves no room for another piece of the last kinds in turn, and is not empty."""
    kind = len(taken)
    most = min(counts[kind], room // sizes[kind])
    if kind == len(sizes) - 1:
        if any(taken) or most:
            yield (*taken, most)
        return
    for many in range(most, -1, -1):
        yield from _fillings(sizes, counts, room - many * sizes[kind], (*taken, many))


def _followed(problem: Problem, turns: Sequence[Sequence[_Step]], chosen: Sequence[NDArray[np.int32]]) -> list[Lot]:
    """The steps that lead to everything cut, from the last back to the first; a piece too many is left out."""
    left = list(problem.counts)
    lots = []
    for steps, last in zip(reversed(turns), reversed(chosen), strict=True):
        while (place := int(last[tuple(left)])) >= 0:
            step = steps[place]
            for _ in range(step.times):
                cuts = [min(have, many) for have, many in zip(left, step.filling, strict=True)]
                left = [have - many for have, many in zip(left, cuts, strict=True)]
                pattern = tuple((kind, many) for kind, many in enumerate(cuts) if many)
                if pattern:
                    lots.append(Lot(step.stock, pattern, 1))
            if problem.stocks[step.stock].supply is not None:
                break
    return lots
