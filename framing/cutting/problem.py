"""A cutting problem in whole grains: kinds of piece, kinds of stock, and the lots of equal bars that answer it.

Sizes carry their kerf and rooms one kerf more, so a bar holds a set of pieces exactly where their sizes add up to no
more than its room: each cut takes the kerf, and none is owed at the bar's end. A grain is the greatest common divisor
of all sizes; a room is cut down to whole grains, which loses nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import gcd
from typing import TypeAlias

from framing.length import Length

Pattern: TypeAlias = tuple[tuple[int, int], ...]
"""What one bar is cut to: (kind, how many), the longest kind first."""


@dataclass(frozen=True, slots=True)
class Stock:
    """One kind of bar. `supply`: how many there are; None for as many as are wanted."""

    room: int
    cost: int
    supply: int | None = None


@dataclass(frozen=True, slots=True)
class Problem:
    """Kinds of piece, the longest first, how many of each, and the stocks.

    Some stock without a limit, and with a cost, holds the longest piece.
    """

    sizes: tuple[int, ...]
    counts: tuple[int, ...]
    stocks: tuple[Stock, ...]

    @property
    def is_plain(self) -> bool:
        """One stock without a limit: the least number of bars is wanted."""
        return len(self.stocks) == 1

    @property
    def longest_room(self) -> int:
        return max(stock.room for stock in self.stocks)


@dataclass(frozen=True, slots=True)
class Lot:
    """Equal bars: `times` bars of one stock, each cut to one pattern."""

    stock: int
    pattern: Pattern
    times: int


def problem_of(pieces: Mapping[Length, int], kerf: Length, stocks: Sequence[Stock]) -> Problem:
    """Pieces by length, and stocks whose `room` is still their length in ticks."""
    lengths = sorted(pieces, reverse=True)
    grain = gcd(*(length + kerf for length in lengths)) or 1
    return Problem(
        tuple((length + kerf) // grain for length in lengths),
        tuple(pieces[length] for length in lengths),
        tuple(Stock((stock.room + kerf) // grain, stock.cost, stock.supply) for stock in stocks),
    )


def cost(problem: Problem, lots: Iterable[Lot]) -> int:
    return sum(problem.stocks[lot.stock].cost * lot.times for lot in lots)


def filled(problem: Problem, pattern: Pattern) -> int:
    """How much of its bar's room a pattern takes."""
    return sum(problem.sizes[kind] * number for kind, number in pattern)


def some_left(problem: Problem, left: Sequence[int]) -> tuple[list[int], Problem]:
    """What is left of each kind as a problem of its own, and the kinds that its kinds are."""
    kinds = [kind for kind, count in enumerate(left) if count]
    sizes, counts = tuple(problem.sizes[kind] for kind in kinds), tuple(left[kind] for kind in kinds)
    return kinds, Problem(sizes, counts, problem.stocks)


def renamed(lots: Iterable[Lot], kinds: Sequence[int]) -> list[Lot]:
    """Lots of such a problem, in the kinds that its kinds are."""
    return [Lot(lot.stock, tuple((kinds[kind], many) for kind, many in lot.pattern), lot.times) for lot in lots]
