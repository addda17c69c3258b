"""Whole plans from the linear program: fix bars it is nearly sure of, ask it again, turn back where it costs too much.

A search in depth that turns back once at each place, then from the start again three times, then nine times. At every
place the rest is also filled by the simple rule, and the first plan that costs no more than the proven bound ends it.
"""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass, field

from framing.cutting.blame import blamed
from framing.cutting.columns import WHOLE, Columns
from framing.cutting.filling import fullest
from framing.cutting.problem import Lot, Pattern, cost, renamed
from framing.cutting.program import Basis, Stopped

_ROUNDS = 60  # of new patterns at one place
_ROUNDS_FIRST = 300
_TRIES = 300
_SHORT = 400  # pieces left, from where on the simple rule is used again and again
_SURE = 0.9  # fractions of a bar from here on are fixed together
_TURNS = (1, 3, 9)


@dataclass(slots=True)
class _Place:
    """Where the search stands: the lots fixed to come here, the program's basis, patterns tried in vain from here."""

    lots: list[Lot]
    basis: Basis
    in_vain: list[tuple[int, Pattern]] = field(default_factory=list)


class Dive:
    """`lots` is the cheapest plan known; `run` looks for a cheaper one."""

    def __init__(self, columns: Columns, lots: list[Lot], bound: int) -> None:
        self.lots = lots
        self._least = cost(columns.problem, lots)
        self._goal = bound
        self._columns = columns
        self._places: list[_Place] = []

    def run(self, places: int) -> list[Lot]:
        """Look at up to so many places. Answers the cheapest plan.

        The first goal is the bound; where it is not met, half way from there to the cheapest plan, and so on.
        """
        low = self._goal
        with suppress(Stopped):
            self._improve(_ROUNDS_FIRST)
            start = self._columns.basis()
            while places > 0 and self._least > low:
                places = self._seek(start, places)
                if self._least > self._goal:
                    low = self._goal + 1
                self._goal = (low + self._least - 1) // 2
        return self.lots

    def _seek(self, start: Basis, places: int) -> int:
        """Look for a plan that costs no more than the goal; answers how many places may still be looked at."""
        for turns in _TURNS:
            self._columns.restore(start)
            self._places = [_Place([], start)]
            while self._places and self._least > self._goal and places > 0:
                places -= 1
                self._fill_rest()
                if len(self._places[-1].in_vain) > turns or not self._down():
                    self._back()
            while self._places:
                self._undo()
        return places

    def _fixed(self) -> list[Lot]:
        return [lot for place in self._places for lot in place.lots]

    def _improve(self, rounds: int) -> None:
        """New patterns, until what is left can be had, by the program, within the bound."""
        fixed = cost(self._columns.problem, self._fixed())
        self._columns.improve(rounds, self._goal - fixed, self._least - fixed)

    def _fill_rest(self) -> None:
        fixed = self._fixed()
        kinds, rest = self._columns.rest()
        known = cost(rest, fixed)
        tails: Iterable[list[Lot]] = [[]]
        if kinds:
            is_short = rest.is_plain and sum(rest.counts) <= _SHORT
            tails = blamed(rest, self._goal - known) if is_short else [fullest(rest, _TRIES)]
        for tail in tails:
            total = known + cost(rest, tail)
            if total < self._least:
                self._least, self.lots = total, fixed + renamed(tail, kinds)

    def _down(self) -> bool:
        """Fix more bars; False where the bound cannot be kept from here, or nothing is left to fix."""
        columns = self._columns
        fixed = cost(columns.problem, self._fixed())
        if fixed + columns.objective > self._goal + 1e-3 * self._unit:
            return False
        lots = self._chosen()
        if not lots:
            return False
        columns.settle()
        self._places.append(_Place(lots, columns.basis()))
        self._improve(_ROUNDS)
        self._places[-1].basis = columns.basis()
        return True

    def _back(self) -> None:
        """Up one place, and away from the bar it was least sure of there."""
        gone = self._undo()
        if not self._places:
            return
        place, unsure = self._places[-1], gone.lots[-1]
        self._columns.restore(place.basis)
        self._columns.discourage(unsure.stock, unsure.pattern)
        place.in_vain.append((unsure.stock, unsure.pattern))
        self._improve(_ROUNDS)
        place.basis = self._columns.basis()

    def _undo(self) -> _Place:
        gone = self._places.pop()
        self._columns.take(gone.lots, -1)
        for stock, pattern in gone.in_vain:
            self._columns.discourage(stock, pattern, -1)
        return gone

    @property
    def _unit(self) -> int:
        return max(stock.cost for stock in self._columns.problem.stocks)

    def _chosen(self) -> list[Lot]:
        """Bars to fix: the whole ones, then those nearly whole, and one at least. They are cut off what is left."""
        amounts = [(amount, stock, pattern) for amount, stock, pattern in self._columns.amounts() if amount > WHOLE]
        chosen = [lot for amount, stock, pattern in amounts if (lot := self._lot(stock, pattern, int(amount + WHOLE)))]
        parts = sorted(
            (int(amount + WHOLE) - amount, stock, pattern)
            for amount, stock, pattern in amounts
            if amount - int(amount + WHOLE) > WHOLE
        )
        for part, stock, pattern in parts:
            if chosen and -part < _SURE:
                break
            lot = self._lot(stock, pattern, 1)
            if lot:
                chosen.append(lot)
        return chosen

    def _lot(self, stock: int, pattern: Pattern, times: int) -> Lot | None:
        """Up to so many bars of a pattern, without the pieces that are all cut; taken off what is left."""
        columns = self._columns
        pattern = tuple((kind, min(many, columns.left[kind])) for kind, many in pattern if columns.left[kind])
        limit = columns.supply[stock]
        times = min(
            [times, *([] if limit is None else [limit]), *(columns.left[kind] // many for kind, many in pattern)]
        )
        if not pattern or not times:
            return None
        lot = Lot(stock, pattern, times)
        columns.take([lot])
        return lot
