"""Pins into floor and ceiling: 2 in from each end of a piece of track and at most 24 in apart.

Ground: Ontario Building Code 9.24.3.1: runners fastened about 50 mm (2 in) from their ends and at most 610 mm (24 in)
apart. The number, derived: n = ceil((L - 4) / 24) + 1 for a piece of L inches. At a lap the pin goes through both
tracks (common practice, no source), so the two pieces share one.
"""

from __future__ import annotations

from fractions import Fraction
from math import ceil

import pytest

from tests.framing.floor import level, plan, room, size, taken, wall, wall_of

FULL_STOCK = {"track_stock": "480"}


def pins(length: Fraction) -> int:
    return ceil((length - 4) / 24) + 1


@pytest.mark.parametrize(("feet", "count"), [(4, 3), (8, 5), (10, 6)])
def test_one_piece_of_track_by_the_published_table(feet, count):
    # 4 ft: 3; 8 ft: 5; 10 ft: 6 in each row
    out = taken(plan(wall("A", (0, 0), (feet * 12, 0))))
    assert out["counts"]["pins"] == 2 * count


@pytest.mark.parametrize(("feet", "count"), [(4, 3), (8, 5), (10, 6), (12, 7), (20, 11), (30, 16)])
def test_unbroken_runs_by_the_published_table(feet, count):
    # The table is for one unbroken piece; track of 40 ft stock keeps the longer runs in one.
    assert pins(Fraction(feet * 12)) == count
    out = taken(plan(wall("A", (0, 0), (feet * 12, 0)), practice=FULL_STOCK))
    assert out["counts"]["pins"] == 2 * count


def test_every_piece_of_a_spliced_run_is_pinned_at_both_its_ends():
    out = taken(plan(wall("A", (0, 0), (300, 0))))
    each = [pins(size(p["length"])) for p in level(out)["track_pieces"]]
    assert len(each) == 6  # three pieces of at most 120 in, in two rows
    assert out["counts"]["pins"] == sum(each)


def test_a_lap_shares_one_pin_in_each_row():
    out = taken(room())
    rows = [p for p in level(out)["track_pieces"] if p["row"] in ("bottom", "top")]
    each = sum(pins(size(p["length"])) for p in rows)
    assert out["counts"]["pins"] == each - 2


def test_the_lapping_wall_of_the_room():
    # B bottom: 31.8125 -> ceil(27.8125 / 24) + 1 = 3; 28 -> 2; top: 97.8125 -> ceil(93.8125 / 24) + 1 = 5.
    # One pin of the lap in each row belongs to both walls: together A's, B's ten, less two, whichever wall counts it.
    out = taken(room())
    a = sum(pins(size(p["length"])) for p in level(out)["track_pieces"] if p["wall"] == "A")
    counted = {mark: wall_of(out, mark)["counts"]["pins"] for mark in ("A", "B")}
    assert counted["A"] + counted["B"] == a + 10 - 2
    assert counted["B"] in (8, 10)


def test_head_track_over_a_door_takes_no_pin():
    with_door, without = taken(room()), taken(room(opening=False))
    # Without the door B's bottom is one piece of 97.8125: 5 pins; with it 3 + 2 = 5 as well.
    assert with_door["counts"]["pins"] == without["counts"]["pins"]


def test_a_tee_shares_no_pin():
    # The stem stops short of the through wall: 97.5625 -> ceil(93.5625 / 24) + 1 = 5 a row; 10 ft: 6 a row.
    out = taken(plan(wall("T1", (0, 0), (120, 0)), wall("S1", (60, 100), (60, 0))))
    assert out["counts"]["pins"] == 2 * (6 + 5)


def test_a_piece_shorter_than_four_inches_still_has_two_pins_or_one():
    # A 3 in leg: ceil(-1/24) + 1 = 1 by the formula; never none.
    out = taken(plan(wall("A", (0, 0), (3, 0), ends={"from": "structure", "to": "structure"})))
    assert out["counts"]["pins"] == 2
