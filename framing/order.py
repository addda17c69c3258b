"""What to buy for a plan: steel and board cut from stock with their proven bounds, screws, pins, sealant, bead, tape.

Studs and bead are cut from the stock lengths that together are least; what one level leaves is used on the next.
Whole units only here; a wall's own counts are exact.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from framing.compound import compound
from framing.count import LevelCount
from framing.cutting.levels import cut_levels
from framing.length import TICKS_PER_FOOT, Length
from framing.pieces import Counts
from framing.practice import FramingPractice
from framing.sheetbound import BoardStock


@dataclass(frozen=True, slots=True)
class LevelShare:
    """What one level takes of an order line: bars bought for it, how many offcuts of lower levels it uses, and how many
    of its pieces were cut ahead, because what they come from is too short to keep."""

    level: str
    count: int
    offcuts: int
    cut_ahead: int


@dataclass(frozen=True, slots=True)
class OrderLine:
    """One thing to buy. `bound`: for cut stock, the proven least number, where its product's other stock lengths are
    bought as listed; None where nothing is cut to a bound. `shares`: of cut steel and bead, level by level. `per_box`:
    how many are bought together. `because`: the sum behind a count that no piece is cut for.
    """

    product: str
    count: int
    stock_length: Length | None = None
    bound: int | None = None
    unit: str = "each"
    shares: tuple[LevelShare, ...] = ()
    per_box: int | None = None
    because: str = ""

    @property
    def boxes(self) -> int | None:
        return None if self.per_box is None else -(-self.count // self.per_box)


def order_list(
    levels: Sequence[LevelCount], practice: FramingPractice, boards: Sequence[BoardStock]
) -> list[OrderLine]:
    """The order for all levels together. Cutting takes no kerf (steel is sheared or snipped).

    `boards`: what `framing.sheetbound` proves of each level's board.
    """
    counts = Counts.total(level.counts for level in levels)
    lines = [*_steel(levels, practice), *_board(boards)]
    bead = _bead(levels, practice)
    lines += bead
    for product, number, per_box in (
        ("framing screws", counts.framing_screws, practice.framing_screws_per_box),
        ("board screws", counts.board_screws, practice.board_screws_per_box),
        ("track pins", counts.pins, practice.pins_per_box),
    ):
        if number:
            lines.append(OrderLine(product, number, per_box=per_box))
    if counts.sealant:
        feet = Fraction(counts.sealant, TICKS_PER_FOOT)
        lines.append(OrderLine("acoustical sealant", _up(feet / practice.sealant_feet_per_tube), unit="10.1 oz tube"))
    if counts.tape:
        feet = Fraction(counts.tape, TICKS_PER_FOOT)
        lines.append(
            OrderLine(
                "joint tape", _up(feet / practice.tape_feet_per_roll), unit=f"{practice.tape_feet_per_roll} ft roll"
            )
        )
    if counts.tape or counts.skim:
        mixed, pail = compound(levels, practice), practice.compound_gallons_per_pail
        pails = _up(mixed.gallons / pail)
        lines.append(OrderLine("joint compound", pails, unit=f"{pail} gal pail", because=mixed.because))
    return lines


def _up(value: Fraction) -> int:
    return -(-value.numerator // value.denominator)


def _steel(levels: Sequence[LevelCount], practice: FramingPractice) -> list[OrderLine]:
    """Track from its one stock length. Studs from those that total least, none longer than some wall needs anyway: what
    a floor of ten foot walls saves with longer steel is lost on its way in."""
    track: dict[str, list[list[Length]]] = defaultdict(lambda: [[] for _ in levels])
    studs: dict[str, list[list[Length]]] = defaultdict(lambda: [[] for _ in levels])
    longest: dict[str, Length] = defaultdict(int)
    for number, level in enumerate(levels):
        for wall in level.walls:
            track[wall.wall.type.track.designator][number] += [piece.length for piece in wall.track]
            stud = wall.wall.type.stud.designator
            studs[stud][number] += [one.length for one in wall.studs]
            longest[stud] = max(longest[stud], wall.stud_stock)
    lines = []
    for designator, parts in sorted(track.items()):
        lines += _cut(designator, parts, (practice.track_stock,), levels, practice)
    for designator, parts in sorted(studs.items()):
        stocks = [stock for stock in practice.stud_stock if stock <= longest[designator]]
        lines += _cut(designator, parts, stocks, levels, practice)
    return lines


def _cut(
    product: str,
    parts: Sequence[Sequence[Length]],
    stocks: Sequence[Length],
    levels: Sequence[LevelCount],
    practice: FramingPractice,
) -> list[OrderLine]:
    """One line for each stock length bought, the shortest first."""
    cut = cut_levels(parts, stocks, practice.useful_offcut)
    lines = []
    for stock, count in sorted(cut.bought.items()):
        shares = tuple(
            LevelShare(level.name, share.bought[stock], share.offcuts[stock], share.ahead[stock])
            for level, share in zip(levels, cut.levels, strict=True)
        )
        lines.append(OrderLine(product, count, stock, cut.bound(stock), shares=shares))
    return lines


def _board(boards: Sequence[BoardStock]) -> list[OrderLine]:
    """Sheets by board and length; each level is cut by itself, so that counts and bounds of levels add up."""
    lines = []
    for name in sorted({stock.board for stock in boards}):
        own = [stock for stock in boards if stock.board == name]
        for length in sorted({length for stock in own for length in stock.sheets}):
            count = sum(stock.sheets.get(length, 0) for stock in own)
            bound = sum(stock.bound(length) for stock in own)
            lines.append(OrderLine(name, count, length, bound, "sheet"))
    return lines


def _bead(levels: Sequence[LevelCount], practice: FramingPractice) -> list[OrderLine]:
    """Beads stand in one piece where a stock length reaches."""
    longest = max(practice.bead_stock)
    parts: list[list[Length]] = []
    for level in levels:
        pieces = []
        for wall in level.walls:
            for bead in wall.beads:
                whole, rest = divmod(bead, longest)
                pieces += [longest] * whole + [rest] * bool(rest)
        parts.append(pieces)
    return _cut("corner bead", parts, practice.bead_stock, levels, practice) if any(parts) else []
