"""The best bound that worths of pieces give, exactly, for a list of a few kinds: every filling of a bar is written out.

Worths are sought that make the list worth most while no filling of a bar is worth more than one: a linear program of
a few unknowns, solved in fractions. Any worths on the way are a valid bound, so stopping early is safe too.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import islice

from framing.cutting.bounds import stand_alone
from framing.cutting.problem import Problem

KINDS = 12
_FILLINGS = 250
_STEPS = 60


def bound_of_few_kinds(problem: Problem) -> int:
    """Bars needed at least, for one stock; 0 where the list has too many kinds or fillings for this."""
    sizes, counts, room = problem.sizes, problem.counts, problem.stocks[0].room
    alone = stand_alone(sizes, room)
    sizes, rest = sizes[alone:], counts[alone:]
    if not sizes or len(sizes) > KINDS:
        return 0
    fillings = list(islice(_fillings(sizes, rest, room, []), _FILLINGS + 1))
    if len(fillings) > _FILLINGS:
        return 0
    most = _most_worth(fillings, rest)
    return (sum(counts[:alone]) + -(-most.numerator // most.denominator)) * problem.stocks[0].cost


def _fillings(sizes: Sequence[int], counts: Sequence[int], room: int, taken: list[int]) -> Iterator[list[int]]:
    """How many of each kind: every filling that takes as many of the last kind as go in."""
    kind = len(taken)
    most = min(counts[kind], room // sizes[kind])
    if kind == len(sizes) - 1:
        yield [*taken, most]
        return
    for many in range(most, -1, -1):
        yield from _fillings(sizes, counts, room - many * sizes[kind], [*taken, many])


def _most_worth(fillings: Sequence[Sequence[int]], counts: Sequence[int]) -> Fraction:
    """The most that all pieces together can be worth where no filling is worth more than one (simplex tableau)."""
    table = [[*(Fraction(many) for many in filling), Fraction(1)] for filling in fillings]
    table.append([*(Fraction(count) for count in counts), Fraction(0)])
    kinds = len(counts)
    for _ in range(_STEPS):
        gains = table[-1]
        column = max(range(kinds), key=lambda place: gains[place])
        rows = [row for row in range(len(fillings)) if table[row][column] > 0]
        if gains[column] <= 0 or not rows:
            break
        _exchange(table, min(rows, key=lambda row: table[row][kinds] / table[row][column]), column)
    return -table[-1][kinds]


def _exchange(table: list[list[Fraction]], row: int, column: int) -> None:
    pivot = table[row][column]
    scaled = [value / pivot for value in table[row]]
    for other, values in enumerate(table):
        factor = values[column]
        if other != row and factor:
            table[other] = [value - factor * across for value, across in zip(values, scaled, strict=True)]
            table[other][column] = -factor / pivot
    scaled[column] = 1 / pivot
    table[row] = scaled
