"""Which stock sheet each rectangle of board is cut from: offcuts first, then a new sheet, the shortest that serves.

Guillotine cuts: a piece is scored across the whole sheet or offcut it comes from, so what is left are rectangles too.
Pieces are placed from the longest and widest down, over the whole level; narrow rips and pieces over openings then
come from offcuts wherever one is large enough.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from framing.board import CAPS
from framing.length import Length
from framing.pieces import Sheet
from framing.products import Board


@dataclass(frozen=True, slots=True)
class StockSheet:
    """One sheet as bought."""

    number: int
    board: str
    width: Length
    length: Length


def cut_sheets(sheets: Sequence[Sheet], boards: Mapping[str, Board]) -> list[StockSheet]:
    """Give every rectangle its stock sheet (`is_first_cut` for the piece that starts it) and return the stock."""
    bought: list[StockSheet] = []
    by_board: dict[str, list[Sheet]] = {}
    for sheet in sheets:
        by_board.setdefault(sheet.board, []).append(sheet)
    for name, own in by_board.items():
        board = boards[name]
        sized = [(*_size(sheet, board), order, sheet) for order, sheet in enumerate(own)]
        sized.sort(key=lambda item: (-item[1], -item[0], item[2]))
        offcuts: list[tuple[Length, Length, int]] = []  # across, along, stock number; by width
        for across, along, _, sheet in sized:
            place = _best_offcut(offcuts, across, along)
            if place is None:
                length = min(stock for stock in board.lengths if stock >= along)
                bought.append(StockSheet(len(bought) + 1, name, board.width, length))
                sheet.is_first_cut = True
                width, number = board.width, len(bought)
            else:
                width, length, number = offcuts.pop(place)
            sheet.stock = number
            if width > across:
                insort(offcuts, (width - across, length, number))
            if length > along:
                insort(offcuts, (across, length - along, number))
    return bought


def _size(sheet: Sheet, board: Board) -> tuple[Length, Length]:
    """(across the sheet, along it)."""
    stands = board.lay == "standing" or sheet.face in CAPS
    return (sheet.width, sheet.height) if stands else (sheet.height, sheet.width)


_LOOK = 64  # offcuts looked at from the narrowest that serves: more would not pay


def _best_offcut(offcuts: list[tuple[Length, Length, int]], across: Length, along: Length) -> int | None:
    first = bisect_left(offcuts, (across, 0, 0))
    best: tuple[int, int] | None = None
    for place in range(first, min(len(offcuts), first + _LOOK)):
        width, length, _ = offcuts[place]
        if length >= along:
            waste = width * length - across * along
            if best is None or waste < best[0]:
                best = (waste, place)
    return best[1] if best else None
