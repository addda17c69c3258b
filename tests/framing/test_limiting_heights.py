"""Studs higher than any published table allows are told of, and studs in no table too.

Source: British Columbia Building Code 2012, Table 9.24.2.1 (steel studs for non-loadbearing interior walls), read in
the official text: 32 x 41 mm 3.0 m at 400, 2.7 at 600; 32 x 64 4.4 at 300, 4.0, 3.5; 32 x 89 5.2, 4.6, 3.9.
"""

from __future__ import annotations

import pytest

from framing.heights import PUBLISHED, limiting_height
from framing.length import TICKS_PER_MM, inch
from tests.framing.floor import cautions, plan, taken, wall, wall_type

STOCK = {"stud_stock": ["240"]}


@pytest.mark.parametrize(
    ("depth", "spacing", "metres"),
    [
        (inch(1, 5, 8), 12, "3.0"),  # no row at 300: the wider one
        (inch(1, 5, 8), 16, "3.0"),
        (inch(1, 5, 8), 24, "2.7"),
        (inch(2, 1, 2), 12, "4.4"),
        (inch(2, 1, 2), 16, "4.0"),
        (inch(2, 1, 2), 19, "3.5"),  # between two rows: the wider
        (inch(2, 1, 2), 24, "3.5"),
        (inch(3, 5, 8), 12, "5.2"),
        (inch(3, 5, 8), 16, "4.6"),
        (inch(3, 1, 2), 24, "3.9"),
    ],
)
def test_the_published_rows(depth: int, spacing: int, metres: str):
    row = limiting_height(depth, inch(spacing))
    assert row is not None
    assert row.height == int(metres.replace(".", "")) * 100 * TICKS_PER_MM


@pytest.mark.parametrize(("depth", "spacing"), [(inch(6), 16), (inch(8), 16), (inch(3, 5, 8), 30)])
def test_no_row_is_none(depth: int, spacing: int):
    assert limiting_height(depth, inch(spacing)) is None


def test_every_row_has_a_source():
    assert all(row.source for row in PUBLISHED)


def test_a_wall_above_its_row_is_told_of_with_what_it_is_over():
    # 2 1/2 in at 24 in: 3.5 m = 137.795 in; a wall of 138 in is above it, one of 137 is not
    types = {"P1": wall_type("250", spacing="24")}
    high, low = wall("A", (0, 0), (120, 0), height="138"), wall("B", (0, 90), (120, 90), height="137")
    (told,) = cautions(taken(plan(high, low, types=types, practice=STOCK)), "height")
    assert told["walls"] == ["A"]
    assert told["by"] == "0.2047"
    assert "Table 9.24.2.1" in told["sentence"]


def test_studs_in_no_table_are_told_of_once_a_level():
    types = {"P6": wall_type("600"), "P8": wall_type("800", spacing="24"), "P1": wall_type()}
    walls = [wall(f"W{n}", (0, 60 * n), (120, 60 * n), type=kind) for n, kind in enumerate(["P6", "P8", "P6", "P1"])]
    (told,) = cautions(taken(plan(*walls, types=types)), "height")
    assert sorted(told["walls"]) == ["W0", "W1", "W2"]
    for words in ("no table", "P6, 600S125-18 at 1'-4\"", "P8, 800S125-18 at 2'-0\""):
        assert words in told["sentence"]
