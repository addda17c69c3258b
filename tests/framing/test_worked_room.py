"""Two walls from one corner, worked by hand from end to end.

Ground: the rules of the trade for an L corner of 3 5/8 in steel and 5/8 in board (common practice, no source).
Every number below is derived from them: A runs through to the outer corner, B laps it.
    outer corner: half of the other's 3 5/8 beyond the centre lines, so A starts at x = -1 13/16 and B at y = -1 13/16
    slot 5/8; bead allowance 1/4 at each side of an outside corner; floor gap 1/2; stud 1/2 shorter than the wall
"""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from itertools import pairwise

import pytest

from tests.framing.floor import (
    face_of,
    junctions,
    lap_of,
    level,
    pieces,
    printed,
    room,
    run,
    sheets,
    size,
    spans,
    studs,
    taken,
    wall_of,
)

BOARD_HEIGHT = Fraction("107.5")  # 108 less the 1/2 in floor gap


@cache
def _room():
    return taken(room())


def test_both_tracks_reach_the_outer_corner():
    # 120 + 1.8125 and 96 + 1.8125
    assert wall_of(_room(), "A")["track_length"] == "121.8125"
    assert wall_of(_room(), "B")["track_length"] == "97.8125"
    assert wall_of(_room(), "A")["line_length"] == "120"
    assert wall_of(_room(), "B")["line_length"] == "96"


def test_the_corner_names_its_walls_and_which_runs_through():
    (corner,) = junctions(_room(), "corner")
    assert sorted(corner["walls"]) == ["A", "B"]
    assert corner["through"] == "A"
    assert corner["because"]
    assert [j["walls"] for j in junctions(_room(), "free end")] == [["A"], ["B"]]
    assert len(level(_room())["junctions"]) == 3


def test_the_through_wall_is_cut_square_at_both_ends():
    for row in ("bottom", "top"):
        ends = [end for piece in pieces(_room(), "A", row) for end in (piece["from_end"], piece["to_end"])]
        assert {end["cut"] for end in ends} == {"square"}


@pytest.mark.parametrize("row", ["bottom", "top"])
def test_the_lapping_wall_has_a_tab_and_flanges_back_in_both_rows(row):
    # tab: A's web, 3 5/8. Flanges back: 3 5/8 + 5/8 = 4 1/4. The top track repeats the bottom track's cuts.
    first = pieces(_room(), "B", row)[0]
    assert lap_of(first["from_end"]) == ("tab", "3.625", "4.25", "4.25")
    assert pieces(_room(), "B", row)[-1]["to_end"]["cut"] == "square"


def test_bottom_track_stops_at_the_door_and_top_track_runs_over_it():
    # door 30 to 68 from the corner point: 31.8125 to 69.8125 from the track's start; 97.8125 - 69.8125 = 28
    assert [p["length"] for p in pieces(_room(), "B", "bottom")] == ["31.8125", "28"]
    assert [p["at"] for p in pieces(_room(), "B", "bottom")] == ["0", "69.8125"]
    assert [p["length"] for p in pieces(_room(), "B", "top")] == ["97.8125"]


def test_head_track_is_the_opening_and_six_inches_bent_at_each_end():
    # 38 + 2 x 6 = 50. Ontario Building Code 9.24.3.2(3)-(4): bent up at least 150 mm (6 in) at each end.
    assert [p["length"] for p in pieces(_room(), "B", "head")] == ["50"]
    assert pieces(_room(), "B", "sill") == []


def test_track_counted_is_the_track_cut():
    # A: 121.8125 twice. B: 31.8125 + 28 + 97.8125 + head 50.
    assert size(wall_of(_room(), "A")["counts"]["track_in"]) == Fraction("243.625")
    assert size(wall_of(_room(), "B")["counts"]["track_in"]) == Fraction("207.625")
    assert size(_room()["counts"]["track_in"]) == Fraction("451.25")


