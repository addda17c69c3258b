"""Published limiting heights of interior non-loadbearing steel studs, and what to say where none is known.

The table is data, a row with its source each. One table could be read in an official text and is cited; makers' tables
are of their own studs, by load (5 psf as a rule) and deflection (L/120, L/240, L/360), and are not repeated here:
whoever builds checks the one that comes with the studs. So the caution says what was looked up, and is never left out.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from framing.length import TICKS_PER_MM, Length, length_text
from framing.pieces import Caution
from framing.plan import Level, WallType, place

_MM = TICKS_PER_MM
_BC = "British Columbia Building Code 2012, Table 9.24.2.1"


class Row(NamedTuple):
    """One published height: of studs from `least` to `greatest` deep, no further apart than `spacing`.

    `basis` is the load and deflection that the source gives for it, empty where it gives none.
    """

    least: Length
    greatest: Length
    spacing: Length
    height: Length
    source: str
    basis: str = ""


def _rows(source: str, least: int, greatest: int, heights: dict[int, int]) -> tuple[Row, ...]:
    """Rows of one depth, all in millimetres."""
    return tuple(
        Row(least * _MM, greatest * _MM, spacing * _MM, height * _MM, source) for spacing, height in heights.items()
    )


PUBLISHED: tuple[Row, ...] = (
    *_rows(_BC, 41, 43, {400: 3000, 600: 2700}),  # studs 32 x 41 mm: 1 5/8 in
    *_rows(_BC, 63, 65, {300: 4400, 400: 4000, 600: 3500}),  # 32 x 64 mm: 2 1/2 in
    *_rows(_BC, 88, 93, {300: 5200, 400: 4600, 600: 3900}),  # 32 x 89 mm: 3 1/2 and 3 5/8 in
)
_SPACING_SLACK = 10 * _MM  # 12, 16 and 24 in stand for 300, 400 and 600 mm


def limiting_height(depth: Length, spacing: Length) -> Row | None:
    """The published row for a stud depth and spacing (between two spacings: the wider), or None where there is none."""
    fitting = [
        row for row in PUBLISHED if row.least <= depth <= row.greatest and spacing <= row.spacing + _SPACING_SLACK
    ]
    return min(fitting, key=lambda row: (row.spacing, row.height), default=None)


def height_cautions(level: Level) -> Iterator[Caution]:
    """Walls above the published height, one caution each; all types without one, and each fire-rated type, once."""
    unknown: dict[WallType, list[str]] = {}
    rated: dict[str, list[str]] = {}
    rows: dict[str, Row | None] = {}
    for wall in level.walls:
        kind = wall.type
        if kind.fire_rated:
            rated.setdefault(kind.name, []).append(wall.mark)
        if kind.name not in rows:
            rows[kind.name] = limiting_height(kind.stud.web, kind.spacing)
        row = rows[kind.name]
        if row is None:
            unknown.setdefault(kind, []).append(wall.mark)
        elif wall.highest > row.height:
            basis = f", {row.basis}" if row.basis else ""
            yield Caution(
                "height",
                f"{place(level.name, wall.mark)}: {length_text(wall.highest)} is above the published height of "
                f"{length_text(row.height)} for {kind.stud.designator} at {length_text(kind.spacing)} ({row.source}"
                f"{basis}). Have the stud and spacing checked by a licensed designer.",
                (wall.mark,),
                by=wall.highest - row.height,
            )
    if unknown:
        yield _unknown(level.name, unknown)
    for name, marks in rated.items():
        yield Caution(
            "fire-rated",
            f"{level.name}, wall type {name} is fire-rated: build it as its listed design says; where the "
            "listing and these counts differ, the listing and the local code come first.",
            tuple(marks),
        )


def _unknown(level: str, kinds: dict[WallType, list[str]]) -> Caution:
    told = "; ".join(
        f"{kind.name}, {kind.stud.designator} at {length_text(kind.spacing)}"
        for kind in sorted(kinds, key=lambda kind: kind.name)
    )
    return Caution(
        "height",
        f"{level}: no table of heights is known here for these wall types ({told}). Check the limiting height table "
        "that comes with the studs, for your load and deflection, before building.",
        tuple(mark for marks in kinds.values() for mark in marks),
    )
