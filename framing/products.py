"""Steel sections and board, by the open S/T designator and plain dimensions.

A designator reads: web in 1/100 in, S (stud) or T (track), flange in 1/100 in, a dash, thickness in mils, as in
362S125-18. Hundredths are cut off, not rounded: 362 is 3 5/8 in, 162 is 1 5/8 in, 137 is 1 3/8 in (the stud
manufacturers' association's product identification page; a track's depth is its inside depth).
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from framing.length import TICKS_PER_INCH, Length

_DESIGNATOR = re.compile(r"(\d{3,4})([ST])(\d{3})-(\d{2,3})")
_EIGHTH = TICKS_PER_INCH // 8
_HUNDREDTH = TICKS_PER_INCH // 100


class DesignatorMistake(ValueError):
    """A text that is no S/T designator, with the reason."""


@dataclass(frozen=True, slots=True)
class Section:
    """One steel section. Lengths in ticks, thickness in mils."""

    designator: str
    kind: str  # "S" stud or "T" track
    web: Length
    flange: Length
    mils: int


@dataclass(frozen=True, slots=True)
class Board:
    """One gypsum board as bought. Lengths in ticks; `lay` is "standing" (long edge upright) or "lying"."""

    name: str
    thickness: Length
    width: Length
    lengths: tuple[Length, ...]
    lay: str = "standing"


def section(designator: str, kind: str) -> Section:
    """Read a designator of the wanted kind ("S" or "T"). Raises DesignatorMistake."""
    found = _DESIGNATOR.fullmatch(designator.strip().upper())
    if not found:
        raise DesignatorMistake(
            "is not an S/T designator. Write web, S or T, flange, dash and mils, as in 362S125-18 or 362T125-18"
        )
    if found[2] != kind:
        wanted, got = ("stud", "track") if kind == "S" else ("track", "stud")
        raise DesignatorMistake(f"is a {got}, but a {wanted} is wanted here. Write it with {kind}")
    web, flange, mils = _hundredths(int(found[1])), _hundredths(int(found[3])), int(found[4])
    if web <= 0 or flange <= 0 or mils <= 0:
        raise DesignatorMistake("has a dimension of zero. Check the designator")
    return Section(found[0], kind, web, flange, mils)


def _hundredths(number: int) -> Length:
    """Hundredths of an inch, cut off from eighths where they stand for one: 362 -> 3 5/8 in, 250 -> 2 1/2 in."""
    eighths = -(-number * 8 // 100)  # the eighth at or just above
    if eighths * 100 // 8 == number:
        return eighths * _EIGHTH
    return number * _HUNDREDTH