def test_studs_of_the_through_wall():
    # Corner stud flush with the outer end: middle of a 1 1/4 flange at 0.625. End stud flush with the free end:
    # 121.8125 - 0.625. Layout on every 16 in mark of the track; the first that clears the corner is 16, the last 112.
    assert studs(_room(), "A", "corner") == [Fraction("0.625")]
    assert studs(_room(), "A", "end") == [Fraction("121.1875")]
    assert studs(_room(), "A", "layout") == [16, 32, 48, 64, 80, 96, 112]
    assert studs(_room(), "A", "loose") == []
    assert wall_of(_room(), "A")["counts"]["studs"] == 9


def test_studs_of_the_lapping_wall_with_its_door():
    # Loose stud beyond tab and slot: 3.625 + 0.625 + 0.625 = 4.875.
    # Door studs stand outside the opening: 31.8125 - 0.625 and 69.8125 + 0.625. End stud: 97.8125 - 0.625.
    # Layout marks: 16 and 80 stand; 32, 48, 64 fall in the opening; at 96 the end stud (96.5625 to 97.8125) is in
    # the way of a flange from 95.375 to 96.625, so nothing stands there.
    assert studs(_room(), "B", "loose") == [Fraction("4.875")]
    assert studs(_room(), "B", "door") == [Fraction("31.1875"), Fraction("70.4375")]
    assert studs(_room(), "B", "end") == [Fraction("97.1875")]
    assert studs(_room(), "B", "layout") == [16, 80]
    assert studs(_room(), "B", "corner") == []


def test_cripples_stand_over_the_door_on_the_marks_that_are_free():
    # 48 and 64 are clear. At 32 the door stud (30.5625 to 31.8125) is in the way of a flange from 31.375 to 32.625.
    assert studs(_room(), "B", "cripple") == [48, 64]
    over = [size(s["length"]) for s in level(_room())["studs"] if s["role"] == "cripple"]
    assert all(Fraction(22) < length <= Fraction(24) for length in over)  # 108 - 84, less what the track takes


def test_full_studs_are_half_an_inch_short():
    # Fire listing U419 item 2: cut 3/8 to 3/4 in shorter than the assembly's height; the practice takes 1/2.
    full = [s["length"] for s in level(_room())["studs"] if s["role"] not in ("cripple",)]
    assert set(full) == {"107.5"}


@pytest.mark.parametrize(
    ("mark", "face", "start", "length"),
    [
        # A walks east with the room on its left. Inside board goes into the slot, to the track's own end.
        ("A", "left", "0", "121.8125"),
        # A's outside board passes B's outside board (5/8) and stays 1/4 back for the bead: -0.625 + 0.25.
        ("A", "right", "-0.375", "122.1875"),
        # B walks north with the room on its right. Inside board starts one slot beyond A's steel: 3.625 + 0.625.
        ("B", "right", "4.25", "93.5625"),
        # B's outside board is flush with A's outer steel less 1/4: 97.8125 - 0.25.
        ("B", "left", "0.25", "97.5625"),
    ],
)
def test_board_runs_of_the_four_faces(mark, face, start, length):
    assert face_of(_room(), mark, face)["run_in"] == length
    assert face_of(_room(), mark, face)["height_in"] == "107.5"
    assert run(_room(), mark, face) == (Fraction(start), Fraction(length))
    assert {s["bottom"] for s in sheets(_room(), mark, face) if size(s["height"]) > 90} == {"0.5"}


@pytest.mark.parametrize("mark", ["A", "B"])
def test_a_free_end_has_a_cap_as_wide_as_steel_and_both_boards(mark):
    # 3 5/8 + 2 x 5/8 = 4 7/8, over the board's height
    cap = face_of(_room(), mark, "to end")
    assert (cap["run_in"], cap["height_in"]) == ("4.875", "107.5")
    assert cap["board_net_sqft"] == printed(Fraction("4.875") * BOARD_HEIGHT / 144)
    assert not [f for f in wall_of(_room(), mark)["faces"] if f["face"] == "from end"]


def test_net_board_is_what_people_are_paid_for():
    # A: (121.8125 + 122.1875 + 4.875) x 107.5 = 26,754.0625 sq in = 185.7921 sq ft
    # B: (97.5625 + 93.5625 + 4.875) x 107.5 = 21,070, less the door on both faces above the floor gap,
    #    2 x 38 x 83.5 = 6,346 -> 14,724 sq in = 102.25 sq ft exactly
    assert wall_of(_room(), "A")["counts"]["board_net_sqft"] == "185.7921"
    assert wall_of(_room(), "B")["counts"]["board_net_sqft"] == "102.25"
    assert _room()["counts"]["board_net_sqft"] == "288.0421"  # 41,478.0625 / 144 = 288.04210...


