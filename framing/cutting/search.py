"""One answer to a cutting problem: simple rules first, the linear program only where they miss the bound.

How far it looks is counted in steps, never in seconds, so the same problem has the same answer on any machine.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass

from framing.cutting.bounds import reachable, simple_bound
from framing.cutting.few_kinds import bound_of_few_kinds
from framing.cutting.filling import best_fit, full_patterns, fullest, shrunk
from framing.cutting.problem import Lot, Problem, cost
from framing.cutting.short_lists import least_plan


@dataclass(frozen=True, slots=True)
class Effort:
    """How far to look. Lists of more than `kinds` lengths keep the simple rules' plan, and their gap is stated."""

    kinds: int = 500
    work: int = 4_000_000_000  # pivots times the square of the rows
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
    bound = simple_bound(problem)
    lots = shrunk(problem, fullest(problem))
    if cost(problem, lots) > bound and problem.is_plain:
        lots = min(lots, best_fit(problem), key=lambda plan: cost(problem, plan))
        bound = max(bound, bound_of_few_kinds(problem))
    if cost(problem, lots) > bound:
        least = least_plan(problem)
        if least is not None:
            return Answer(least, cost(problem, least))
    if cost(problem, lots) > bound and len(problem.sizes) <= effort.kinds:
        return _searched(problem, lots, bound, effort)
    return Answer(lots, bound)


def _searched(problem: Problem, lots: list[Lot], bound: int, effort: Effort) -> Answer:
    # Loaded only here: most lists never need it, and a command should start at once.
    from framing.cutting.columns import Columns
    from framing.cutting.diving import Dive
    from framing.cutting.simplex import Stopped

    columns = Columns(problem, effort.work)
    for lot in lots:
        columns.add(lot.stock, lot.pattern)
    for stock, pattern in full_patterns(problem):
        columns.add(stock, pattern)
    with suppress(Stopped):
        bound = max(bound, reachable(problem, columns.improve(effort.rounds, bound, cost(problem, lots))))
    if cost(problem, lots) > bound:
        lots = shrunk(problem, Dive(columns, lots, bound).run(effort.places))
    return Answer(lots, bound)
