"""A level's board beside its bound, its rooms and what to drop in each: as printed objects and as lines of text."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from fractions import Fraction
from typing import Any, TypeAlias

from framing.count import LevelCount
from framing.length import Length, inches, rounded, square_feet
from framing.order import OrderLine, order_list
from framing.practice import FramingPractice
from framing.rooms import BY_WALLS, OUTSIDE, Room, turns
from framing.sheetbound import BoardStock, board_stock
from framing.stocking import Pile, stocking

Printed: TypeAlias = Mapping[str, Any]
Said: TypeAlias = Callable[[str], str]
STOCKED = ("board_stock", "rooms", "stock_elsewhere")
"""The keys of a level's printed object that `level_stock` gives."""


def level_stock(level: LevelCount, levels: Sequence[LevelCount], practice: FramingPractice) -> dict[str, Any]:
    """Board, rooms and piles of one of a plan's levels, as printed. Raises nothing that counting did not."""
    boards = [board_stock(one) for one in levels]
    order = order_list(levels, practice, [stock for own in boards for stock in own])
    own = boards[list(levels).index(level)]
    return {"board_stock": [board_stock_json(stock) for stock in own], **rooms_json(level, order)}


def board_stock_json(stock: BoardStock) -> dict[str, Any]:
    """One board of a level as bought, and the proven least."""
    return {
        "board": stock.board,
        "lengths": [{"stock_length": inches(length), "count": count} for length, count in stock.sheets.items()],
        "sheets": stock.count,
        "least_sheets": stock.least_sheets,
        "bought_sqft": rounded(square_feet(stock.bought)),
        "least_sqft": rounded(square_feet(stock.least_area)),
    }


def rooms_json(level: LevelCount, order: Sequence[OrderLine]) -> dict[str, Any]:
    """`rooms`, numbered as in the reasons of hanging, and `stock_elsewhere`. Lengths in decimal inches.

    A room's `faces` are those that look into it, `from` and `to` along the bottom track's start; `turn` is its place in
    the order of hanging; `at` lies on its floor.
    """
    piles = stocking(level, order)
    turn = turns(level.rooms, len(level.walls))
    return {
        "rooms": [_room(level, room, turn[room.number] + 1, piles.get(room.number, ())) for room in level.rooms.rooms],
        "stock_elsewhere": [_pile(pile) for pile in piles.get(OUTSIDE, ())],
    }


def _room(level: LevelCount, room: Room, turn: int, piles: Sequence[Pile]) -> dict[str, Any]:
    x, y = room.middle()
    return {
        "room": room.number,
        "turn": turn,
        "area_sqft": rounded(square_feet(room.area)),
        "closed_by": room.closed_by,
        "at": [inches(x), inches(y)],
        "faces": [
            {"wall": level.walls[wall].wall.mark, "face": face, "from": inches(low), "to": inches(high)}
            for wall, face, low, high in _merged(level, room)
        ],
        "stock": [_pile(pile) for pile in piles],
    }


def _merged(level: LevelCount, room: Room) -> list[tuple[int, str, Length, Length]]:
    """Stretches of one face that follow one another in one room, as one; in the order of the walls."""
    found: list[tuple[int, str, Length, Length]] = []
    for one in sorted(room.stretches, key=lambda part: (part.wall, part.face, part.low)):
        origin = level.walls[one.wall].frame.origin
        low, high = one.low - origin, one.high - origin
        if found and found[-1][:2] == (one.wall, one.face) and found[-1][3] == low:
            low = found.pop()[2]
        found.append((one.wall, one.face, low, high))
    return found


def _pile(pile: Pile) -> dict[str, Any]:
    found: dict[str, Any] = {"product": pile.product, "count": pile.count, "unit": pile.unit}
    if pile.stock_length is not None:
        found["stock_length"] = inches(pile.stock_length)
    return found


def board_words(stock: Printed, said: Said) -> str:
    """A level's stock of one board beside what any way of cutting needs. `said`: how a decimal in inches is written."""
    lengths = ", ".join(f"{line['count']} of {said(line['stock_length'])}" for line in stock["lengths"])
    bought, least = (
        f"{count} {'sheet' if count == 1 else 'sheets'}, {area} sq ft"
        for count, area in ((stock["sheets"], stock["bought_sqft"]), (stock["least_sheets"], stock["least_sqft"]))
    )
    if bought == least:
        return f"board {stock['board']}: {bought} ({lengths}); proven to be the least."
    return f"board {stock['board']}: {bought} ({lengths}); no way of cutting needs less than {least}."


def floor_words(room: Printed) -> str:
    """A room's clear floor, to a tenth of a square foot."""
    return rounded(Fraction(room["area_sqft"]), 1)


def faces_of(room: Printed) -> list[str]:
    """The faces that look into a room, in the order of the walls, and what else closes it."""
    also = () if room["closed_by"] == BY_WALLS else (str(room["closed_by"]),)
    return [*dict.fromkeys(f"{part['wall']} {part['face']}" for part in room["faces"]), *also]


def pile_words(stock: Sequence[Printed], said: Said) -> str:
    """What lies in a pile."""
    found = []
    for pile in stock:
        if pile["unit"] == "sheet":
            noun = "sheet" if pile["count"] == 1 else "sheets"
            found.append(f"{pile['count']} {noun} of {pile['product']} {said(pile['stock_length'])}")
        elif "stock_length" in pile:
            found.append(f"{pile['count']} of {pile['product']} {said(pile['stock_length'])}")
        else:
            found.append(f"{pile['count']:,} {pile['product']}")
    return "; ".join(found) or "nothing: what is used here lies in the rooms beside it"


def rooms_text(level: Printed, said: Said) -> Iterator[str]:
    """The rooms in the order of hanging, each with its pile."""
    yield f"{level['name']}: rooms in the order of hanging, and what to drop in each"
    for room in sorted(level["rooms"], key=lambda one: int(one["turn"])):
        yield f"  room {room['room']}: {floor_words(room)} sq ft between {', '.join(faces_of(room))}"
        yield f"    {pile_words(room['stock'], said)}"
    if level["stock_elsewhere"]:
        where = "  elsewhere, outside of every closed room" if level["rooms"] else "  its walls close no room"
        yield where
        yield f"    {pile_words(level['stock_elsewhere'], said)}"
