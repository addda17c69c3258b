"""Proven bounds without a linear program, all in whole numbers: no way of cutting costs less.

For one stock: the total length; L2 (S. Martello, P. Toth, "Lower bounds and reduction procedures for the bin packing
problem", Discrete Applied Mathematics 28, 1990); and a dual feasible function (J. Carlier, F. Clautiaux, A. Moukrim,
"New reduction procedures and lower bounds for the two-dimensional bin packing problem", Computers & Operations
Research 34, 2007). Pieces that go with no other are counted apart first. For several stocks: the total length in
the stock that is cheapest for it, pieces that go with no other apart again.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import accumulate

from framing.cutting.problem import Problem

_THRESHOLDS = 400  # tried of one kind of bound; more kinds of piece are sampled
_LONGEST_SUM = 200_000


def simple_bound(problem: Problem) -> int:
    """The best bound that takes no search, as a cost that some stocks add up to."""
    if problem.is_plain:
        room = problem.stocks[0].room
        return _bars(problem.sizes, problem.counts, room) * problem.stocks[0].cost
    return reachable(problem, max(by_length(problem), Fraction(_apart(problem))))


def _bars(sizes: Sequence[int], counts: Sequence[int], room: int) -> int:
    alone = stand_alone(sizes, room)
    rest = (sizes[alone:], counts[alone:], room)
    return sum(counts[:alone]) + max(l2(*rest), _by_function(*rest))


def _apart(problem: Problem) -> int:
    """Each piece that goes with no other in its cheapest stock; the rest by length, in bars of their own."""
    alone = stand_alone(problem.sizes, problem.longest_room)
    own = sum(
        count * min(stock.cost for stock in problem.stocks if stock.room >= size)
        for size, count in zip(problem.sizes[:alone], problem.counts[:alone], strict=True)
    )
    rest = replace(problem, sizes=problem.sizes[alone:], counts=problem.counts[alone:])
    return own + (reachable(rest, by_length(rest)) if rest.sizes else 0)


def stand_alone(sizes: Sequence[int], room: int) -> int:
    """How many kinds, the longest, leave too little of a bar for any other piece."""
    return sum(1 for size in sizes if size + sizes[-1] > room)


def by_length(problem: Problem) -> Fraction:
    """The cost of the total length, limited stocks used up first where they are cheaper."""
    rate = min(Fraction(stock.cost, stock.room) for stock in problem.stocks if stock.supply is None)
    total = rate * sum(size * count for size, count in zip(problem.sizes, problem.counts, strict=True))
    saved = (
        stock.supply * max(Fraction(0), rate * stock.room - stock.cost) for stock in problem.stocks if stock.supply
    )
    return max(Fraction(0), total - sum(saved, Fraction(0)))


def l2(sizes: Sequence[int], counts: Sequence[int], room: int) -> int:
    """Bars needed at least, for a threshold k: pieces over room - k stand alone, pieces over room/2 each open a bar,
    and those from k to room/2 fill what the middle ones leave."""
    rising, numbers = list(reversed(sizes)), list(reversed(counts))
    pieces = [0, *accumulate(numbers)]
    total = [0, *accumulate(size * count for size, count in zip(rising, numbers, strict=True))]
    best = -(-total[-1] // room)
    half = bisect_left(rising, room // 2 + 1)  # first kind over half a bar
    for k in [0, *_sampled(rising[:half])]:
        small = bisect_left(rising, k)
        big = max(bisect_left(rising, room - k + 1), half)
        middle, alone = pieces[big] - pieces[half], pieces[-1] - pieces[big]
        left = middle * room - (total[big] - total[half])
        best = max(best, alone + middle + max(0, -(-(total[half] - total[small] - left) // room)))
    return best


def _by_function(sizes: Sequence[int], counts: Sequence[int], room: int) -> int:
    """Bars needed at least: pieces up to half a bar are counted in whole steps k, longer ones by what they leave."""
    half = [size for size in sizes if 2 * size <= room]
    steps = {*half, *(room - size + 1 for size in sizes if 2 * size > room)}
    pairs = list(zip(sizes, counts, strict=True))
    best = 0
    for k in _sampled(sorted(step for step in steps if 0 < 2 * step <= room)):
        whole = room // k
        total = sum(
            count
            * (2 * (size // k) if 2 * size < room else whole if 2 * size == room else 2 * (whole - (room - size) // k))
            for size, count in pairs
        )
        best = max(best, -(-total // (2 * whole)))
    return best


def _sampled(values: Sequence[int]) -> Iterable[int]:
    step = -(-len(values) // _THRESHOLDS) or 1
    return values[::step]


def reachable(problem: Problem, least: Fraction | int) -> int:
    """The least cost from `least` on that some number of bars adds up to."""
    low = -(-least // 1)
    costs = sorted({stock.cost for stock in problem.stocks if stock.cost})
    top = low + costs[0]  # a multiple of the cheapest is not further away
    if top > _LONGEST_SUM:
        return low
    sums = 1
    for cost in costs:
        reach = cost
        while reach <= top:  # any number of bars: 1, 2, 4, ... more of them
            sums |= sums << reach
            reach *= 2
        sums &= (1 << (top + 1)) - 1
    found = sums >> low
    return low + (found & -found).bit_length() - 1
