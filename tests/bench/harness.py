"""How a figure is taken: ours and its limit run in turns in one process, so that both meet the same machine.

A module of `tests.bench` named `bench_*.py` offers `figures()`, a list of `Figure`. A figure's `ours` and `limit` do
one round of work each and answer how many units they did (walls, entries, rows). Rates are compared round by round;
the median of those ratios is the figure, with the smallest and the largest beside it.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Figure:
    """One comparison. `goal` is a ratio of ours to the limit: of rates ("at least") or of times ("at most").

    `limit` may be None where the goal is a plain rate in units per second.
    """

    name: str
    unit: str
    ours: Callable[[], int]
    limit: Callable[[], int] | None
    limit_is: str
    goal: float
    goal_is: Literal["at least", "at most"]
    rounds: int = 7


@dataclass(frozen=True, slots=True)
class Taken:
    """A figure as taken: median units per second of ours and of the limit, and the ratios of the rounds."""

    figure: Figure
    ours_rate: float
    limit_rate: float | None
    ratios: tuple[float, ...]

    @property
    def ratio(self) -> float:
        return statistics.median(self.ratios)

    @property
    def reached(self) -> bool:
        return self.ratio >= self.figure.goal if self.figure.goal_is == "at least" else self.ratio <= self.figure.goal


def take(figure: Figure, clock: Callable[[], float] = time.perf_counter) -> Taken:
    """Run both sides once unmeasured, then `rounds` times in turns; which goes first alternates."""
    sides = [figure.ours] if figure.limit is None else [figure.ours, figure.limit]
    for side in sides:
        side()
    rates: dict[int, list[float]] = {index: [] for index in range(len(sides))}
    for turn in range(figure.rounds):
        order = list(enumerate(sides))
        for index, side in order if turn % 2 == 0 else reversed(order):
            began = clock()
            units = side()
            rates[index].append(units / (clock() - began))
    if figure.limit is None:
        return Taken(figure, statistics.median(rates[0]), None, tuple(rates[0]))
    ratios = [ours / limit for ours, limit in zip(rates[0], rates[1], strict=True)]
    if figure.goal_is == "at most":
        ratios = [1 / ratio for ratio in ratios]
    return Taken(figure, statistics.median(rates[0]), statistics.median(rates[1]), tuple(ratios))


def line(taken: Taken) -> str:
    """One figure as three lines of text: both rates, how they compare, and whether the goal is reached."""
    figure = taken.figure
    rates = f"{taken.ours_rate:,.1f} {figure.unit}/s"
    if taken.limit_rate is None:
        compared = f"{taken.ratio:,.1f} {figure.unit}/s in the median round"
    else:
        rates += f"; {figure.limit_is}: {taken.limit_rate:,.1f} {figure.unit}/s"
        of = "of the rate" if figure.goal_is == "at least" else "times the time"
        compared = f"{taken.ratio:.2f} {of} of the latter in the median round"
    spread = f"{min(taken.ratios):,.2f} to {max(taken.ratios):,.2f} in {len(taken.ratios)} rounds"
    verdict = "reached" if taken.reached else "not reached"
    return f"{figure.name}\n  {rates}\n  {compared} ({spread}); goal {figure.goal_is} {figure.goal:,g}: {verdict}"
