"""Steel for one level after another, out of one cutting of all: what is left of one level is used on the next.

The pieces of all levels together need the fewest bars. Each bar is bought for the lowest level that has a piece in it;
what is left of it then waits on the rack for the level of its next piece. Where that is too short to be kept, the
later level's pieces are cut ahead, with the first, and carried up.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

from framing.cutlist import BARS, Bar, StockLength, cut_stocks
from framing.length import Length


@dataclass(frozen=True, slots=True)
class LevelBars:
    """What one level takes, by the stock length that it comes from: bars bought, offcuts of lower levels used, pieces
    that were cut ahead for it."""

    bought: Counter[Length] = field(default_factory=Counter)
    offcuts: Counter[Length] = field(default_factory=Counter)
    ahead: Counter[Length] = field(default_factory=Counter)


@dataclass(frozen=True, slots=True)
class CutLevels:
    """`bars` as cut in the end; `least` is the proven least total length, whatever the way of cutting.

    `levels` has one entry for each level, those without a piece included.
    """

    bars: tuple[Bar, ...]
    least: Length
    levels: tuple[LevelBars, ...]

    @property
    def bought(self) -> Counter[Length]:
        """Bars by stock length."""
        return Counter(bar.stock for bar in self.bars)

    def bound(self, stock: Length) -> int:
        """The least number of one stock length, with the others bought as they are."""
        others = sum(bar.stock for bar in self.bars if bar.stock != stock)
        return max(0, -((others - self.least) // stock))


def cut_levels(parts: Sequence[Sequence[Length]], stocks: Sequence[Length], useful: Length) -> CutLevels:
    """Cut the pieces of each level from stock lengths, without a kerf; offcuts under `useful` are not kept.

    Raises CutMistake.
    """
    offered = [StockLength(length) for length in sorted(stocks)]
    whole = cut_stocks(Counter(piece for part in parts for piece in part), offered)
    least = int(whole.bound) * offered[0].length if whole.measure == BARS else int(whole.bound)
    return CutLevels(whole.bars, least, _level_by_level(whole.bars, parts, useful))


def _level_by_level(bars: Sequence[Bar], parts: Sequence[Sequence[Length]], useful: Length) -> tuple[LevelBars, ...]:
    """Who cuts what; equal pieces go to the levels in their order, bar after bar."""
    waiting: dict[Length, list[int]] = defaultdict(list)
    for number in range(len(parts) - 1, -1, -1):
        for piece in parts[number]:
            waiting[piece].append(number)
    found = tuple(LevelBars() for _ in parts)
    for bar in bars:
        cuts: dict[int, list[Length]] = defaultdict(list)
        for piece in bar.cuts:
            cuts[waiting[piece].pop()].append(piece)
        first, *later = sorted(cuts)
        found[first].bought[bar.stock] += 1
        left = bar.stock - sum(cuts[first])
        for number in later:
            if left >= useful:
                found[number].offcuts[bar.stock] += 1
            else:
                found[number].ahead[bar.stock] += len(cuts[number])
            left -= sum(cuts[number])
    return found
