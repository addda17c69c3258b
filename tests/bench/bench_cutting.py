"""Cut lists of 10,000 pieces in 400 lengths: half a second each, at the proven bound. One not at it counts as nothing.

Each round takes the next invented list of its kind, so the spread shows the worst of them. Beside the plain rates: the
time in which HiGHS solves one linear program of the same size, of patterns given to it.
"""

from __future__ import annotations

import random
from bisect import bisect_right
from collections import Counter
from collections.abc import Callable, Iterator
from functools import cache, partial
from itertools import count

from framing.cutlist import StockLength, cut_stocks
from framing.cutting.program import Program
from framing.length import TICKS_PER_MM, inch
from tests.bench.harness import Figure

LENGTHS, PIECES, LISTS = 400, 10_000, 7
STOCK = inch(120)
QUARTER, SIXTY_FOURTH = inch(0, 1, 4), inch(0, 1, 64)

Pieces = dict[int, int]


def figures() -> list[Figure]:
    rates = [
        Figure(f"cut list of {PIECES:,} pieces in {LENGTHS} lengths, {name}", "pieces",
               _each(made), None, "", 2 * PIECES, "at least", LISTS)
        for name, made in KINDS.items()
    ]  # fmt: skip
    limit = "HiGHS, one linear program of 400 rows and 2,000 patterns"
    ratios = [
        Figure(f"cut list against a linear program, {name}", "pieces",
               _each(KINDS[name]), _program, limit, goal, "at most", LISTS)
        for name, goal in (("quarter inches, any number of each", 2), ("a sixth to half a bar", 20))
    ]  # fmt: skip
    return [*rates, *ratios]


def _even(dice: random.Random, low: int, high: int, step: int) -> Pieces:
    return dict.fromkeys((step * n for n in dice.sample(range(low // step, high // step), LENGTHS)), PIECES // LENGTHS)


def _quarters(dice: random.Random) -> Pieces:
    return _even(dice, inch(6), inch(118), QUARTER)


def _mixed(dice: random.Random) -> Pieces:
    lengths = list(_quarters(dice))
    return dict(Counter(lengths) + Counter(dice.choices(lengths, k=PIECES - LENGTHS)))


def _few_of_many(dice: random.Random) -> Pieces:
    lengths = list(_even(dice, inch(6), inch(119), SIXTY_FOURTH))
    often = [dice.paretovariate(1) for _ in lengths]
    return dict(Counter(lengths) + Counter(dice.choices(lengths, often, k=PIECES - LENGTHS)))


def _studs(dice: random.Random) -> Pieces:
    found: set[int] = set()
    while len(found) < LENGTHS:
        found.add(SIXTY_FOURTH * min(max(round(dice.gauss(93, 14) * 64), 4 * 64), 120 * 64))
    return dict.fromkeys(found, PIECES // LENGTHS)


KINDS: dict[str, Callable[[random.Random], Pieces]] = {
    "quarter inches, 25 of each": _quarters,
    "quarter inches, any number of each": _mixed,
    "64ths, a few lengths most of it": _few_of_many,
    "studs of raked walls": _studs,
    "whole millimetres": partial(_even, low=150 * TICKS_PER_MM, high=3000 * TICKS_PER_MM, step=TICKS_PER_MM),
    "short pieces": partial(_even, low=inch(6), high=inch(40), step=SIXTY_FOURTH),
    "a quarter to half a bar and over": partial(_even, low=inch(30), high=inch(70), step=SIXTY_FOURTH),
    "a sixth to half a bar": partial(_even, low=inch(20), high=inch(60), step=SIXTY_FOURTH),
}


def _each(made: Callable[[random.Random], Pieces]) -> Callable[[], int]:
    """A round: the next list of a kind."""
    lists = _lists(made)

    def once() -> int:
        pieces = next(lists)
        return sum(pieces.values()) if cut_stocks(pieces, [StockLength(STOCK)]).proven else 0

    return once


def _lists(made: Callable[[random.Random], Pieces]) -> Iterator[Pieces]:
    return (made(random.Random(seed)) for seed in count())


@cache
def _patterns() -> tuple[list[int], list[Counter[int]]]:
    """How many pieces of each kind are wanted; and bars filled with whatever fits, five for each kind."""
    dice = random.Random(0)
    pieces = _quarters(dice)
    lengths = sorted(pieces)
    patterns = []
    for kind in [*range(LENGTHS)] * 5:
        pattern, room = Counter([kind]), STOCK - lengths[kind]
        while room >= lengths[0]:
            more = dice.randrange(bisect_right(lengths, room))
            pattern[more] += 1
            room -= lengths[more]
        patterns.append(pattern)
    return [pieces[length] for length in lengths], patterns


def _program() -> int:
    wanted, patterns = _patterns()
    program = Program(wanted, 25_000)
    for pattern in patterns:
        program.add(1.0, list(pattern), list(map(float, pattern.values())))
    program.solve()
    return PIECES
