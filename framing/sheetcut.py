"""Which stock sheet each rectangle of board is cut from: offcuts first, then a new sheet, whose length wastes least.

Guillotine cuts: a piece is scored across the whole sheet or offcut it comes from, so what is left are rectangles too.
No piece is turned: the paper's long edges stay as the board is laid, so that tapered edges meet tapered edges and the
board bends the way it is meant to. Pieces over half the longest sheet go first, from the longest and widest down, over
the whole level: two of them never share a strip, so they decide how many sheets are bought. What is shorter (pieces
over openings, under sills, high courses) then comes from offcuts wherever one is large enough, and several ways of
placing it are tried where there is not too much of it.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple, TypeAlias

from framing.board import CAPS
from framing.length import Length
from framing.pieces import Sheet
from framing.products import Board

_LOOK = 64  # sizes of offcut looked at from the narrowest that serves: more would not pay
_TRIED = 400  # short pieces placed over all ways that are tried: fewer ways where there are more of them
_AHEAD = 40  # pieces placed on trial to choose a new sheet's length


@dataclass(frozen=True, slots=True)
class StockSheet:
    """One sheet as bought."""

    number: int
    board: str
    width: Length
    length: Length


class Piece(NamedTuple):
    """A rectangle to cut: across the sheet and along it."""

    across: Length
    along: Length
    sheet: Sheet


class _Offcut(NamedTuple):
    width: Length
    length: Length
    stock: int


_Split: TypeAlias = Callable[[_Offcut, Piece], Iterator[_Offcut]]


def size_as_cut(sheet: Sheet, board: Board) -> tuple[Length, Length]:
    """(across the stock sheet, along it) of a rectangle as hung. Caps stand whatever the board's lay."""
    stands = board.lay == "standing" or sheet.face in CAPS
    return (sheet.width, sheet.height) if stands else (sheet.height, sheet.width)


def cut_sheets(sheets: Sequence[Sheet], boards: Mapping[str, Board]) -> list[StockSheet]:
    """Give every rectangle its stock sheet (`is_first_cut` for the piece that starts it) and return the stock."""
    bought: list[StockSheet] = []
    by_board: dict[str, list[Piece]] = {}
    for sheet in sheets:
        by_board.setdefault(sheet.board, []).append(Piece(*size_as_cut(sheet, boards[sheet.board]), sheet))
    for name, pieces in by_board.items():
        board = boards[name]
        cutting = _cut(pieces, board, len(bought))
        started: set[int] = set()
        for piece, number in cutting.taken:
            piece.sheet.stock = number
            piece.sheet.is_first_cut = number not in started
            started.add(number)
        first = len(bought) + 1
        bought += [StockSheet(first + place, name, board.width, length) for place, length in enumerate(cutting.lengths)]
    return bought


def numbered_as_hung(sheets: Iterable[Sheet], stock: Sequence[StockSheet]) -> list[StockSheet]:
    """The stock numbered anew in the order in which the crew takes it from the pile.

    Of each stock sheet the piece hung first is marked `is_first_hung`; the others are offcuts from then on.
    """
    found: dict[int, StockSheet] = {}
    for sheet in sorted(sheets, key=lambda one: one.step):
        own = stock[sheet.stock - 1]
        sheet.is_first_hung = sheet.stock not in found
        if sheet.is_first_hung:
            found[sheet.stock] = StockSheet(len(found) + 1, own.board, own.width, own.length)
        sheet.stock = found[sheet.stock].number
    return list(found.values())


class _Cutting:
    """Sheets bought so far, what was cut from them, and the offcuts: sizes by width, and the sheets of each size.

    `least`: the narrowest across and the shortest along of the pieces to come; what is smaller is no offcut.
    """

    def __init__(
        self,
        board: Board,
        first: int,
        least: tuple[Length, Length],
        offcuts: Iterable[_Offcut] = (),
        split: _Split | None = None,
    ) -> None:
        self.board = board
        self.first = first
        self.least = least
        self.sizes: list[tuple[Length, Length]] = []
        self.stocks: dict[tuple[Length, Length], deque[int]] = {}
        self.split = split or _ripped
        self.lengths: list[Length] = []
        self.taken: list[tuple[Piece, int]] = []
        self.untouched: dict[int, Length] = {}  # by sheet: what is left of it at its end over its whole width
        for offcut in offcuts:
            self._keep(offcut)

    def from_offcut(self, piece: Piece) -> bool:
        """Cut a piece from the offcut that it wastes least of; whether there is one."""
        best: tuple[int, int] | None = None
        first = bisect_left(self.sizes, (piece.across, 0))
        for place in range(first, min(len(self.sizes), first + _LOOK)):
            width, length = self.sizes[place]
            if length >= piece.along and (best is None or width * length < best[0]):
                best = (width * length, place)
        if best is None:
            return False
        size = self.sizes[best[1]]
        stocks = self.stocks[size]
        offcut = _Offcut(*size, stocks.popleft())
        if not stocks:
            del self.stocks[size], self.sizes[best[1]]
        self._take(offcut, piece)
        return True

    def offcuts(self) -> Iterator[_Offcut]:
        return (_Offcut(*size, stock) for size, stocks in self.stocks.items() for stock in stocks)

    def from_new(self, piece: Piece, length: Length) -> None:
        self.lengths.append(length)
        self._take(_Offcut(self.board.width, length, self.first + len(self.lengths)), piece)

    def _take(self, offcut: _Offcut, piece: Piece) -> None:
        self.taken.append((piece, offcut.stock))
        is_whole = offcut.width == self.board.width
        if is_whole:
            self.untouched[offcut.stock] = 0
        for left in self.split(offcut, piece):
            if is_whole and left.width == offcut.width:
                self.untouched[offcut.stock] = left.length
            self._keep(left)

    def _keep(self, offcut: _Offcut) -> None:
        width, length, stock = offcut
        if width < self.least[0] or length < self.least[1]:
            return
        stocks = self.stocks.get((width, length))
        if stocks is None:
            insort(self.sizes, (width, length))
            self.stocks[width, length] = deque((stock,))
        else:
            stocks.append(stock)


