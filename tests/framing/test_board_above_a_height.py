"""Board that hangs high is counted apart, so that it can be priced apart.

Ground: a trade association's estimating guide prices the part above 10 ft apart from the rest; areas are derived.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.framing.floor import door, plan, taken, wall, wall_of

ENDS = {"ends": {"from": "structure", "to": "structure"}}


def high(**keys) -> Fraction:
    out = taken(plan(wall("A", (0, 0), (144, 0), **(ENDS | keys))))
    return Fraction(wall_of(out, "A")["counts"]["board_high_sqft"])


def test_a_wall_up_to_the_height_has_none():
    assert high(height="10'-0\"") == 0


def test_the_part_above_is_run_times_what_is_over():
    # two faces of 12 ft run, 12 ft high: 2 ft over 10 ft on each
    assert high(height="12'-0\"") == 48


def test_an_opening_below_takes_nothing_from_it_and_one_that_reaches_up_does():
    assert high(height="12'-0\"", openings=[door("D", "40")]) == 48
    # 36 in wide from 10 ft to 11 ft: 3 sq ft from each face
    assert high(height="12'-0\"", openings=[{**door("D", "40", width="36", height="132"), "kind": "opening"}]) == 42


@pytest.mark.parametrize(("own", "expected"), [("10'-0\"", 24), ("11'-0\"", 36)])
def test_a_face_that_stops_lower_counts_only_its_own(own, expected):
    assert high(height="12'-0\"", left_height=own) == expected


def test_the_cap_of_a_free_end_is_board_too():
    # both ends free: caps of 3 5/8 + 2 x 5/8 = 4 7/8 in, 2 ft of each over 10 ft: 2 x 4 7/8 / 12 x 2 = 1.625 (derived)
    assert high(height="12'-0\"", ends={}) == 48 + Fraction("1.625")


def test_a_raked_top_counts_its_triangle():
    # from 10 ft to 12 ft over 12 ft: half of 2 x 12 on each face
    raked = wall("A", (0, 0), (144, 0), height_from="10'-0\"", height_to="12'-0\"", **ENDS)
    del raked["height"]
    assert Fraction(wall_of(taken(plan(raked)), "A")["counts"]["board_high_sqft"]) == 24


def test_the_height_is_the_firms_own():
    made = plan(wall("A", (0, 0), (144, 0), height="9'-0\"", **ENDS), practice={"high_board_from": "8'-0\""})
    assert Fraction(wall_of(taken(made), "A")["counts"]["board_high_sqft"]) == 24
