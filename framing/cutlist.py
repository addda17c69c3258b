"""Stock lengths to pieces: which bars to buy, how each is cut, and the proven least that any way of cutting needs.

Simple rules fill the bars; where they miss the bound, a linear program and a search from it look further
(`framing.cutting`). Whatever is called proven is proven in whole numbers. Without prices the total length bought is
least; with one stock length that is the number of bars. Offcuts of a rack cost nothing and are offered first.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import gcd, lcm

from framing.cutting.filling import parted
from framing.cutting.problem import Lot, Stock, problem_of
from framing.cutting.search import FULL, Effort, answer
from framing.length import Length, length_text

BARS, LENGTH, COST = "bars", "length", "cost"
"""What a list's `total` and `bound` are measured in."""


class CutMistake(ValueError):
    """A piece that no stock length holds, or a stock or kerf that makes no sense."""


@dataclass(frozen=True, slots=True)
class StockLength:
    """A length that can be bought in any number, for `price` each; without prices its length is what it costs."""

    length: Length
    price: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar and the pieces cut from it, longest first; `offcut` is what is left after the last cut's kerf."""

    stock: Length
    cuts: tuple[Length, ...]
    offcut: Length
    is_from_rack: bool = False


@dataclass(frozen=True, slots=True)
class CutList:
    """Bars as cut. `total` bought and its proven `bound` are numbers of bars, ticks, or prices, as `measure` says.

    `rack`: the offcuts worth keeping once all is cut, longest first, those not used included.
    """

    bars: tuple[Bar, ...]
    measure: str
    total: Fraction | int
    bound: Fraction | int
    rack: tuple[Length, ...] = ()

    @property
    def used(self) -> int:
        """Bars bought; those from the rack were bought before."""
        return sum(1 for bar in self.bars if not bar.is_from_rack)

    @property
    def proven(self) -> bool:
        return self.total == self.bound

    def bought(self) -> dict[Length, int]:
        """Bars bought of each stock length, the shortest first."""
        return dict(sorted(Counter(bar.stock for bar in self.bars if not bar.is_from_rack).items()))


def cut_stock(pieces: Iterable[Length], stock: Length, kerf: Length = 0, *, effort: Effort = FULL) -> CutList:
    """Cut pieces from one stock length. Each cut takes the kerf, but none is owed at the bar's end.

    Raises CutMistake for a piece that is not positive or longer than the stock.
    """
    return cut_stocks(Counter(pieces), [StockLength(stock)], kerf, effort=effort)


def cut_stocks(
    pieces: Mapping[Length, int],
    stocks: Sequence[StockLength],
    kerf: Length = 0,
    *,
    useful: Length | None = None,
    rack: Iterable[Length] = (),
    effort: Effort = FULL,
) -> CutList:
    """Cut pieces, counted by length, from stock lengths and first from a rack of offcuts.

    Offcuts of at least `useful` join the rack; None keeps none of them. Either every stock has a price or none has.
    Raises CutMistake.
    """
    _check(pieces, stocks, kerf)
    costs, unit = _whole_costs(stocks)
    offcuts = Counter(rack)
    offered = [Stock(length, 0, offcuts[length]) for length in sorted(offcuts)]
    offered += [Stock(stock.length, cost) for stock, cost in zip(stocks, costs, strict=True)]
    offered = [stock for stock in offered if stock.room >= min(pieces, default=0)]
    problem = problem_of(pieces, kerf, offered)
    found = answer(problem, effort)
    by_kind = sorted(pieces, reverse=True)
    bars = []
    lots = found.lots if len(stocks) == 1 else parted(problem, found.lots)
    for lot in sorted(lots, key=lambda lot: (offered[lot.stock].supply is None, lot.stock)):
        bars += [_bar(lot, by_kind, offered[lot.stock], kerf)] * lot.times
    offcuts.subtract(bar.stock for bar in bars if bar.is_from_rack)
    if useful is not None:
        offcuts.update(bar.offcut for bar in bars if bar.offcut >= max(useful, 1))
    priced = stocks[0].price is not None
    measure = BARS if len(stocks) == 1 else COST if priced else LENGTH
    each: Fraction | int = 1 if measure == BARS else unit
    return CutList(
        tuple(bars),
        measure,
        each * sum(offered[lot.stock].cost * lot.times for lot in lots),
        each * found.bound,
        tuple(sorted(offcuts.elements(), reverse=True)),
    )


def _check(pieces: Mapping[Length, int], stocks: Sequence[StockLength], kerf: Length) -> None:
    if not stocks or kerf < 0 or any(stock.length <= 0 for stock in stocks):
        listed = ", ".join(length_text(stock.length) for stock in stocks) or "none"
        raise CutMistake(f"stock {listed} with kerf {length_text(kerf)}: neither may be less than nothing")
    if len({stock.price is None for stock in stocks}) > 1 or any(
        stock.price is not None and stock.price <= 0 for stock in stocks
    ):
        raise CutMistake("prices: either every stock length has one above zero or none has one. Add the missing ones.")
    longest = max(stock.length for stock in stocks)
    for piece in pieces:
        if piece <= 0 or piece > longest:
            raise CutMistake(
                f"piece {length_text(piece)}: cannot be cut from stock of {length_text(longest)}. Add a longer stock."
            )


def _whole_costs(stocks: Sequence[StockLength]) -> tuple[list[int], Fraction]:
    """Costs as small whole numbers, and what one of them stands for."""
    if len(stocks) == 1:
        return [1], Fraction(1)
    costs = [Fraction(stock.length) if stock.price is None else stock.price for stock in stocks]
    unit = Fraction(gcd(*(cost.numerator for cost in costs)), lcm(*(cost.denominator for cost in costs)))
    whole = [cost / unit for cost in costs]
    common = gcd(*(cost.numerator for cost in whole))
    return [cost.numerator // common for cost in whole], unit * common


def _bar(lot: Lot, by_kind: Sequence[Length], stock: Stock, kerf: Length) -> Bar:
    cuts = tuple(by_kind[kind] for kind, many in lot.pattern for _ in range(many))
    offcut = max(0, stock.room - sum(cuts) - kerf * len(cuts))
    return Bar(stock.room, cuts, offcut, is_from_rack=stock.supply is not None)
