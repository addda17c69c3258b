"""Published limiting heights of interior non-loadbearing steel studs, and what to say where none is known.

British Columbia Building Code 2012, Table 9.24.2.1 (read in a copy of the official text): studs 32 mm wide; 64 mm and
89 mm deep; at 300, 400 and 600 mm. A spacing between two rows takes the wider row.
"""

from __future__ import annotations

from collections.abc import Iterator

from framing.length import TICKS_PER_MM, Length, length_text
from framing.pieces import Caution
from framing.plan import Level, place

SOURCE = "British Columbia Building Code 2012, Table 9.24.2.1"
_MM = TICKS_PER_MM
# (least depth, greatest depth, spacing -> height). 2 1/2 in studs are the 64 mm row, 3 1/2 and 3 5/8 in the 89 mm.
_TABLE: tuple[tuple[Length, Length, dict[Length, Length]], ...] = (
    (63 * _MM, 65 * _MM, {300 * _MM: 4400 * _MM, 400 * _MM: 4000 * _MM, 600 * _MM: 3500 * _MM}),
    (88 * _MM, 93 * _MM, {300 * _MM: 5200 * _MM, 400 * _MM: 4600 * _MM, 600 * _MM: 3900 * _MM}),
)
_SPACING_SLACK = 10 * _MM  # 12, 16 and 24 in stand for 300, 400 and 600 mm


def limiting_height(depth: Length, spacing: Length) -> Length | None:
    """Published height for a stud depth and spacing, or None where the table has no row."""
    for low, high, rows in _TABLE:
        if low <= depth <= high:
            for row in sorted(rows):
                if spacing <= row + _SPACING_SLACK:
                    return rows[row]
    return None


def height_cautions(level: Level) -> Iterator[Caution]:
    """Walls above the published height, wall types without one, and fire-rated types: one caution each."""
    unknown: dict[str, list[str]] = {}
    rated: dict[str, list[str]] = {}
    for wall in level.walls:
        kind = wall.type
        if kind.fire_rated:
            rated.setdefault(kind.name, []).append(wall.mark)
        limit = limiting_height(kind.stud.web, kind.spacing)
        if limit is None:
            unknown.setdefault(kind.name, []).append(wall.mark)
        elif wall.highest > limit:
            yield Caution(
                "height",
                f"{place(level.name, wall.mark)}: {length_text(wall.highest)} is above the published height of "
                f"{length_text(limit)} for {kind.stud.designator} at {length_text(kind.spacing)} ({SOURCE}). "
                "Have the stud and spacing checked by a licensed designer.",
                (wall.mark,),
                by=wall.highest - limit,
            )
    for name, marks in unknown.items():
        yield Caution(
            "height",
            f"{level.name}, wall type {name}: no published height is known here for its stud and spacing. "
            "Check the maker's limiting height table before building.",
            tuple(marks),
        )
    for name, marks in rated.items():
        yield Caution(
            "fire-rated",
            f"{level.name}, wall type {name} is fire-rated: build it as its listed design says; where the "
            "listing and these counts differ, the listing and the local code come first.",
            tuple(marks),
        )
