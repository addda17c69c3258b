"""What to drop in which room of a level before work starts, so that every pile lies where it is used.

Common practice, no source. A stock sheet lies in the room in which the first of its pieces is hung. Steel, its screws
and its pins lie in the larger of the two rooms that their stretch of wall parts, where there is more floor for them.
What no closed room takes lies elsewhere on the level, for the crew to say. Steel is bought for the level as a whole, so
its bars are shared out by the lengths that each room takes from that stock; piles add up to what is bought for the
level.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from framing.board import CAPS, FACES
from framing.count import LevelCount, WallCount
from framing.length import Length
from framing.order import OrderLine
from framing.pieces import Sheet
from framing.rooms import OUTSIDE, Rooms

Weights: TypeAlias = Mapping[int, int]


@dataclass(frozen=True, slots=True)
class Pile:
    """So much of one product. `stock_length`: of sheets and bars."""

    product: str
    count: int
    unit: str
    stock_length: Length | None = None


Piles: TypeAlias = dict[int, list[Pile]]
"""Piles by room number; OUTSIDE stands for elsewhere on the level. Rooms that take nothing are left out."""


def stocking(level: LevelCount, order: Sequence[OrderLine]) -> Piles:
    """The piles of one level. `order`: the plan's order list, whose shares say what of it is for this level."""
    steel = _Steel(level)
    piles: Piles = defaultdict(list)
    for (name, length), rooms in sorted(_sheets(level).items()):
        _share(piles, rooms, sum(rooms.values()), name, "sheet", length)
    for line in order:
        own = next((share.count for share in line.shares if share.level == level.name), 0)
        if own and line.stock_length is not None:
            weights = steel.weights(line, order)
            _share(piles, weights, own, line.product, line.unit, line.stock_length)
    counts = level.counts
    for product, number, weights in (
        ("framing screws", counts.framing_screws, steel.studs),
        ("board screws", counts.board_screws, _board_screws(level)),
        ("track pins", counts.pins, steel.pins),
    ):
        _share(piles, weights, number, product, "each", None)
    return dict(sorted(piles.items()))


def _share(piles: Piles, weights: Weights, count: int, product: str, unit: str, length: Length | None) -> None:
    for room, own in shared_out(count, weights).items():
        if own:
            piles[room].append(Pile(product, own, unit, length))


def shared_out(count: int, weights: Weights) -> dict[int, int]:
    """A whole number shared out by weights: whole shares first, then one more by the largest remainders."""
    total = sum(weights.values())
    if not total:
        return {}
    shares = {room: count * weight // total for room, weight in weights.items()}
    left = count - sum(shares.values())
    for room in sorted(weights, key=lambda one: (-(count * weights[one] % total), one))[:left]:
        shares[room] += 1
    return shares


def _sheets(level: LevelCount) -> dict[tuple[str, Length], Counter[int]]:
    """Stock sheets by board, length and room."""
    found: dict[tuple[str, Length], Counter[int]] = defaultdict(Counter)
    for wall in level.walls:
        for sheet in wall.sheets:
            if sheet.is_first_hung:
                stock = level.stock_sheets[sheet.stock - 1]
                found[stock.board, stock.length][room_of_sheet(level.rooms, wall, sheet)] += 1
    return found


def _board_screws(level: LevelCount) -> Counter[int]:
    found: Counter[int] = Counter()
    for wall in level.walls:
        for sheet in wall.sheets:
            found[room_of_sheet(level.rooms, wall, sheet)] += sheet.screws
    return found


def room_of_sheet(rooms: Rooms, wall: WallCount, sheet: Sheet) -> int:
    """The room into which the middle of a piece looks; of a free end's cap that on the wall's left."""
    along = sheet.at + wall.frame.origin + (0 if sheet.face in CAPS else sheet.width // 2)
    return rooms.at(wall.frame.index, FACES[0] if sheet.face in CAPS else sheet.face, along)


class _Steel:
    """Lengths of track and studs by product and room; studs and pins by room."""

    def __init__(self, level: LevelCount) -> None:
        self.lengths: dict[str, dict[Length, Counter[int]]] = defaultdict(lambda: defaultdict(Counter))
        self.studs: Counter[int] = Counter()
        self.pins: Counter[int] = Counter()
        for wall in level.walls:
            kind, origin = wall.wall.type, wall.frame.origin
            for piece in wall.track:
                room = _larger(level.rooms, wall.frame.index, piece.at + piece.length // 2 + origin)
                self.lengths[kind.track.designator][piece.length][room] += piece.length
                self.pins[room] += piece.pins
            for stud in wall.studs:
                room = _larger(level.rooms, wall.frame.index, stud.at + origin)
                self.lengths[kind.stud.designator][stud.length][room] += stud.length
                self.studs[room] += 1
            for bead in wall.beads:
                room = _larger(level.rooms, wall.frame.index, wall.frame.end // 2 + origin)
                self.lengths["corner bead"][bead][room] += bead

    def weights(self, line: OrderLine, order: Sequence[OrderLine]) -> Counter[int]:
        """What each room takes of one stock length: pieces too long for the next shorter one bought, else all."""
        lengths = self.lengths[line.product]
        shorter = [one.stock_length for one in order if one.product == line.product and one.stock_length is not None]
        below = max((one for one in shorter if line.stock_length is not None and one < line.stock_length), default=0)
        found: Counter[int] = Counter()
        for is_own in (True, False):
            for length, rooms in lengths.items():
                if not is_own or (below < length and (line.stock_length is None or length <= line.stock_length)):
                    found.update(rooms)
            if found:
                break
        return found


def _larger(rooms: Rooms, wall: int, along: Length) -> int:
    """The larger of the two rooms on the sides of a wall; the one that is a room; else OUTSIDE."""
    sides = [rooms.at(wall, face, along) for face in FACES]
    closed = [number for number in sides if number != OUTSIDE]
    return max(closed, key=lambda number: (rooms.room(number).area, -number), default=OUTSIDE)
