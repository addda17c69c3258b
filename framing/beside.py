"""The handbook check: published estimating rules beside the exact counts of a plan, with the ratio.

Estimating rules are not how anything here is counted. Far apart (under half or over twice) is a question to ask of the
plan, and is said.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from framing.compound import gallons
from framing.count import LevelCount, WallCount
from framing.handbook import Beside, beside_the_count
from framing.joints import CORNER, CROSS, DOOR_CORNER, TEE
from framing.length import TICKS_PER_FOOT, TICKS_PER_INCH, Length, square_feet
from framing.practice import FramingPractice


@dataclass(frozen=True, slots=True)
class Compared:
    """One published figure and ours. `is_far`: the counted figure is under half or over twice the published one."""

    row: Beside
    is_far: bool


def handbook_check(levels: Sequence[LevelCount], practice: FramingPractice) -> list[Compared]:
    """Studs, track, screws, tape, compound of all levels against the published rules, each spacing by its own rule."""
    by_spacing: dict[Length, list[tuple[LevelCount, WallCount]]] = defaultdict(list)
    for level in levels:
        for wall in level.walls:
            by_spacing[wall.wall.type.spacing].append((level, wall))
    sums: dict[str, Beside] = {}
    for spacing, walls in by_spacing.items():
        for row in _rows(spacing, walls, practice):
            sums[row.name] = _added(sums[row.name], row) if row.name in sums else row
    return [Compared(row, row.ratio is not None and not Fraction(1, 2) <= row.ratio <= 2) for row in sums.values()]


def _rows(
    spacing: Length, walls: Sequence[tuple[LevelCount, WallCount]], practice: FramingPractice
) -> Sequence[Beside]:
    marks = {(id(level), wall.wall.mark) for level, wall in walls}
    kinds: dict[str, int] = defaultdict(int)
    for level in {id(level): level for level, _ in walls}.values():
        for junction in level.joined.found:
            if (id(level), junction.walls[-1]) in marks:
                kinds[junction.kind] += 1
    counts = [wall.counts for _, wall in walls]
    return beside_the_count(
        wall_lengths_ft=[_feet(wall.wall.length) for _, wall in walls],
        net_board_sqft=square_feet(sum(count.board_net for count in counts)),
        spacing_in=Fraction(spacing, TICKS_PER_INCH),
        corners=kinds[CORNER] + kinds[DOOR_CORNER],
        intersections=kinds[TEE] + kinds[CROSS],
        openings=sum(count.openings for count in counts),
        counted_studs=sum(count.studs for count in counts),
        counted_track_ft=sum(
            (_feet(piece.length) for _, wall in walls for piece in wall.track if piece.row in ("bottom", "top")),
            Fraction(0),
        ),
        counted_board_screws=sum(count.board_screws for count in counts),
        counted_tape_ft=_feet(sum(count.tape for count in counts)),
        counted_compound_gal=gallons(counts, practice),
    )


def _added(one: Beside, two: Beside) -> Beside:
    return Beside(one.name, one.unit, one.handbook + two.handbook, one.counted + two.counted, one.source)


def _feet(ticks: Length) -> Fraction:
    return Fraction(ticks, TICKS_PER_FOOT)
