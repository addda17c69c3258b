"""How far past weeks lie apart: paces by operation, and what weeks paid for each unit of piece money. Exact figures."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from payroll.law import week as w
from payroll.law.bid import Key, history_of
from payroll.law.earnings import NONE, paid

# Fewer than these say little; the house's own rule.
LEAST_WEEKS, LEAST_PEOPLE = 8, 3


@dataclass(frozen=True, slots=True)
class Spread:
    """A figure over weeks of people: a quarter of them lie at `low` or below, half at `middle`, three at `high`."""

    low: Fraction
    middle: Fraction
    high: Fraction
    weeks: int
    people: int

    @property
    def thin(self) -> bool:
        return self.weeks < LEAST_WEEKS or self.people < LEAST_PEOPLE


@dataclass(frozen=True, slots=True)
class Spreads:
    """Units an hour by operation; `cost` is all pay of a week over its piece earnings, None without any week."""

    paces: dict[Key, Spread]
    cost: Spread | None


def spreads_of(weeks: Iterable[tuple[w.WorkerWeek, w.PricedWeek]]) -> Spreads:
    """Each person's week counts as one, whatever its length. People are told apart by `worker_name`."""
    paces: dict[Key, list[tuple[Fraction, str]]] = {}
    costs: list[tuple[Fraction, str]] = []
    for week, priced in weeks:
        for done in history_of([(week, priced)]).done:
            if done.hours and done.quantity:
                paces.setdefault((done.operation, done.unit), []).append((done.units_an_hour, week.worker_name))
        earned = paid(line for line in priced.lines if line.code == "piece")
        if earned:
            costs.append((Fraction(priced.gross) / Fraction(earned), week.worker_name))
    return Spreads({key: _spread(found) for key, found in paces.items()}, _spread(costs) if costs else None)


def _spread(found: Sequence[tuple[Fraction, str]]) -> Spread:
    figures = sorted(figure for figure, _ in found)
    low, middle, high = (nearest_rank(figures, Fraction(part, 4)) for part in (1, 2, 3))
    return Spread(low, middle, high, len(figures), len({name for _, name in found}))


def nearest_rank(in_order: Sequence[Fraction], part: Fraction) -> Fraction:
    """The smallest figure with at least `part` of all figures at or below it: of 1..8 a quarter gives 2."""
    rank = -(-part.numerator * len(in_order) // part.denominator)
    return in_order[max(rank, 1) - 1] if in_order else NONE
