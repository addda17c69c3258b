"""What to buy for a plan: steel and board cut from stock with their proven bounds, screws, pins, sealant, bead, tape.

Each wall's studs, cripples included, are cut from the shortest stock that reaches its tallest stud. Whole units only
here; a wall's own counts are exact.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from framing.count import LevelCount
from framing.cutlist import cut_stock
from framing.length import TICKS_PER_FOOT, Length
from framing.pieces import Counts
from framing.practice import FramingPractice
from framing.sheetbound import BoardStock


@dataclass(frozen=True, slots=True)
class OrderLine:
    """One thing to buy. `bound`: for cut stock, the proven least number; None where nothing is cut to a bound.

    `bound_in_all`: the same for a board that is bought in several lengths, over all of them.
    """

    product: str
    count: int
    stock_length: Length | None = None
    bound: int | None = None
    unit: str = "each"
    bound_in_all: int | None = None


def order_list(
    levels: Sequence[LevelCount], practice: FramingPractice, boards: Iterable[BoardStock]
) -> list[OrderLine]:
    """The order for all levels together. Cutting takes no kerf (steel is sheared or snipped).

    `boards`: what `framing.sheetbound` proves of each level's board.
    """
    counts = Counts.total(level.counts for level in levels)
    lines = [*_steel(levels, practice), *_board(boards)]
    bead = _bead(levels, practice)
    lines += bead
    for product, number in (
        ("framing screws", counts.framing_screws),
        ("board screws", counts.board_screws),
        ("track pins", counts.pins),
    ):
        if number:
            lines.append(OrderLine(product, number))
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
    return lines


def _up(value: Fraction) -> int:
    return -(-value.numerator // value.denominator)


def _steel(levels: Sequence[LevelCount], practice: FramingPractice) -> list[OrderLine]:
    track: dict[str, list[Length]] = defaultdict(list)
    studs: dict[tuple[str, Length], list[Length]] = defaultdict(list)
    for level in levels:
        for wall in level.walls:
            track[wall.wall.type.track.designator] += [piece.length for piece in wall.track]
            studs[wall.wall.type.stud.designator, wall.stud_stock] += [stud.length for stud in wall.studs]
    lines = []
    for designator, pieces in sorted(track.items()):
        cut = cut_stock(pieces, practice.track_stock)
        lines.append(OrderLine(designator, cut.used, practice.track_stock, int(cut.bound)))
    for (designator, stock), pieces in sorted(studs.items()):
        cut = cut_stock(pieces, stock)
        lines.append(OrderLine(designator, cut.used, stock, int(cut.bound)))
    return lines


def _board(boards: Iterable[BoardStock]) -> list[OrderLine]:
    """Sheets by board and length; each level is cut by itself, so that bounds of levels add up."""
    bought: dict[str, Counter[Length]] = defaultdict(Counter)
    least: Counter[str] = Counter()
    for stock in boards:
        bought[stock.board].update(stock.sheets)
        least[stock.board] += stock.least_sheets
    lines = []
    for name, lengths in sorted(bought.items()):
        one, several = (least[name], None) if len(lengths) == 1 else (None, least[name])
        lines += [OrderLine(name, count, length, one, "sheet", several) for length, count in sorted(lengths.items())]
    return lines


def _bead(levels: Sequence[LevelCount], practice: FramingPractice) -> list[OrderLine]:
    """Beads stand in one piece where a stock length reaches; each is cut from the shortest that does."""
    longest = max(practice.bead_stock)
    by_stock: dict[Length, list[Length]] = defaultdict(list)
    for level in levels:
        for wall in level.walls:
            for bead in wall.beads:
                whole, rest = divmod(bead, longest)
                for piece in [longest] * whole + [rest] * bool(rest):
                    by_stock[min(stock for stock in practice.bead_stock if stock >= piece)].append(piece)
    lines = []
    for stock, pieces in sorted(by_stock.items()):
        cut = cut_stock(pieces, stock)
        lines.append(OrderLine("corner bead", cut.used, stock, int(cut.bound)))
    return lines
