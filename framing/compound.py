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

from framing.count import LevelCount
from framing.length import TICKS_PER_FOOT, rounded, square_feet
from framing.pieces import TAPE_OF_LEVEL, Counts
from framing.practice import FramingPractice

_COATS = {1: 1, 2: 2, 3: 3, 4: 3, 5: 3}  # over tape and joints; common practice, no source
_FULL = 3


@dataclass(frozen=True, slots=True)
class Compound:
    """Gallons of ready-mixed compound, exact, and the sum in words."""

    gallons: Fraction
    because: str


def compound(levels: Sequence[LevelCount], practice: FramingPractice) -> Compound:
    """What all levels of the building take, each face at its level of finish."""
    counts = [level.counts for level in levels]
    rate = practice.compound_feet_per_gallon
    words = []
    for finish, coats in _COATS.items():
        feet = _feet(counts, finish)
        if feet:
            words.append(f"finish level {finish}: {rounded(feet, 1)} ft of tape, {rate} ft to the gallon")
            if coats < _FULL:
                words[-1] += f", {coats} of {_FULL} coats"
    surface = _skimmed(counts)
    if surface:
        words.append(
            f"skim coat over {rounded(surface, 1)} sq ft, {practice.skim_square_feet_per_gallon} sq ft to the gallon"
        )
    amount = gallons(counts, practice)
    return Compound(amount, f"{'; '.join(words)} = {rounded(amount, 1)} gal")


def gallons(counts: Sequence[Counts], practice: FramingPractice) -> Fraction:
    """What is counted takes, exact."""
    coats = sum(
        (_feet(counts, finish) * Fraction(number, _FULL) for finish, number in _COATS.items()), start=Fraction(0)
    )
    return coats / practice.compound_feet_per_gallon + _skimmed(counts) / practice.skim_square_feet_per_gallon


def _feet(counts: Sequence[Counts], finish: int) -> Fraction:
    return Fraction(sum(getattr(count, TAPE_OF_LEVEL[finish]) for count in counts), TICKS_PER_FOOT)


def _skimmed(counts: Sequence[Counts]) -> Fraction:
    return square_feet(sum((count.skim for count in counts), Fraction(0)))
