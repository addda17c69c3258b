"""A level's rooms, piles and board as drawn, from the take-off's printed objects: the same from either source."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from framing.drawing.lettering import say
from framing.drawing.table import Table
from framing.length import parse_length
from framing.lines import Point
from framing.stock_printed import Printed, Said, board_words, faces_of, floor_words


@dataclass(frozen=True, slots=True)
class Stocked:
    """`level`: the part of a level's printed object that says its rooms, piles and stock of board; may be empty."""

    level: Mapping[str, Any]

    def marks(self) -> list[tuple[str, Point]]:
        """What is written on the floor of each room, and where."""
        return [(f"room {room['room']}", _point(room["at"])) for room in self.level.get("rooms", ())]

    def board(self, *, is_metric: bool) -> list[str]:
        """Each board as bought beside the proven least."""
        return [board_words(stock, _said(is_metric)) for stock in self.level.get("board_stock", ())]

    def table(self, *, is_metric: bool) -> Table | None:
        """Rooms in the order of hanging, each with its pile; None where a level was printed without them."""
        said = _said(is_metric)
        rooms = sorted(self.level.get("rooms", ()), key=lambda one: int(one["turn"]))
        rows: list[tuple[str, ...]] = []
        for room in rooms:
            rows += _rows((str(room["room"]), floor_words(room)), _piles(room["stock"], said), faces_of(room))
        elsewhere = self.level.get("stock_elsewhere", ())
        if elsewhere:
            rows += _rows(("", ""), _piles(elsewhere, said), ["elsewhere: outside of every closed room"])
        if not rows:
            return None
        return Table(
            "Rooms in the order of hanging, and what to drop in each",
            ("room", "sq ft", *(head for head, _ in _COLUMNS), "faces that look into it"),
            tuple(rows),
            right=frozenset({0, 1, 6, 7, 8}),
            wide=9,
        )


def _is_steel(pile: Printed, letter: str) -> bool:
    """Whether a pile is steel by its designator: T for track, S for studs."""
    designator = re.match(r"\d+([ST])\d+-\d+$", pile["product"])
    return pile["unit"] != "sheet" and designator is not None and designator[1] == letter


_FACES = 4
_COLUMNS: tuple[tuple[str, Callable[[Printed], bool]], ...] = (
    ("board", lambda pile: pile["unit"] == "sheet"),
    ("track", lambda pile: _is_steel(pile, "T")),
    ("studs", lambda pile: _is_steel(pile, "S")),
    ("corner bead", lambda pile: pile["product"] == "corner bead"),
    ("board screws", lambda pile: pile["product"] == "board screws"),
    ("framing screws", lambda pile: pile["product"] == "framing screws"),
    ("pins", lambda pile: pile["product"] == "track pins"),
)


def _piles(stock: Sequence[Printed], said: Said) -> list[list[str]]:
    """The entries of each column: so many of a product and length, or a number."""
    found = []
    for _, is_own in _COLUMNS:
        own = []
        for pile in filter(is_own, stock):
            product = "" if pile["product"] == "corner bead" else f"{pile['product']} "
            of = f" of {product}{said(pile['stock_length'])}" if "stock_length" in pile else ""
            own.append(f"{pile['count']:,}{of}")
        found.append(own)
    return found


def _rows(first: tuple[str, str], piles: Sequence[Sequence[str]], faces: Sequence[str]) -> Iterator[tuple[str, ...]]:
    """One room as so many rows as its longest cell has entries; faces several to a row."""
    told = [", ".join(faces[place : place + _FACES]) for place in range(0, len(faces), _FACES)]
    for number in range(max(len(told), *(len(own) for own in piles))):
        cells = (own[number] if number < len(own) else "" for own in (*piles, told))
        yield (*(first if number == 0 else ("", "")), *cells)


def _said(is_metric: bool) -> Said:
    return lambda decimal: say(parse_length(Decimal(decimal)), is_metric=is_metric)


def _point(at: tuple[str, str]) -> Point:
    x, y = (parse_length(Decimal(part)) for part in at)
    return Point(x, y)


NOTHING = Stocked({})
