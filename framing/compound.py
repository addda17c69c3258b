"""Joint compound for a plan, by the tape that it covers and the level of finish.

A textbook's two rates, ready-mixed compound and tape for the same 1,000 sq ft, give feet of tape to the gallon for a
finish of three coats (levels 3 and 4); a level of fewer coats takes its share of that, and level 5 a skim coat over the
whole surface besides. Sources disagree about twofold, so every rate is the firm's to set. Exact; what is ordered rounds
up once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from framing.count import LevelCount, WallCount
from framing.length import TICKS_PER_FOOT, rounded, square_feet
from framing.practice import HIGHEST_FINISH, FramingPractice

_COATS = {1: 1, 2: 2, 3: 3, 4: 3, 5: 3}  # over tape and joints; common practice, no source
_FULL = 3


@dataclass(frozen=True, slots=True)
class Compound:
    """Gallons of ready-mixed compound, exact, and the sum in words."""

    gallons: Fraction
    because: str


def compound(levels: Sequence[LevelCount], practice: FramingPractice) -> Compound:
    """What all levels take at the practice's level of finish."""
    level, coats = practice.finish_level, _COATS[practice.finish_level]
    walls = [wall for one in levels for wall in one.walls]
    feet = Fraction(sum(wall.counts.tape for wall in walls), TICKS_PER_FOOT)
    words = f"{rounded(feet, 1)} ft of tape, {practice.compound_feet_per_gallon} ft to the gallon"
    if coats < _FULL:
        words += f", {coats} of {_FULL} coats"
    if level == HIGHEST_FINISH:
        surface = rounded(square_feet(sum(outermost(wall) for wall in walls)), 1)
        words += f"; skim coat over {surface} sq ft, {practice.skim_square_feet_per_gallon} sq ft to the gallon"
    amount = gallons(walls, practice)
    return Compound(amount, f"finish level {level}: {words} = {rounded(amount, 1)} gal")


def gallons(walls: Sequence[WallCount], practice: FramingPractice) -> Fraction:
    """What some walls take, exact."""
    feet = Fraction(sum(wall.counts.tape for wall in walls), TICKS_PER_FOOT)
    found = feet / practice.compound_feet_per_gallon * Fraction(_COATS[practice.finish_level], _FULL)
    if practice.finish_level == HIGHEST_FINISH:
        found += square_feet(sum(outermost(wall) for wall in walls)) / practice.skim_square_feet_per_gallon
    return found


def outermost(wall: WallCount) -> Fraction | int:
    """Net area of the layers that are finished, square ticks."""
    last: dict[str, int] = {}
    for face in wall.faces:
        last[face.face] = max(face.layer, last.get(face.face, 0))
    return sum((face.net for face in wall.faces if face.layer == last[face.face]), 0)
