"""The least number of stock sheets, and the least area bought, that any way of cutting some rectangles needs: proven.

A rectangle keeps its direction (`framing.sheetcut`). Its worth is a product, one factor for its width across the sheet
and one for its length along it, each a dual feasible function: where widths add up to no more than a sheet's, their
factors add up to no more than one, and so for lengths. Then no sheet holds rectangles worth more than one (S. P.
Fekete, J. Schepers, "A general framework for bounds for higher-dimensional orthogonal packing problems", Mathematical
Methods of Operations Research 60, 2004), whether it is cut by straight scores or any other way. The functions: the
share itself; nothing under a threshold, all above what is left beside it (Martello and Toth's L2); whole steps
counted, long ones by what they leave (J. Carlier, F. Clautiaux, A. Moukrim, "New reduction procedures and lower bounds
for the two-dimensional bin packing problem", Computers & Operations Research 34, 2007). All in whole numbers.

With several stock lengths, rectangles longer than the second longest need sheets of the longest, and so on down; the
sheets of each length or longer are bounded by themselves, and the area by what these add up to, or by the area cut.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from math import gcd
from typing import NamedTuple, TypeAlias

from framing.count import LevelCount
from framing.cutlist import cut_stock
from framing.cutting.search import Effort
from framing.length import Length
from framing.products import Board
from framing.sheetcut import size_as_cut

Sizes: TypeAlias = Mapping[tuple[Length, Length], int]
"""How many rectangles of each (across, along)."""

_ACROSS, _ALONG = 48, 8  # thresholds tried each way; of more kinds of width or length a sample is taken
_STRIPS = Effort(kinds=0)  # strips side by side: by rules and written-out fillings, without a linear program


class _Scale(NamedTuple):
    """A dual feasible function as whole numbers: no set of lengths that fits is worth more than `whole`."""

    whole: int
    worth: Callable[[Length], int]


@dataclass(frozen=True, slots=True)
class BoardStock:
    """The stock of one board on one level beside its bounds: sheets by length, shortest first; areas in square ticks.

    `least_sheets`, `least_area`: no way of cutting the level's pieces needs less, in number or in area.
    """

    board: str
    width: Length
    sheets: Mapping[Length, int]
    bought: int
    least_sheets: int
    least_area: int

    @property
    def count(self) -> int:
        return sum(self.sheets.values())

    def bound(self, length: Length) -> int:
        """The least number of sheets of one length, with the others bought as they are."""
        own = self.sheets.get(length, 0)
        each = self.width * length
        by_area = -((self.bought - own * each - self.least_area) // each)
        return max(0, own - (self.count - self.least_sheets), by_area)

    @property
    def is_least(self) -> bool:
        """Whether both the number and the area are proven to be the least."""
        return self.count == self.least_sheets and self.bought == self.least_area


def board_stock(level: LevelCount) -> list[BoardStock]:
    """Every board of a level, by name, as bought and with what is proven."""
    boards: dict[str, Board] = {}
    sizes: dict[str, Counter[tuple[Length, Length]]] = defaultdict(Counter)
    for wall in level.walls:
        kind = wall.wall.type
        boards |= {board.name: board for board in kind.left + kind.right}
        for sheet in wall.sheets:
            sizes[sheet.board][size_as_cut(sheet, boards[sheet.board])] += 1
    used: dict[str, Counter[Length]] = defaultdict(Counter)
    for stock in level.stock_sheets:
        used[stock.board][stock.length] += 1
    found = []
    for name, pieces in sorted(sizes.items()):
        board, own = boards[name], used[name]
        bought = board.width * sum(length * count for length, count in own.items())
        sheets, area = sheet_bounds(pieces, board, own)
        found.append(BoardStock(name, board.width, dict(sorted(own.items())), bought, sheets, area))
    return found


def sheet_bounds(sizes: Sizes, board: Board, used: Mapping[Length, int]) -> tuple[int, int]:
    """(sheets, square ticks) that these rectangles need at least. `used`: sheets by length that do, so that no more is
    sought than they are.

    Every rectangle fits in the board's width and in its longest length.
    """
    lengths = sorted(board.lengths)
    longer: list[int] = []  # sheets of each length or longer
    last: tuple[Sizes, int] = {}, 0
    short_of = 0
    for length in lengths:
        own = {size: count for size, count in sizes.items() if size[1] > short_of}
        if own != last[0]:
            known = sum(count for stock, count in used.items() if stock >= length)
            last = own, _least_sheets(own, board.width, lengths[-1], known)
        longer.append(last[1])
        short_of = length
    longer = [max(longer[place:]) for place in range(len(longer))]
    steps = [length - before for length, before in zip(lengths, [0, *lengths], strict=False)]
    along = sum(step * count for step, count in zip(steps, longer, strict=True))
    cut = sum(across * length * count for (across, length), count in sizes.items())
    return longer[0], board.width * max(along, _reachable(-(-cut // board.width), lengths))


def _reachable(least: Length, lengths: list[Length]) -> Length:
    """The least sum of stock lengths that is no less; where the lengths share no handy measure, what is given."""
    grain = gcd(*lengths)
    low, parts = -(-least // grain), [length // grain for length in lengths]
    if low > 100_000 or parts[0] > 1_000:
        return max(least, 0)
    reach = 1
    for part in parts:
        many = part
        while many <= low + parts[0]:
            reach |= reach << many
            many *= 2
        reach &= (1 << (low + parts[0] + 1)) - 1
    rest = reach >> low
    return (low + (rest & -rest).bit_length() - 1) * grain


def _least_sheets(sizes: Sizes, width: Length, length: Length, known: int) -> int:
    """Sheets of one size that these rectangles need at least."""
    if not sizes:
        return 0
    best = 0
    wide = sorted({across for across, _ in sizes})
    long = sorted({along for _, along in sizes})
    across_scales = list(_scales(wide, width, _ACROSS))
    across_worth = [(scale.whole, {size: scale.worth(size) for size in wide}) for scale in across_scales]
    for along in _scales(long, length, _ALONG):
        of_length = {size: along.worth(size) for size in long}
        by_width: dict[Length, int] = defaultdict(int)
        for (across, own), count in sizes.items():
            by_width[across] += of_length[own] * count
        wanted = [(across, worth) for across, worth in by_width.items() if worth]
        for whole, of_width in across_worth:
            total = sum(of_width[across] * worth for across, worth in wanted)
            best = max(best, -(-total // (whole * along.whole)))
        if best == known:
            return best
    strips: Counter[Length] = Counter()
    for (across, own), count in sizes.items():
        if 2 * own > length:  # no two of these share a strip: they stand side by side
            strips[across] += count
    if strips:
        best = max(best, int(cut_stock(strips.elements(), width, effort=_STRIPS).bound))
    return best


def _scales(sizes: list[Length], room: Length, most: int) -> Iterator[_Scale]:
    """Dual feasible functions for a room, those of most use first."""
    yield _Scale(1, lambda size: int(2 * size > room))
    yield _Scale(room, lambda size: size)
    for least in _sampled([size for size in sizes if 2 * size <= room], most):
        yield _Scale(room, _threshold(room, least))
    half = bisect_left(sizes, room // 2 + 1)
    steps = sorted({*sizes[:half], *(room - size + 1 for size in sizes[half:])})
    for step in _sampled([step for step in steps if 0 < 2 * step <= room], most):
        yield _Scale(2 * (room // step), _steps(room, step))


def _sampled(values: list[Length], most: int) -> Iterable[Length]:
    return values[:: -(-len(values) // most) or 1]


def _threshold(room: Length, least: Length) -> Callable[[Length], int]:
    def worth(size: Length) -> int:
        return 0 if size < least else room if size > room - least else size

    return worth


def _steps(room: Length, step: Length) -> Callable[[Length], int]:
    whole = room // step

    def worth(size: Length) -> int:
        if 2 * size == room:
            return whole
        return 2 * (size // step) if 2 * size < room else 2 * (whole - (room - size) // step)

    return worth
