"""Paper: sheets, scales that a person can read off, and the bar that shows them.

Scales are the usual ones of each system of units, largest first; a drawing takes the first that fits its room.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from framing.drawing.lettering import say
from framing.drawing.shapes import Box, Pad
from framing.length import TICKS_PER_INCH, TICKS_PER_MM, Length


@dataclass(frozen=True, slots=True)
class Scale:
    """`ratio` to one on paper. `words` say it."""

    ratio: int
    words: str

    def mm(self, ticks: float) -> float:
        """A length on paper, mm."""
        return ticks / TICKS_PER_MM / self.ratio

    def ticks(self, mm: float) -> float:
        """What a stretch of paper stands for, ticks."""
        return mm * TICKS_PER_MM * self.ratio


def _inch(ratio: int, paper_inches: str) -> Scale:
    return Scale(ratio, f'{paper_inches}" = 1\'-0"')


INCH_SCALES = (
    Scale(1, "full size"),
    _inch(2, "6"),
    _inch(4, "3"),
    _inch(8, "1 1/2"),
    _inch(12, "1"),
    _inch(16, "3/4"),
    _inch(24, "1/2"),
    _inch(32, "3/8"),
    _inch(48, "1/4"),
    _inch(64, "3/16"),
    _inch(96, "1/8"),
    _inch(128, "3/32"),
    _inch(192, "1/16"),
    _inch(384, "1/32"),
    *(Scale(ratio, f"1 : {ratio}") for ratio in (500, 1000, 2000, 5000, 10_000, 50_000, 1_000_000)),
)
METRIC_SCALES = tuple(
    Scale(ratio, "full size" if ratio == 1 else f"1 : {ratio}")
    for ratio in (1, 2, 5, 10, 20, 25, 50, 75, 100, 150, 200, 500, 1000, 2000, 5000, 10_000, 50_000, 1_000_000)
)


def scales(is_metric: bool) -> Sequence[Scale]:
    return METRIC_SCALES if is_metric else INCH_SCALES


def fitting(width: Length, height: Length, room: tuple[float, float], *, is_metric: bool, largest: int = 1) -> Scale:
    """The largest scale, but none above `largest` to one, at which a rectangle of the world fits the room in mm."""
    usual = [scale for scale in scales(is_metric) if scale.ratio >= largest]
    for scale in usual:
        if scale.mm(width) <= room[0] and scale.mm(height) <= room[1]:
            return scale
    return usual[-1]


LETTER, TABLOID = (279.4, 215.9), (431.8, 279.4)
A4, A3 = (297.0, 210.0), (420.0, 297.0)
MARGIN = 12.7


def papers(is_metric: bool) -> tuple[tuple[float, float], tuple[float, float]]:
    """The small and the large sheet, lying: width and height in mm."""
    return (A4, A3) if is_metric else (LETTER, TABLOID)


_BARS_INCH = tuple(TICKS_PER_INCH * size for size in (1, 2, 4, 12, 24, 48, 96, 192, 384, 768, 1536, 7680, 76_800))
_BARS_MM = tuple(TICKS_PER_MM * size for size in (20, 40, 100, 200, 400, 1000, 2000, 4000, 10_000, 40_000, 200_000))


def scale_bar(pad: Pad, x: float, y: float, scale: Scale, *, is_metric: bool, most: float = 32.0) -> float:
    """A bar of four parts with its right end at `x` and its foot at `y`, and what it stands for. Returns its left."""
    sizes = _BARS_MM if is_metric else _BARS_INCH
    fits = [size for size in sizes if scale.mm(size) <= most] or [sizes[0]]
    length = scale.mm(fits[-1])
    said = say(fits[-1], is_metric=is_metric)
    text = pad.text(x, y - 0.1, said, 6.5, "end")
    right = text.box().left - 1.2
    left = right - length
    for part in range(4):
        low, high = left + part * length / 4, left + (part + 1) * length / 4
        pad.box(Box(low, y - 1.5, high, y), fill="black" if part % 2 == 0 else "white")
    return left
