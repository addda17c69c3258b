"""Free ends, ends at existing work, walls in line, and walls that cross.

Ground: common practice, no source; numbers derived.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.framing.floor import (
    face_of,
    junctions,
    lap_of,
    level,
    pieces,
    plan,
    run,
    size,
    spans,
    studs,
    taken,
    wall,
    wall_of,
    wall_type,
)


def test_a_wall_alone_is_as_long_as_its_line():
    out = taken(plan(wall("A", (0, 0), (96, 0))))
    assert wall_of(out, "A")["track_length"] == "96"
    assert [p["length"] for row in ("bottom", "top") for p in pieces(out, "A", row)] == ["96", "96"]
    assert studs(out, "A", "end") == [Fraction("0.625"), Fraction("95.375")]
    # marks 16 ... 80; at 96 the end stud stands already
    assert studs(out, "A", "layout") == [16, 32, 48, 64, 80]


def test_a_free_end_is_capped_and_faces_stop_flush_with_the_steel():
    out = taken(plan(wall("A", (0, 0), (96, 0))))
    assert [f["face"] for f in wall_of(out, "A")["faces"]].count("from end") == 1
    for face in ("left", "right"):
        assert run(out, "A", face) == (0, 96)
    for face in ("from end", "to end"):
        assert face_of(out, "A", face)["run_in"] == "4.875"  # 3 5/8 + 2 x 5/8
    # (96 + 96 + 4.875 + 4.875) x 107.5 = 21,688.125 sq in; / 144 = 150.61197...
    assert out["counts"]["board_net_sqft"] == "150.612"


def test_a_cap_covers_as_many_layers_as_the_faces_have():
    # 600 steel, two layers left and one right: 6 + 3 x 5/8 = 7 7/8
    types = {"P1": wall_type("600", left=["B58", "B58"])}
    out = taken(plan(wall("A", (0, 0), (96, 0)), types=types))
    assert face_of(out, "A", "to end")["run_in"] == "7.875"


def test_an_end_at_existing_work_has_no_cap_and_no_lap():
    out = taken(plan(wall("A", (0, 0), (96, 0), ends={"from": "structure", "to": "structure"})))
    assert wall_of(out, "A")["track_length"] == "96"
    assert {f["face"] for f in wall_of(out, "A")["faces"]} == {"left", "right"}
    assert out["counts"]["board_net_sqft"] == "143.3333"  # 2 x 96 x 107.5 / 144
    assert len(junctions(out, "structure")) == 2
    assert studs(out, "A", "end") == [Fraction("0.625"), Fraction("95.375")]
    assert size(out["counts"].get("bead_in", 0)) == 0


def test_walls_in_line_butt_without_lap_cap_or_gap():
    out = taken(plan(wall("A", (0, 0), (100, 0)), wall("B", (100, 0), (180, 0))))
    (joint,) = junctions(out, "in line")
    assert sorted(joint["walls"]) == ["A", "B"]
    assert (wall_of(out, "A")["track_length"], wall_of(out, "B")["track_length"]) == ("100", "80")
    assert len(junctions(out, "free end")) == 2
    caps = [(w["mark"], f["face"]) for w in level(out)["walls"] for f in w["faces"] if f["face"].endswith("end")]
    assert caps == [("A", "from end"), ("B", "to end")]
    # the faces run on: 100 + 80 on each side, two caps of 4.875, 107.5 high
    assert out["counts"]["board_net_sqft"] == "276.0286"  # (360 + 9.75) x 107.5 / 144 = 276.02864...


def test_a_free_end_may_be_asked_for_where_a_corner_would_be_found():
    # B butts A's end without a word in the plan; told that both are free, neither laps.
    out = taken(
        plan(
            wall("A", (0, 0), (100, 0), ends={"from": "free"}),
            wall("B", (0, 0), (0, 96), ends={"from": "structure"}),
        )
    )
    assert junctions(out, "corner") == []
    assert (wall_of(out, "A")["track_length"], wall_of(out, "B")["track_length"]) == ("100", "96")


@pytest.fixture(scope="module")
def crossing():
    # A 200 in walks east; C 120 in walks north through the middle of A.
    return taken(plan(wall("A", (0, 0), (200, 0)), wall("C", (100, -60), (100, 60))))


def test_at_a_cross_the_longer_wall_runs_through(crossing):
    (joint,) = junctions(crossing, "cross")
    assert joint["through"] == "A"
    assert sorted(joint["walls"]) == ["A", "C"]
    assert wall_of(crossing, "A")["track_length"] == "200"


def test_the_crossed_wall_is_cut_one_slot_short_on_both_sides(crossing):
    # Middle of C is at 60; half of 3 5/8 and 5/8 away: 57.5625, and on from 62.4375.
    for row in ("bottom", "top"):
        ends = spans(crossing, "C", row)
        assert ends == [(0, Fraction("57.5625")), (Fraction("62.4375"), 120)]
    # two loose studs, each flush with its piece's end: 57.5625 - 0.625 and 62.4375 + 0.625
    assert studs(crossing, "C", "loose") == [Fraction("56.9375"), Fraction("63.0625")]


def test_board_of_the_through_wall_runs_on_behind_both_halves(crossing):
    assert face_of(crossing, "A", "left")["run_in"] == face_of(crossing, "A", "right")["run_in"] == "200"
    # C: 2 x 57.5625 a side, two caps: (4 x 57.5625 + 2 x 4.875) x 107.5 / 144 = 179.1666...
    expected = (4 * Fraction("57.5625") + Fraction("9.75")) * Fraction("107.5") / 144
    assert abs(size(wall_of(crossing, "C")["counts"]["board_net_sqft"]) - expected) <= Fraction(1, 20_000)


def test_a_rectangle_of_four_walls_has_four_corners_and_no_free_end():
    # Clear by hand: outer size 120 + 3.625 by 96 + 3.625. Long walls run through (longer), short walls lap both ends.
    out = taken(
        plan(
            wall("S", (0, 0), (120, 0)),
            wall("E", (120, 0), (120, 96)),
            wall("N", (120, 96), (0, 96)),
            wall("W", (0, 96), (0, 0)),
        )
    )
    assert len(junctions(out, "corner")) == 4
    assert {j["through"] for j in junctions(out, "corner")} == {"S", "N"}
    assert wall_of(out, "S")["track_length"] == "123.625"
    assert wall_of(out, "E")["track_length"] == "99.625"
    (east,) = pieces(out, "E", "bottom")
    for end in ("from_end", "to_end"):
        assert lap_of(east[end]) == ("tab", "3.625", "4.25", "4.25")
    # all four are walked anticlockwise: the room is on the left.
    assert face_of(out, "S", "left")["run_in"] == "123.625"  # into both slots
    assert face_of(out, "E", "left")["run_in"] == "91.125"  # 99.625 - 2 x 4.25
    assert face_of(out, "S", "right")["run_in"] == "124.375"  # past both: 123.625 + 2 x (5/8 - 1/4)
    assert face_of(out, "E", "right")["run_in"] == "99.125"  # 99.625 - 2 x 1/4
    assert studs(out, "E", "loose") == [Fraction("4.875"), Fraction("94.75")]  # 99.625 - 4.875
    assert size(out["counts"]["track_in"]) == 4 * (Fraction("123.625") + Fraction("99.625"))


def test_walls_of_two_widths_meet_at_a_corner():
    # 600 through, 362 laps: tab 6, flanges back 6 5/8; the 362 wall grows by 3, the 600 wall by 1 13/16.
    types = {"P1": wall_type(), "P6": wall_type("600")}
    out = taken(plan(wall("A", (0, 0), (120, 0), type="P6"), wall("B", (0, 0), (0, 96)), types=types))
    assert wall_of(out, "A")["track_length"] == "121.8125"
    assert wall_of(out, "B")["track_length"] == "99"
    (first,) = pieces(out, "B", "bottom")
    assert lap_of(first["from_end"]) == ("tab", "6", "6.625", "6.625")
    assert studs(out, "B", "loose") == [Fraction("7.25")]  # 6 + 5/8 + 5/8
    assert face_of(out, "B", "right")["run_in"] == "92.375"  # 99 - 6.625


def test_a_line_on_a_steel_face_moves_the_wall_and_not_its_counts():
    # A's right steel face on y = 0 is its centre on y = 1 13/16: B (drawn from there) is the same corner.
    by_face = taken(
        plan(
            wall("A", (0, 0), (120, 0), line="right"),
            wall("B", (0, "1 13/16"), (0, 96)),
        )
    )
    by_centre = taken(plan(wall("A", (0, "1 13/16"), (120, "1 13/16")), wall("B", (0, "1 13/16"), (0, 96))))
    assert by_face["counts"] == by_centre["counts"]
    assert wall_of(by_face, "B")["track_length"] == "96"  # 96 - 1.8125 + 1.8125
