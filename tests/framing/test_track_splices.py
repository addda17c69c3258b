"""Where track is joined: 10 ft stock, butted, clear of corners and jambs, bottom and top not above each other.

Ground: common practice, no source: 12 in or more from a corner or jamb, no piece under 24 in unless its run is shorter.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.framing.floor import door, level, plan, room, size, spans, taken, wall

STOCK = 120
CLEAR = 12
LEAST = 24


def joints(out, mark, row):
    """Where two pieces of a row touch."""
    return [end for (_, end), (start, _) in pairwise(spans(out, mark, row)) if end == start]


def test_the_room_of_the_corner_example_splices_its_long_track_once():
    # 121.8125 is more than one length of stock: two pieces a row, neither under 24 in, so the joint lies
    # between 24 and 97.8125 from the corner; the two rows' joints are not above each other.
    out = taken(room())
    bottom, top = joints(out, "A", "bottom"), joints(out, "A", "top")
    assert len(bottom) == len(top) == 1
    for (joint,) in (bottom, top):
        assert LEAST <= joint <= Fraction("121.8125") - LEAST
    assert bottom != top
    assert joints(out, "B", "top") == joints(out, "B", "bottom") == []


def check_rows(out, mark, total, openings=()):
    """Every rule of splicing on one wall; `openings` as (near, far) from the track's start."""
    for row, bars in (("bottom", openings), ("top", ())):
        runs = []
        edge = Fraction(0)
        for near, far in bars:
            runs.append((edge, near))
            edge = far
        runs.append((edge, total))
        found = spans(out, mark, row)
        for start, end in runs:
            inside = [span for span in found if start <= span[0] and span[1] <= end]
            assert inside[0][0] == start and inside[-1][1] == end
            assert all(a[1] == b[0] for a, b in pairwise(inside)), "pieces butt, no overlap and no gap"
            assert all(b - a <= STOCK for a, b in inside)
            assert all(b - a >= min(LEAST, end - start) for a, b in inside)
        assert sum(b - a for a, b in found) == sum(b - a for a, b in runs)
        for joint in joints(out, mark, row):
            for place in {0, total, *(p for bar in openings for p in bar)}:
                if place in (0, total) or row == "bottom":
                    assert abs(joint - place) >= CLEAR, f"joint {joint} within 12 in of {place}"
    assert not set(joints(out, mark, "bottom")) & set(joints(out, mark, "top"))


@pytest.mark.parametrize("length", [24, 96, 120, 121, 132, 143, 144, 240, 241, 360, 480, 490, 1000])
def test_a_straight_wall_of_any_length_is_spliced_by_the_rules(length):
    out = taken(plan(wall("A", (0, 0), (length, 0))))
    check_rows(out, "A", Fraction(length))


@settings(max_examples=40, deadline=None)
@given(quarters=st.integers(240, 2400), near=st.integers(60, 2000), width=st.integers(96, 192))
def test_a_wall_with_a_door_anywhere_is_spliced_by_the_rules(quarters, near, width):
    length, start, end = (Fraction(n, 4) for n in (quarters, near, near + width))
    if end > length - 15:
        start, end = Fraction(15), Fraction(15) + Fraction(width, 4)
        length = max(length, end + 15)
    opening = door("D1", _mixed(start), _mixed(end - start))
    out = taken(plan(wall("A", (0, 0), (_mixed(length), 0), openings=[opening])))
    check_rows(out, "A", length, [(start, end)])


def _mixed(value: Fraction) -> str:
    whole, rest = divmod(value, 1)
    return f"{whole} {rest}" if rest else str(whole)


def test_two_rows_of_the_longest_single_length_need_no_joint():
    out = taken(plan(wall("A", (0, 0), (120, 0))))
    assert joints(out, "A", "bottom") == joints(out, "A", "top") == []


def test_pieces_are_listed_by_wall_then_row_then_place():
    out = taken(plan(wall("A", (0, 0), (300, 0)), wall("B", (0, 0), (0, 250))))
    listed = [(p["wall"], p["row"], size(p["at"])) for p in level(out)["track_pieces"]]
    assert listed == sorted(listed, key=lambda row: (row[0], ["bottom", "top", "head", "sill"].index(row[1]), row[2]))
