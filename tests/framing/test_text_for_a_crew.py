"""The printed text speaks in feet and inches, names each side of an oblique cut, and every reason's figures add up.

Ground: common practice, no source (tapes are read to 1/16 in); geometry by hand for walls at a 60 degree corner.
"""

from __future__ import annotations

import json
from fractions import Fraction

import pytest

from framing.plan import PlanMistakes
from framing.printed import takeoff_text
from tests.framing.floor import door, plan, room, taken, wall, wall_of

OBLIQUE = plan(wall("A", (0, 0), (120, 0)), wall("B", (0, 0), (60, 100)))


def test_lengths_that_no_tape_shows_are_marked_and_rounded_to_a_sixteenth():
    text = takeoff_text(taken(OBLIQUE))
    assert " mm" not in text
    assert "~9'-8 5/8\"" in text  # the root of 60 x 60 + 100 x 100 is 116.619 in
    assert "~ marks a length that is not exact" in text


def test_an_oblique_cut_names_the_side_of_each_flange_and_of_the_snip():
    out = taken(OBLIQUE)
    (piece,) = [p for p in out["levels"][0]["track_pieces"] if p["wall"] == "B" and p["row"] == "bottom"]
    back = piece["from_end"]["flanges_back"]
    assert Fraction(back["left"]) < Fraction(back["right"])
    (line,) = [one for one in takeoff_text(out).splitlines() if one.startswith("  B     bottom")]
    assert line.index(" left and ") < line.index(" right, snipped back ")


def test_a_square_room_is_printed_without_a_single_mark():
    lines = takeoff_text(taken(room())).splitlines()
    assert not any("~" in line for line in lines[2:])


def test_a_caps_screws_are_told_as_two_rows_on_the_end_stud():
    terms = [
        reason
        for reason in wall_of(taken(room(), explain=True), "A")["because"]["board_screws"]
        if "cap" in reason["rule"]
    ]
    # 107 1/2 in high, 3/8 in from both ends, 8 in apart: ceil(106 3/4 / 8) + 1 = 15, in two rows
    assert [reason["term"] for reason in terms] == ['to end, layer 1, piece from 1/2" up: 30']


def test_more_openings_than_any_wall_has_are_refused():
    openings = [door(f"D{number}", str(20 + 60 * number)) for number in range(201)]
    with pytest.raises(PlanMistakes, match="201 are more than 200 in one wall"):
        taken(plan(wall("A", (0, 0), (60 * 201 + 60, 0), openings=openings)))
    assert json.dumps(taken(plan(wall("A", (0, 0), (180, 0), openings=openings[:2]))))
