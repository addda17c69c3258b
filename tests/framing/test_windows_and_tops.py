"""Windows, borrowed lights, raked tops, faces that stop early, layout from the other end, deflection gaps, extras.

Ground: the rules of counting; common practice, no source where none is named. Numbers derived.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.framing.floor import (
    cautions,
    face_of,
    level,
    pieces,
    plan,
    printed,
    size,
    spans,
    studs,
    taken,
    wall,
    wall_of,
    wall_type,
)

BUTTS = {"ends": {"from": "structure", "to": "structure"}}
WINDOW = {"mark": "W1", "kind": "window", "at": "40", "width": "38", "height": "36", "sill": "40"}


def test_a_window_has_a_head_and_a_sill_and_leaves_both_tracks_whole():
    out = taken(plan(wall("A", (0, 0), (120, 0), openings=[WINDOW], **BUTTS)))
    assert spans(out, "A", "bottom") == spans(out, "A", "top") == [(0, 120)]
    # 38 and 6 in bent at each end
    assert [p["length"] for p in pieces(out, "A", "head")] == ["50"]
    assert [p["length"] for p in pieces(out, "A", "sill")] == ["50"]
    assert size(out["counts"]["track_in"]) == 120 + 120 + 50 + 50
    assert size(out["counts"]["sealant_in"]) == 120


def test_a_windows_studs_stand_over_and_under_it():
    # jambs at 40 - 0.625 and 78 + 0.625; marks 48 and 64 are over and under it; 80 (79.375 up) clears the jamb's 79.25
    out = taken(plan(wall("A", (0, 0), (120, 0), openings=[WINDOW], **BUTTS)))
    assert studs(out, "A", "jamb") == [Fraction("39.375"), Fraction("78.625")]
    assert studs(out, "A", "cripple") == [48, 48, 64, 64]
    assert studs(out, "A", "layout") == [16, 32, 80, 96, 112]
    lengths = sorted(size(s["length"]) for s in level(out)["studs"] if s["role"] == "cripple")
    # under: up to 40; over: from 76 to 108: 32; none longer than its space, none more than an inch short of it
    assert all(31 <= length <= 32 for length in lengths[:2])
    assert all(39 <= length <= 40 for length in lengths[2:])


def test_a_windows_board_is_cut_out_of_both_faces():
    # (120 x 107.5 - 38 x 36) x 2 = 23,064 sq in
    out = taken(plan(wall("A", (0, 0), (120, 0), openings=[WINDOW], **BUTTS)))
    assert out["counts"]["board_net_sqft"] == printed(Fraction(23_064, 144))


def test_a_raked_wall_has_the_board_of_a_trapezium():
    # 96 in long, from 8 ft to 12 ft: mean height 120, less the floor gap of 1/2, both faces
    made = wall("A", (0, 0), (96, 0), height_from="8'-0\"", height_to="12'-0\"", **BUTTS)
    del made["height"]
    out = taken(plan(made))
    assert out["counts"]["board_net_sqft"] == printed(2 * 96 * (120 - Fraction(1, 2)) / 144)
    # the studs follow the top: it rises 48 in over 96, and the first stands at 0.625, the last at 95.375
    full = {size(s["at"]): size(s["length"]) for s in level(out)["studs"]}
    assert full[Fraction(48)] == 96 + 24 - Fraction(1, 2)
    assert full[Fraction(16)] < full[Fraction(32)] < full[Fraction(80)]


def test_a_face_may_stop_above_a_ceiling():
    # right side to 8'-6" (102), left to the deck at 9'-0": 96 x (107.5 + 101.5)
    out = taken(plan(wall("A", (0, 0), (96, 0), right_height="8'-6\"", **BUTTS)))
    assert face_of(out, "A", "left")["height_in"] == "107.5"
    assert face_of(out, "A", "right")["height_in"] == "101.5"
    assert out["counts"]["board_net_sqft"] == printed(96 * Fraction("209") / 144)


def test_an_open_face_has_no_board():
    types = {"P1": wall_type(right=[])}
    out = taken(plan(wall("A", (0, 0), (96, 0), **BUTTS), types=types))
    assert [f["face"] for f in wall_of(out, "A")["faces"]] == ["left"]
    assert out["counts"]["board_net_sqft"] == printed(96 * Fraction("107.5") / 144)


def test_layout_may_start_at_the_other_end():
    # 100 in: marks from the `to` end are 84, 68, 52, 36, 20 and 4; nothing stands in the way of the one at 4
    out = taken(plan(wall("A", (0, 0), (100, 0), layout_from="to", **BUTTS)))
    assert studs(out, "A", "layout") == [4, 20, 36, 52, 68, 84]


def test_a_deflection_gap_shortens_studs_and_board_alike():
    # head gap 1/2: studs 108 - 1/2 - 1/2, board from 1/2 up to 107 1/2
    types = {"P1": wall_type(head_gap="1/2")}
    out = taken(plan(wall("A", (0, 0), (96, 0), **BUTTS), types=types))
    assert {s["length"] for s in level(out)["studs"]} == {"107"}
    assert face_of(out, "A", "left")["height_in"] == "107"


def test_another_spacing_is_another_layout():
    types = {"P1": wall_type(spacing="24")}
    out = taken(plan(wall("A", (0, 0), (120, 0), **BUTTS), types=types))
    assert studs(out, "A", "layout") == [24, 48, 72, 96]


@pytest.mark.parametrize(("key", "value"), [("floor_gap", "3/8"), ("bead_gap", "1/8"), ("stud_short", "3/8")])
def test_the_practice_may_be_set_by_name(key, value):
    walls = (wall("A", (0, 0), (120, 0)), wall("B", (0, 0), (0, 96)))
    usual, own = taken(plan(*walls)), taken(plan(*walls, practice={key: value}))
    assert usual["counts"] != own["counts"] or usual["levels"][0]["studs"] != own["levels"][0]["studs"]


def test_extras_are_counted_apart_from_the_wall():
    extras = [
        {"kind": "backing", "at": "20", "bottom": "34", "width": "32", "height": "6", "count": 2},
        {"kind": "box", "at": "60", "bottom": "16", "width": "2", "height": "4", "count": 3},
    ]
    plain = taken(plan(wall("A", (0, 0), (96, 0), **BUTTS)))
    out = taken(plan(wall("A", (0, 0), (96, 0), extras=extras, **BUTTS)))
    assert out["counts"]["extras"] == 5
    assert {**out["counts"], "extras": 0} == plain["counts"]


def test_a_fire_rated_wall_says_so():
    types = {"P1": wall_type(fire_rated=True)}
    out = taken(plan(wall("A", (0, 0), (96, 0), **BUTTS), types=types))
    assert any("A" in caution["walls"] for caution in cautions(out, "fire-rated"))
