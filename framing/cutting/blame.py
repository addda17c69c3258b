"""The simple rule again and again, each time with those kinds earlier whose bars wasted most the time before.

What fits badly goes while there is still choice beside it (D. P. Clements, D. E. Joslin, "Squeaky wheel optimization",
Journal of Artificial Intelligence Research 10, 1999).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from framing.cutting.filling import fullest
from framing.cutting.problem import Lot, Problem, cost, filled

_RUNS = 30
PATIENCE = 5  # runs without a better plan
LONG_PATIENCE = 12  # where runs are short
_SCALE = 1 << 20
_SHARE = 3  # the kind blamed most moves up by a third of a bar's length


def blamed(problem: Problem, bound: int, patience: int = PATIENCE) -> Iterator[list[Lot]]:
    """Plans of one stock, until one costs no more than the bound or none has been better for a while."""
    room = problem.stocks[0].room
    rank = [_SCALE * size // room for size in problem.sizes]
    least = waited = 0
    for _ in range(_RUNS):
        lots = fullest(problem, order=sorted(range(len(rank)), key=lambda kind: -rank[kind]))
        yield lots
        total = cost(problem, lots)
        is_better = not least or total < least
        least, waited = (total, 0) if is_better else (least, waited + 1)
        if least <= bound or waited == patience:
            return
        blame = _blame(problem, lots)
        most = max(blame)
        rank = [each + _SCALE * part // (_SHARE * most) for each, part in zip(rank, blame, strict=True)]


def _blame(problem: Problem, lots: Sequence[Lot]) -> list[int]:
    """What is wasted beside a piece of each kind, in the mean."""
    room = problem.stocks[0].room
    blame = [0] * len(problem.sizes)
    for lot in lots:
        wasted = (room - filled(problem, lot.pattern)) * lot.times
        for kind, many in lot.pattern:
            blame[kind] += wasted * many
    return [_SCALE * wasted // count for wasted, count in zip(blame, problem.counts, strict=True)]
