"""Cut lists against an independent solver: SCIP, on models written here.

Two models of the same question: every filling of a bar as a column (P. C. Gilmore, R. E. Gomory, 1961), and flow along
a bar (J. M. Valerio de Carvalho, "Exact solution of bin-packing problems using column generation and branch-and-bound",
Annals of Operations Research 86, 1999). Where we say proven, SCIP finds the same least; no bound is above its.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from framing.cutlist import COST, CutList, StockLength, cut_stocks
from framing.cutting.pairs import paired
from framing.cutting.problem import Stock, cost, problem_of, some_left
from framing.cutting.search import Effort
from framing.cutting.short_lists import least_plan
from tests.support.integers import Row, least_cost


@dataclass(frozen=True)
class Case:
    """Whole lengths. `stocks` as (length, cost); the costs of one stock are 1, so that bars are counted."""

    pieces: Mapping[int, int]
    stocks: Sequence[tuple[int, int]]
    kerf: int
    rack: Sequence[int] = ()


def least_by_patterns(case: Case) -> int:
    """The least cost, over every way to fill a bar."""
    kinds = sorted(case.pieces)
    columns: list[tuple[int, ...]] = []
    costs: list[int] = []
    rows: list[Row] = []
    bars: list[tuple[int, int, int | None]] = [(length, cost, None) for length, cost in case.stocks]
    bars += [(length, 0, number) for length, number in Counter(case.rack).items()]
    for length, price, limit in bars:
        first = len(columns)
        columns += _fillings(kinds, case.pieces, length + case.kerf, case.kerf)
        costs += [price] * (len(columns) - first)
        if limit is not None:
            rows.append(Row(dict.fromkeys(range(first, len(columns)), 1), high=limit))
    for at, kind in enumerate(kinds):
        rows.append(Row({n: column[at] for n, column in enumerate(columns)}, low=case.pieces[kind]))
    return least_cost(costs, rows)


def _fillings(kinds: Sequence[int], pieces: Mapping[int, int], room: int, kerf: int) -> Iterator[tuple[int, ...]]:
    if not kinds:
        yield ()
        return
    size = kinds[0] + kerf
    for many in range(min(pieces[kinds[0]], room // size) + 1):
        for rest in _fillings(kinds[1:], pieces, room - many * size, kerf):
            yield (many, *rest)


def least_by_flow(case: Case) -> int:
    """The least cost, as flow from one end of the bars to their lengths; a piece is an arc of its length."""
    sizes = {kind + case.kerf: count for kind, count in case.pieces.items()}
    rooms = [(length + case.kerf, cost) for length, cost in case.stocks]
    top = max(room for room, _ in rooms)
    arcs = [(at, at + size, size) for size in sizes for at in range(top - size + 1)]
    arcs += [(at, at + 1, 0) for at in range(top)]
    balance: list[dict[int, int]] = [{} for _ in range(top + 1)]
    for column, (start, end, _) in enumerate([*arcs, *((room, 0, 0) for room, _ in rooms)]):
        balance[start][column] = 1
        balance[end][column] = -1
    rows = [Row(entries, 0, 0) for entries in balance]
    for size, count in sizes.items():
        rows.append(Row({n: 1 for n, (_, _, long) in enumerate(arcs) if long == size}, low=count))
    return least_cost([0] * len(arcs) + [cost for _, cost in rooms], rows)


def ours(case: Case, effort: Effort = Effort()) -> tuple[CutList, int, int]:  # noqa: B008
    """Our answer, its cost and its bound, in the case's costs."""
    one = len(case.stocks) == 1
    stocks = [StockLength(length, None if one else Fraction(cost)) for length, cost in case.stocks]
    answer = cut_stocks(case.pieces, stocks, case.kerf, rack=case.rack, useful=1, effort=effort)
    assert one or answer.measure == COST
    return answer, int(answer.total), int(answer.bound)


