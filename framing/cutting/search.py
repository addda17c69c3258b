"""One answer to a cutting problem: simple rules first, the linear program only where they miss the bound.

How far it looks is counted in steps, never in seconds, so the same problem has the same answer on any machine.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING

from framing.cutting.blame import LONG_PATIENCE, blamed
from framing.cutting.bounds import by_length, reachable, simple_bound
from framing.cutting.few_kinds import bound_of_few_kinds
from framing.cutting.filling import best_fit, full_patterns, fullest, shrunk
from framing.cutting.pairs import paired
from framing.cutting.problem import Lot, Problem, cost, renamed, some_left
from framing.cutting.short_lists import least_plan

if TYPE_CHECKING:
    from framing.cutting.columns import Columns


@dataclass(frozen=True, slots=True)
class Effort:
    """How far to look. Of more lengths than `kinds` the linear program is left out, and of more than `often` the simple
    rules are used once only; then a gap may stay, and is stated."""

    kinds: int = 500
    often: int = 2_000
    pivots: int = 25_000
    rounds: int = 2_000  # of new patterns
    places: int = 200


FULL = Effort()


@dataclass(frozen=True, slots=True)
class Answer:
    """A plan, and the proven least cost."""

    lots: list[Lot]
    bound: int


def answer(problem: Problem, effort: Effort = FULL) -> Answer:
    """Cut everything: a plan and a bound that no plan beats."""
    if not problem.is_plain:
        return _answered(problem, effort)
    lots, left = paired(problem)
    kinds, rest = some_left(problem, left)
    found = _answered(rest, effort) if kinds else Answer([], 0)
    return Answer(lots + renamed(found.lots, kinds), cost(problem, lots) + found.bound)


def _answered(problem: Problem, effort: Effort) -> Answer:
    bound = simple_bound(problem)
    plans = [shrunk(problem, fullest(problem))]
    if cost(problem, plans[0]) > bound and problem.is_plain:
        plans.append(best_fit(problem))
        bound = max(bound, bound_of_few_kinds(problem))
    lots = min(plans, key=lambda plan: cost(problem, plan))
    if cost(problem, lots) > bound:
        least = least_plan(problem)
        if least is not None:
            return Answer(least, cost(problem, least))
    if cost(problem, lots) > bound and problem.is_plain and len(problem.sizes) <= effort.often:
        plans += blamed(problem, bound)
        lots = min(plans, key=lambda plan: cost(problem, plan))
    if cost(problem, lots) > bound and len(problem.sizes) <= effort.kinds:
        return _searched(problem, lots, plans, bound, effort)
    return Answer(lots, bound)


def _searched(problem: Problem, lots: list[Lot], plans: list[list[Lot]], bound: int, effort: Effort) -> Answer:
    # Loaded only here: most lists never need it, and a command should start at once.
    from framing.cutting.columns import Columns
    from framing.cutting.diving import Dive
    from framing.cutting.program import Stopped

    columns = Columns(problem, effort.pivots)
    for stock, pattern in full_patterns(problem) if not problem.is_plain else ():
        columns.add(stock, pattern)
    for lot in (lot for plan in plans for lot in plan):
        columns.add(lot.stock, lot.pattern)
    with suppress(Stopped):
        bound = max(bound, reachable(problem, columns.improve(effort.rounds, by_length(problem), cost(problem, lots))))
    lots = min([lots, *_rounded(columns, bound)], key=lambda plan: cost(problem, plan))
    if cost(problem, lots) > bound:
        lots = shrunk(problem, Dive(columns, lots, bound).run(effort.places))
    return Answer(lots, bound)


def _rounded(columns: Columns, bound: int) -> Iterator[list[Lot]]:
    """Plans of the program's whole bars, and the rest filled by the simple rule."""
    whole = columns.whole_parts()
    kinds, rest = columns.rest()
    columns.take(whole, -1)
    if not kinds:
        yield whole
    elif rest.is_plain:
        for end in blamed(rest, bound - cost(columns.problem, whole), LONG_PATIENCE):
            yield whole + renamed(end, kinds)
