"""Stock lengths to pieces: how many bars, how each is cut, and the proven least number.

Pieces are placed best fit, longest first. The bound is the larger of total length over stock and Martello and Toth's
L2 (S. Martello, P. Toth, "Lower bounds and reduction procedures for the bin packing problem", Discrete Applied
Mathematics 28, 1990). Where the two agree the list is proven; where they do not, both are printed.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Sequence
from dataclasses import dataclass

from framing.length import Length, length_text


class CutMistake(ValueError):
    """A piece that no stock length holds, or a stock or kerf that makes no sense."""


@dataclass(frozen=True, slots=True)
class Bar:
    """One stock length and the pieces cut from it, longest first; `offcut` is what is left after the last cut."""

    stock: Length
    cuts: tuple[Length, ...]
    offcut: Length


@dataclass(frozen=True, slots=True)
class CutList:
    stock: Length
    bars: tuple[Bar, ...]
    bound: int

    @property
    def used(self) -> int:
        return len(self.bars)

    @property
    def proven(self) -> bool:
        return self.used == self.bound


def cut_stock(pieces: Sequence[Length], stock: Length, kerf: Length = 0) -> CutList:
    """Cut pieces from one stock length. Each cut takes the kerf, but none is owed at the bar's end.

    Raises CutMistake for a piece that is not positive or longer than the stock.
    """
    if stock <= 0 or kerf < 0:
        raise CutMistake(f"stock {length_text(stock)} with kerf {length_text(kerf)}: neither may be less than nothing")
    for piece in pieces:
        if piece <= 0 or piece > stock:
            raise CutMistake(
                f"piece {length_text(piece)}: cannot be cut from stock of {length_text(stock)}. Add a longer stock."
            )
    room = stock + kerf
    sizes = sorted((piece + kerf for piece in pieces), reverse=True)
    bins: list[list[Length]] = []
    free: list[tuple[Length, int]] = []  # room left, bar; by room
    for size in sizes:
        place = bisect_left(free, (size, -1))
        if place < len(free):
            left, number = free.pop(place)
        else:
            left, number = room, len(bins)
            bins.append([])
        bins[number].append(size - kerf)
        insort(free, (left - size, number))
    bars = tuple(Bar(stock, tuple(cuts), max(0, room - sum(cuts) - kerf * len(cuts))) for cuts in bins)
    return CutList(stock, bars, least_bars(sizes, room))


def least_bars(sizes: Sequence[Length], room: Length) -> int:
    """The L2 bound: no way of cutting needs fewer bars. `sizes` each include their kerf, `room` one kerf more.

    For a threshold k: pieces over room - k stand alone, pieces over room/2 each open a bar, and those from k to room/2
    fill what the middle ones leave.
    """
    if not sizes:
        return 0
    ordered = sorted(sizes)
    total = [0]
    for size in ordered:
        total.append(total[-1] + size)
    best = -(-total[-1] // room)
    half = bisect_left(ordered, room // 2 + 1)  # first piece over half a bar
    for k in {0, *(size for size in ordered[:half])}:
        small = bisect_left(ordered, k)
        big = bisect_left(ordered, room - k + 1)
        middle = big - half if big > half else 0
        alone = len(ordered) - max(big, half)
        left = middle * room - (total[max(big, half)] - total[half])
        small_total = total[half] - total[small]
        best = max(best, alone + middle + max(0, -(-(small_total - left) // room)))
    return best
