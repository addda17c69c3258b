"""Cut lists of several stocks, with a rack, and of many pieces: never under what trying everything finds, and proven.

Ground: an exhaustive search of small lists, written here; nothing of the engine is in it.
"""

from __future__ import annotations

import random
from collections import Counter
from fractions import Fraction
from functools import cache
from itertools import combinations

import pytest

from framing.cutlist import StockLength, cut_stocks
from framing.length import inch
from tests.bench.bench_cutting import KINDS


def least_cost(items: list[int], stocks: list[tuple[int, Fraction | int]], rack: list[int]) -> Fraction | int:
    """The least that any cutting costs: for the longest piece left, every bar and every set of pieces beside it."""

    @cache
    def least(left: tuple[int, ...], offcuts: tuple[int, ...]) -> Fraction | int:
        if not left:
            return 0
        first, rest = left[0], left[1:]
        bars = [(length, cost, None) for length, cost in stocks] + [(offcut, 0, offcut) for offcut in set(offcuts)]
        found = []
        for length, cost, offcut in bars:
            if length < first:
                continue
            remaining = list(offcuts)
            if offcut is not None:
                remaining.remove(offcut)
            for number in range(len(rest) + 1):
                for beside in combinations(range(len(rest)), number):
                    if first + sum(rest[place] for place in beside) <= length:
                        after = tuple(size for place, size in enumerate(rest) if place not in beside)
                        found.append(cost + least(after, tuple(remaining)))
        return min(found)

    return least(tuple(sorted(items, reverse=True)), tuple(rack))


@pytest.mark.parametrize("seed", range(60))
def test_no_bound_is_above_what_trying_everything_finds(seed):
    dice = random.Random(seed)
    lengths = dice.sample(range(30, 100), dice.randint(1, 3))
    items = [dice.randint(5, max(lengths)) for _ in range(dice.randint(1, 6))]
    rack = [dice.randint(10, 60) for _ in range(dice.randint(0, 2))]
    prices = [Fraction(dice.randint(5, 40), 4) if seed % 2 else None for _ in lengths]
    stocks = [StockLength(length, price) for length, price in zip(lengths, prices, strict=True)]
    answer = cut_stocks(Counter(items), stocks, rack=rack, useful=10)
    costs = [(s.length, 1 if len(stocks) == 1 else s.length if s.price is None else s.price) for s in stocks]
    assert answer.bound <= least_cost(items, costs, rack) <= answer.total
    assert Counter(cut for bar in answer.bars for cut in bar.cuts) == Counter(items)
    assert Counter(bar.stock for bar in answer.bars if bar.is_from_rack) <= Counter(rack)
    for bar in answer.bars:
        assert sum(bar.cuts) + bar.offcut == bar.stock


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("kind", KINDS)
def test_ten_thousand_pieces_of_four_hundred_lengths_are_proven(kind, seed):
    # invented lists, those of the bench
    pieces = KINDS[kind](random.Random(seed))
    assert len(pieces) == 400
    answer = cut_stocks(pieces, [StockLength(inch(120))])
    assert answer.proven
    assert Counter(cut for bar in answer.bars for cut in bar.cuts) == Counter(pieces)
    assert all(sum(bar.cuts) + bar.offcut == bar.stock for bar in answer.bars)


@pytest.mark.parametrize(
    ("pieces", "stock", "kerf", "least"),
    [
        # derived: what each case is about is said by its numbers
        ({41: 100_000}, 120, 0, 50_000),  # all equal
        ({120: 1000}, 120, 7, 1000),  # a piece as long as the stock owes no kerf
        ({60 * 10**6 - 1: 100}, 120 * 10**6, 2, 50),  # two and the cut between them fill a bar
        ({60 * 10**6 - 1: 100}, 120 * 10**6, 3, 100),  # one more tick of kerf, and they do not
        ({40 * 10**6 - 200 + n: 25 for n in range(400)}, 120 * 10**6, 0, 3334),  # a tick apart, 3,333.3 bars in all
        ({58: 10, 2: 10, 1: 10}, 60, 59, 30),  # a kerf that leaves no room for a second piece, not even 1 beside 1
    ],
)
def test_odd_lists_are_cut_as_derived(pieces, stock, kerf, least):
    answer = cut_stocks(pieces, [StockLength(stock)], kerf)
    assert (answer.used, answer.bound) == (least, least)
