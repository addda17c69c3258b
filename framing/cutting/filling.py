"""Plans by simple rules: fill one bar after another as full as it goes, or put each piece where it fits best.

Both take time in proportion to the pieces, near enough, and mostly meet the bound where lengths are mixed. "Fullest"
is the minimum bin slack rule with the longest piece fixed (J. N. D. Gupta, J. C. Ho, "A new heuristic algorithm for
the one-dimensional bin-packing problem", Production Planning & Control 10, 1999), here on counted kinds of piece.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections import Counter
from collections.abc import Iterable, Sequence
from fractions import Fraction

from framing.cutting.problem import Lot, Pattern, Problem, filled

TRIES = 500  # pieces tried for one bar, before the fullest filling found so far is taken
_SEED_TRIES = 200


def fullest(problem: Problem, tries: int = TRIES, order: Sequence[int] | None = None) -> list[Lot]:
    """The longest piece left, then the fullest filling of the rest of its bar; repeated while pieces last.

    With `order`, a list of all kinds, the first of it that is left instead of the longest. Of several stocks the one
    that costs least for what is used of it is taken, of equals the one that wastes least.
    """
    sizes = [-size for size in problem.sizes]
    left, kinds = list(problem.counts), list(range(len(problem.sizes)))
    supply = [stock.supply for stock in problem.stocks]
    lots = []
    for kind in order or range(len(problem.sizes)):
        while (first := bisect_left(kinds, kind)) < len(kinds) and kinds[first] == kind:
            number, counts = _next_bar(problem, sizes, left, supply, first, tries)
            times = min(left[place] // many for place, many in counts.items())
            limit = supply[number]
            if limit is not None:
                times = min(times, limit)
                supply[number] = limit - times
            lots.append(Lot(number, tuple((kinds[place], many) for place, many in sorted(counts.items())), times))
            for place in sorted(counts, reverse=True):
                left[place] -= counts[place] * times
                if not left[place]:
                    del left[place], sizes[place], kinds[place]
    return lots


def _next_bar(
    problem: Problem, sizes: list[int], left: list[int], supply: list[int | None], first: int, tries: int
) -> tuple[int, Counter[int]]:
    """Stock and filling for the piece at place `first`, which is in it."""
    size = -sizes[first]
    best: tuple[Fraction, int, int] | None = None
    counts: Counter[int] = Counter()
    left[first] -= 1
    for number, stock in enumerate(problem.stocks):
        if stock.room < size or supply[number] == 0:
            continue
        full, found = _fill(sizes, left, stock.room - size, tries)
        full += size
        rank = (Fraction(stock.cost, full), stock.room - full, number)
        if best is None or rank < best:
            best, counts = rank, Counter(dict(found))
    left[first] += 1
    if best is None:
        raise ValueError("a piece is longer than every stock")
    counts[first] += 1
    return best[2], counts


def _fill(sizes: Sequence[int], left: Sequence[int], room: int, tries: int) -> tuple[int, Pattern]:
    """The fullest filling of a room and its pattern by place; `sizes` are negative, so rising. Longest pieces first."""
    best = 0
    best_pattern: tuple[tuple[int, int], ...] = ()
    chosen: list[tuple[int, int]] = []
    shortest = -sizes[-1]

    def deeper(place: int, rest: int) -> bool:
        nonlocal best, best_pattern, tries
        first = bisect_left(sizes, -rest, place)
        if rest < 2 * shortest:  # one more piece at most: the longest that goes in
            tries -= 1
            while first < len(sizes) and not left[first]:
                first += 1
            if first < len(sizes) and room - rest - sizes[first] > best:
                best, best_pattern = room - rest - sizes[first], (*chosen, (first, 1))
            return best == room or tries < 0
        for at in range(first, len(sizes)):
            size = -sizes[at]
            for many in range(min(left[at], rest // size), 0, -1):
                tries -= 1
                after = rest - many * size
                chosen.append((at, many))
                if room - after > best:
                    best, best_pattern = room - after, tuple(chosen)
                if not after or tries < 0 or (after >= shortest and deeper(at + 1, after)):
                    return True
                chosen.pop()
        return False

    if room >= shortest:
        deeper(0, room)
    return best, best_pattern


def full_patterns(problem: Problem, starts: int = 3) -> list[tuple[int, Pattern]]:
    """For every kind and stock a few very full bars that hold it, the next piece sought from `starts` places on."""
    sizes, left = [-size for size in problem.sizes], list(problem.counts)
    found: dict[tuple[int, Pattern], None] = {}
    for number, stock in enumerate(problem.stocks):
        for kind, size in enumerate(problem.sizes):
            if size > stock.room:
                continue
            left[kind] -= 1
            for start in range(starts):
                at = kind + (len(sizes) - kind) * start // starts
                _, rest = _fill(sizes[at:], left[at:], stock.room - size, _SEED_TRIES)
                counts = Counter({at + place: many for place, many in rest})
                counts[kind] += 1
                found[number, tuple(sorted(counts.items()))] = None
            left[kind] += 1
    return list(found)


def best_fit(problem: Problem) -> list[Lot]:
    """Longest piece first, each into the bar that it leaves the least room in; of the one stock of a plain problem.

    Never more than 11/9 of the least number and 4 bars (decreasing orders; D. S. Johnson, 1974; from memory).
    """
    room = problem.stocks[0].room
    bars: list[Counter[int]] = []
    free: list[tuple[int, int]] = []  # room left, bar; by room
    for kind, (size, count) in enumerate(zip(problem.sizes, problem.counts, strict=True)):
        todo = count
        while todo:
            place = bisect_left(free, (size, -1))
            if place < len(free):
                left, number = free.pop(place)
            else:
                left, number = room, len(bars)
                bars.append(Counter())
            many = min(todo, left // size)
            bars[number][kind] += many
            todo -= many
            insort(free, (left - many * size, number))
    return [Lot(0, pattern, times) for pattern, times in Counter(tuple(sorted(bar.items())) for bar in bars).items()]


def shrunk(problem: Problem, lots: Iterable[Lot]) -> list[Lot]:
    """Each lot moved to the stock that costs least of those that hold it and are left."""
    supply = [stock.supply for stock in problem.stocks]
    found = list(lots)
    for lot in found:
        limit = supply[lot.stock]
        if limit is not None:
            supply[lot.stock] = limit - lot.times
    for place, lot in enumerate(found):
        taken = filled(problem, lot.pattern)
        choices = [
            (stock.cost, stock.room, number)
            for number, stock in enumerate(problem.stocks)
            if stock.room >= taken and _enough(supply[number], lot.times)
        ]
        here = problem.stocks[lot.stock]
        if choices and min(choices)[0] < here.cost:
            number = min(choices)[2]
            for stock, change in ((lot.stock, lot.times), (number, -lot.times)):
                limit = supply[stock]
                if limit is not None:
                    supply[stock] = limit + change
            found[place] = Lot(number, lot.pattern, lot.times)
    return found


def parted(problem: Problem, lots: Iterable[Lot]) -> list[Lot]:
    """Bars of several pieces taken apart into shorter ones wherever that costs no more: fewer cuts, less to carry."""
    stocks = [(stock.cost, stock.room, number) for number, stock in enumerate(problem.stocks) if stock.supply is None]
    todo, found = list(lots), []
    while todo:
        lot = todo.pop()
        parts = _apart(problem, lot, stocks)
        if parts:
            todo += parts
        else:
            found.append(lot)
    return found[::-1]


def _apart(problem: Problem, lot: Lot, stocks: Sequence[tuple[int, int, int]]) -> list[Lot]:
    """One piece and the rest of a bar, each in a stock of its own, for no more than the bar costs; else nothing."""
    if sum(many for _, many in lot.pattern) < 2:
        return []
    taken = filled(problem, lot.pattern)
    for kind, _ in lot.pattern:
        size = problem.sizes[kind]
        alone = min(stock for stock in stocks if stock[1] >= size)
        beside = min((stock for stock in stocks if stock[1] >= taken - size), default=None)
        if beside and alone[0] + beside[0] <= problem.stocks[lot.stock].cost:
            rest = Counter(dict(lot.pattern))
            rest[kind] -= 1
            pattern = tuple(sorted((one, many) for one, many in rest.items() if many))
            return [Lot(alone[2], ((kind, 1),), lot.times), Lot(beside[2], pattern, lot.times)]
    return []


def _enough(supply: int | None, times: int) -> bool:
    return supply is None or supply >= times