def _ripped(offcut: _Offcut, piece: Piece) -> Iterator[_Offcut]:
    """Ripped along its whole length first, then cut to length."""
    width, length, stock = offcut
    yield _Offcut(width - piece.across, length, stock)
    yield _Offcut(piece.across, length - piece.along, stock)


def _crossed(offcut: _Offcut, piece: Piece) -> Iterator[_Offcut]:
    """Cut to length over its whole width first, then ripped."""
    width, length, stock = offcut
    yield _Offcut(width - piece.across, piece.along, stock)
    yield _Offcut(width, length - piece.along, stock)


def _largest(offcut: _Offcut, piece: Piece) -> Iterator[_Offcut]:
    """Whichever of the two cuts leaves the larger rectangle."""
    beside = (offcut.width - piece.across) * offcut.length
    beyond = offcut.width * (offcut.length - piece.along)
    return _ripped(offcut, piece) if beside >= beyond else _crossed(offcut, piece)


def _longest(piece: Piece) -> tuple[int, int]:
    return -piece.along, -piece.across


def _widest(piece: Piece) -> tuple[int, int]:
    return -piece.across, -piece.along


def _biggest(piece: Piece) -> tuple[int, int]:
    return -piece.across * piece.along, -piece.along


_Order: TypeAlias = Callable[[Piece], tuple[int, int]]
_WAYS: tuple[tuple[_Order, _Split], ...] = (
    (_longest, _largest),
    (_biggest, _ripped),
    (_widest, _largest),
    (_longest, _ripped),
    (_biggest, _largest),
    (_longest, _crossed),
    (_widest, _ripped),
)


def _cut(pieces: Sequence[Piece], board: Board, first: int) -> _Cutting:
    """Long pieces, then the short ones the way that buys the least area, then the fewest sheets."""
    longest = max(board.lengths)
    cutting = _Cutting(board, first, _least(pieces))
    for piece in sorted((one for one in pieces if 2 * one.along > longest), key=_longest):
        if not cutting.from_offcut(piece):
            cutting.from_new(piece, _shortest(board, piece.along))
    short = [one for one in pieces if 2 * one.along <= longest]
    if not short:
        return cutting
    base, least = first + len(cutting.lengths), _least(short)
    tried = [
        _placed(sorted(short, key=order), _Cutting(board, base, least, cutting.offcuts(), split))
        for order, split in _WAYS[: max(1, _TRIED // len(short))]
    ]
    best = min(tried, key=lambda one: (sum(one.lengths), len(one.lengths)))
    cutting.lengths += best.lengths
    cutting.taken += best.taken
    return cutting


def _least(pieces: Sequence[Piece]) -> tuple[Length, Length]:
    return min(piece.across for piece in pieces), min(piece.along for piece in pieces)


def _placed(pieces: Sequence[Piece], cutting: _Cutting) -> _Cutting:
    for place, piece in enumerate(pieces):
        if not cutting.from_offcut(piece):
            cutting.from_new(piece, _length_for(pieces[place : place + _AHEAD], cutting))
    for stock, length in cutting.untouched.items():
        place = stock - cutting.first - 1
        if place >= 0:
            cutting.lengths[place] = _shortest(cutting.board, cutting.lengths[place] - length)
    return cutting


def _shortest(board: Board, along: Length) -> Length:
    return min(stock for stock in board.lengths if stock >= along)


def _length_for(pieces: Sequence[Piece], cutting: _Cutting) -> Length:
    """The stock length for a new sheet, to hold the first of these pieces: the shortest that holds them all, where one
    does, else that which costs least for what it holds."""
    choices = []
    for length in cutting.board.lengths:
        if length >= pieces[0].along:
            trial = _Cutting(cutting.board, 0, cutting.least, (), cutting.split)
            trial.from_new(pieces[0], length)
            for piece in pieces[1:]:
                trial.from_offcut(piece)
            used = sum(piece.across * piece.along for piece, _ in trial.taken)
            is_all = len(trial.taken) == len(pieces)
            choices.append((not is_all, 0 if is_all else Fraction(length * cutting.board.width, used), length))
    return min(choices)[2]