def check(case: Case, least: int) -> bool:
    answer, total, bound = ours(case)
    assert bound <= least <= total
    if answer.proven:
        assert total == least
    assert Counter(cut for bar in answer.bars for cut in bar.cuts) == Counter(case.pieces)
    for bar in answer.bars:
        room = bar.stock - sum(bar.cuts) - case.kerf * (len(bar.cuts) - 1)
        assert room >= 0
        assert bar.offcut == max(0, room - case.kerf)
    return answer.proven


def small(seed: int) -> Case:
    dice = random.Random(seed)
    stocks = sorted(dice.sample(range(60, 145), 1 if seed % 2 else dice.randint(2, 4)))
    lengths = dice.sample(range(9, stocks[-1] + 1), dice.randint(1, 6))
    priced = seed % 4 == 0
    costs = [1] if len(stocks) == 1 else [dice.randint(40, 160) if priced else stock for stock in stocks]
    rack = [dice.randint(8, 60) for _ in range(dice.randint(0, 4))] if seed % 3 == 0 else []
    pieces = {length: dice.randint(1, 12) for length in lengths}
    return Case(pieces, list(zip(stocks, costs, strict=True)), dice.choice([0, 0, 1, 3, 11]), rack)


def test_small_lists_of_one_and_several_stocks_are_least():
    proven = sum(check(case, least_by_patterns(case)) for case in map(small, range(120)))
    assert proven >= 119


def longer(seed: int) -> Case:
    dice = random.Random(1000 + seed)
    stocks = [(120, 1)] if seed % 2 else [(96, 96), (120, 120), (144, 144)]
    pieces = {length: dice.randint(1, 9) for length in dice.sample(range(14, 96), 16)}
    return Case(pieces, stocks, dice.choice([0, 1]))


def test_longer_lists_are_least_by_another_model():
    proven = sum(check(case, least_by_flow(case)) for case in map(longer, range(6)))
    assert proven == 6


PIECES = st.dictionaries(st.integers(5, 120), st.integers(1, 6), min_size=1, max_size=7)
STOCKS = st.lists(st.integers(120, 240), min_size=1, max_size=3, unique=True)
SHORT = Effort(pivots=2_000, rounds=100, places=20)


def cut(pieces: Mapping[int, int], stocks: Sequence[int], kerf: int) -> CutList:
    return cut_stocks(pieces, [StockLength(stock) for stock in stocks], kerf, effort=SHORT)


@given(PIECES, STOCKS, st.integers(0, 9), st.integers(5, 120))
def test_another_piece_or_a_wider_cut_never_makes_it_cheaper(pieces, stocks, kerf, another):
    before = cut(pieces, stocks, kerf)
    assert cut(Counter(pieces) + Counter([another]), stocks, kerf).total >= before.bound
    assert cut(pieces, stocks, kerf + 1).total >= before.bound


@given(PIECES, STOCKS, st.integers(0, 9), st.integers(120, 240))
def test_another_stock_length_never_makes_it_longer(pieces, stocks, kerf, another):
    more = cut(pieces, list({*stocks, another}), kerf)
    assert (more.bound if more.measure != "bars" else more.bound * stocks[0]) <= sum(
        bar.stock for bar in cut(pieces, stocks, kerf).bars
    )


@given(STOCKS, st.integers(1, 20), st.integers(0, 50))
def test_pieces_of_every_stock_length_fit_it_whatever_the_kerf(stocks, count, kerf):
    answer = cut(dict.fromkeys(stocks, count), stocks, kerf)
    assert answer.proven
    assert answer.bought() == dict.fromkeys(sorted(stocks), count)
    assert {bar.offcut for bar in answer.bars} == {0}


@given(st.dictionaries(st.integers(5, 100), st.integers(1, 3), min_size=1, max_size=6))
def test_bars_that_are_fixed_beforehand_are_in_some_least_plan(pieces):
    problem = problem_of(pieces, 0, [Stock(100, 1)])
    fixed, left = paired(problem)
    _, rest = some_left(problem, left)
    whole, parts = least_plan(problem), least_plan(rest) if any(left) else []
    assert whole is not None
    assert parts is not None
    assert cost(problem, fixed) + cost(rest, parts) == cost(problem, whole)
