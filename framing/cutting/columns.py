"""Column generation: bars' patterns as columns of a linear program, the dearest ones sought as it asks for them.

P. C. Gilmore, R. E. Gomory, "A linear programming approach to the cutting stock problem", Operations Research 9, 1961.
The program's duals are floating point, so no bound is read off them: they are scaled to whole numbers, the dearest
pattern under them is found exactly, and the bound follows from those alone (A. A. Farley, "A note on bounding a class
of linear programming problems", Operations Research 38, 1990).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from framing.cutting.pricing import Priced, Pricer
from framing.cutting.problem import Lot, Pattern, Problem, Stock, some_left
from framing.cutting.program import Basis, Program

_SCALE = 1 << 36
_GAIN = 1e-8
WHOLE = 1e-3  # nearer to a whole number than this is whole
_LOOK = 2_000  # patterns tried for one bar, while some pattern still pays
_LOOK_LONG = 200_000  # and where none does, to be sure


class Columns:
    """The program for what is left to cut. Costs inside are in units of the dearest stock, so they stay near 1."""

    def __init__(self, problem: Problem, pivots: int) -> None:
        self.problem = problem
        self.left = list(problem.counts)
        self.supply = [stock.supply for stock in problem.stocks]
        self._kinds = len(problem.sizes)
        self._unit = max(stock.cost for stock in problem.stocks)
        limited = [number for number, stock in enumerate(problem.stocks) if stock.supply is not None]
        self._row_of = {number: self._kinds + place for place, number in enumerate(limited)}
        self._pricer = Pricer(problem.sizes, problem.longest_room)
        self._program = Program(self._wanted(), pivots)
        self._column_of: dict[tuple[int, Pattern], int] = {}
        self._what: dict[int, tuple[int, Pattern]] = {}
        for kind in range(self._kinds):
            self.add(*self._alone(kind))

    def add(self, stock: int, pattern: Pattern) -> bool:
        """Offer a pattern; whether it is new."""
        if (stock, pattern) in self._column_of:
            return False
        rows, entries = [kind for kind, _ in pattern], [float(many) for _, many in pattern]
        if stock in self._row_of:
            rows.append(self._row_of[stock])
            entries.append(-1.0)
        column = self._program.add(self.problem.stocks[stock].cost / self._unit, rows, entries)
        self._column_of[stock, pattern] = column
        self._what[column] = (stock, pattern)
        return True

    def take(self, lots: Sequence[Lot], sign: int = 1) -> None:
        """Cut lots off what is left, or with sign -1 put them back. The program knows after `settle`."""
        for lot in lots:
            for kind, many in lot.pattern:
                self.left[kind] -= sign * many * lot.times
            limit = self.supply[lot.stock]
            if limit is not None:
                self.supply[lot.stock] = limit - sign * lot.times

    def settle(self) -> None:
        """Solve the program for what is left. Raises Stopped."""
        self._program.want(self._wanted())
        self._program.solve()

    def basis(self) -> Basis:
        return self._program.basis()

    def restore(self, basis: Basis) -> None:
        """Solve it from a basis of before. Raises Stopped."""
        self._program.restore(basis)
        self.settle()

    def discourage(self, stock: int, pattern: Pattern, sign: int = 1) -> None:
        """Make a pattern cost a bar more, or with sign -1 what it costs again."""
        self.add(stock, pattern)
        self._program.recost(self._column_of[stock, pattern], float(sign))

    @property
    def objective(self) -> float:
        """What is left costs at least about this, by the patterns known so far."""
        return self._program.objective * self._unit

    def whole_parts(self) -> list[Lot]:
        """The whole bars of the present solution, taken off what is left."""
        lots = []
        for amount, stock, pattern in self.amounts():
            times = min([int(amount + WHOLE), *(self.left[kind] // many for kind, many in pattern)])
            if times > 0:
                lots.append(Lot(stock, pattern, times))
                self.take(lots[-1:])
        return lots

    def rest(self) -> tuple[list[int], Problem]:
        """What is left as a problem of its own, and the kinds that its kinds are."""
        pairs = zip(self.problem.stocks, self.supply, strict=True)
        stocks = tuple(Stock(stock.room, stock.cost, limit) for stock, limit in pairs)
        return some_left(replace(self.problem, stocks=stocks), self.left)

    def amounts(self) -> list[tuple[float, int, Pattern]]:
        """(bars, stock, pattern) of the present solution."""
        return [(amount, *self._what[column]) for amount, column in self._program.amounts()]

    def improve(self, rounds: int, enough: Fraction | int, known: int) -> Fraction:
        """Add patterns while they pay; answers the best proven bound on the cost of what is left.

        Stops where the program's cost is down to `enough`, or where the bound shows `known` to be the least or can
        grow by no whole unit of cost any more. Raises Stopped.
        """
        best = Fraction(0)
        for _ in range(rounds):
            self._program.solve()
            if self.objective <= enough + self._unit * 1e-3:
                break
            is_new, bound = self._price()
            best = max(best, bound)
            if not is_new or best > known - 1 or -(-best // 1) >= -(-(self.objective - 1e-3) // 1):
                break
        return best

    def _price(self) -> tuple[bool, Fraction]:
        """Offer the dearest patterns; whether one was new and pays, and the bound that their worth proves."""
        duals = self._program.duals
        worth = [max(0, int(value * _SCALE)) for value in duals[: self._kinds]]
        found = self._dearest(worth, _LOOK)
        is_new = self._offer(duals, found)
        if not is_new and not all(priced.is_whole for priced in found):
            found = self._dearest(worth, _LOOK_LONG)
            is_new = self._offer(duals, found)
        return is_new, self.bound(worth, [priced.most for priced in found])

    def bound(self, worth: Sequence[int], most: Sequence[int]) -> Fraction:
        """What is left costs at least this, where a bar of stock s never holds pieces worth more than most[s].

        With the dearest unlimited stock worth `rate` per cost, bars of limited stocks can be worth more than that by
        their supply times what they exceed it.
        """
        stocks = self.problem.stocks
        rate = max(Fraction(most[n], stock.cost) for n, stock in enumerate(stocks) if stock.supply is None)
        if not rate:
            return Fraction(0)
        wanted = sum(each * many for each, many in zip(worth, self.left, strict=True))
        beyond = sum(
            (limit * max(Fraction(0), most[n] - rate * stocks[n].cost) for n, limit in enumerate(self.supply) if limit),
            Fraction(0),
        )
        return max(Fraction(0), (wanted - beyond) / rate)

    def _dearest(self, worth: Sequence[int], tries: int) -> list[Priced]:
        return self._pricer.dearest(worth, self.left, [stock.room for stock in self.problem.stocks], tries)

    def _offer(self, duals: Sequence[float], found: Sequence[Priced]) -> bool:
        """Add the patterns that pay; whether any did."""
        is_new = False
        for number, priced in enumerate(found):
            if self.supply[number] == 0:
                continue
            charge = duals[self._row_of[number]] if number in self._row_of else 0.0
            price = self.problem.stocks[number].cost / self._unit + charge
            for pattern in priced.patterns:
                if sum(duals[kind] * many for kind, many in pattern) > price + _GAIN:
                    is_new |= self.add(number, pattern)
        return is_new

    def _wanted(self) -> list[int]:
        return [*self.left, *(-limit for limit in self.supply if limit is not None)]

    def _alone(self, kind: int) -> tuple[int, Pattern]:
        """A bar with one kind only, from the cheapest stock without a limit."""
        size, stocks = self.problem.sizes[kind], self.problem.stocks
        _, number = min((s.cost, n) for n, s in enumerate(stocks) if s.supply is None and s.room >= size)
        return number, ((kind, min(self.problem.counts[kind], stocks[number].room // size)),)