def test_one_face_alone():
    # 121.8125 x 107.5 / 144 = 90.93641...
    assert face_of(_room(), "A", "left")["board_net_sqft"] == "90.9364"


def test_all_bottom_track_is_sealed_to_the_floor():
    # One bead under each bottom piece: 121.8125 + 31.8125 + 28, the door's threshold left out.
    assert size(_room()["counts"]["sealant_in"]) == Fraction("181.625")


def test_bead_at_the_outside_corner_and_at_both_edges_of_each_cap():
    # one outside corner and two caps with two edges each: 5 x 107.5. Common practice, no source.
    assert size(_room()["counts"]["bead_in"]) == 5 * BOARD_HEIGHT


def test_tape_over_every_joint_and_in_the_inside_corner():
    # Each joint between two sheets, where both stand beside it and the door does not: over the door 108 - 84 = 24.
    # One inside corner, 107.5. Common practice, no source.
    door = (Fraction("31.8125"), Fraction("69.8125"))
    total = BOARD_HEIGHT
    for mark in ("A", "B"):
        for face in ("left", "right"):
            laid = sheets(_room(), mark, face)
            assert len({s["bottom"] for s in laid}) == 1, "standing sheets, one row"
            for joint in [size(s["at"]) for s in laid][1:]:
                total += 24 if mark == "B" and door[0] < joint < door[1] else BOARD_HEIGHT
    assert size(_room()["counts"]["tape_in"]) == total


def test_corners_and_openings_are_counted():
    counts = _room()["counts"]
    assert (counts["corners"], counts["door_corners"], counts["openings"]) == (1, 0, 1)


def test_with_no_word_in_the_plan_the_longer_wall_runs_through():
    assert taken(room(junctions=[]))["levels"][0]["junctions"][0]["through"] == "A"


def test_a_plan_may_say_that_the_shorter_wall_runs_through():
    # B through: A's track becomes the lap with tab 3.625; both still reach the outer corner.
    out = taken(room(junctions=[{"walls": ["A", "B"], "through": "B"}]))
    assert wall_of(out, "A")["track_length"] == "121.8125"
    assert wall_of(out, "B")["track_length"] == "97.8125"
    assert pieces(out, "A", "bottom")[0]["from_end"]["flanges_back"] == {"left": "4.25", "right": "4.25"}
    assert pieces(out, "B", "bottom")[0]["from_end"]["cut"] == "square"
    assert studs(out, "B", "corner") == [Fraction("0.625")]
    assert studs(out, "A", "loose") == [Fraction("4.875")]
    # B's inside face runs into the slot to its track's end; A's starts one slot beyond B's steel.
    assert face_of(out, "B", "right")["run_in"] == "97.8125"
    assert face_of(out, "A", "left")["run_in"] == "117.5625"  # 121.8125 - 4.25
    assert face_of(out, "A", "right")["run_in"] == "121.5625"  # 121.8125 - 0.25
    assert face_of(out, "B", "left")["run_in"] == "98.1875"  # 97.8125 + 0.625 - 0.25


def test_lengths_and_pieces_add_up_from_wall_to_level_to_plan():
    out = _room()
    for key, total in out["counts"].items():
        walls = [size(w["counts"][key]) for w in level(out)["walls"] if key in w["counts"]]
        if key == "board_net_sqft":
            assert abs(sum(walls) - size(total)) <= Fraction(1, 10_000)  # each printed number rounds once
        else:
            assert sum(walls) == size(total), key
        assert level(out)["counts"][key] == total


def test_spans_of_a_row_touch_end_to_end():
    for row in ("bottom", "top"):
        found = spans(_room(), "A", row)
        assert found[0][0] == 0 and found[-1][1] == Fraction("121.8125")
        assert all(left[1] == right[0] for left, right in pairwise(found))
