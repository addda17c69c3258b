"""An opening may not stand in another wall's steel, nor hide the board, or the stud, that a corner needs.

Ground: geometry and common practice, no source. Worked by hand for 3 5/8 in steel (1 13/16 to each side of its line),
1 1/4 in flanges, 5/8 in board and slot.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from framing.plan import PlanMistakes
from tests.framing.floor import cautions, door, plan, studs, taken, wall, wall_type


def window(at):
    return {"mark": "W1", "kind": "window", "at": at, "width": "30", "height": "30", "sill": "30"}


def corner(at, **keys):
    """A window in the longer wall, which runs through; B laps it at A's start."""
    return plan(wall("A", (0, 0), (120, 0), openings=[window(at)]), wall("B", (0, 0), (0, 96)), **keys)


@pytest.mark.parametrize(("at", "by"), [("1 13/16", "0.625"), ("2", "0.4375"), ("2 7/16", None), ("4", None)])
def test_an_opening_in_the_through_wall_clears_the_board_of_the_wall_that_laps(at, by):
    found = cautions(taken(corner(at)), "opening beside a corner")
    assert [c["by"] for c in found] == ([] if by is None else [by])
    for caution in found:
        assert caution["opening"] == "W1"
        assert "2 7/16" in caution["sentence"]  # 1 13/16 + 5/8: where it may stand


def test_the_board_that_counts_is_that_of_the_face_that_looks_into_the_corner():
    # B, walked north, has the corner on its right: two layers there, 1 1/4 in, ask for 3 1/16 in.
    types = {"P1": wall_type(), "L": wall_type(right=["B58", "B58"])}
    made = corner("2 7/16", types=types)
    made["levels"][0]["walls"][1]["type"] = "L"
    (caution,) = cautions(taken(made), "opening beside a corner")
    assert caution["by"] == "0.625"
    made["levels"][0]["walls"][1] |= {"from": [0, 96], "to": [0, 0]}  # walked south: the corner is on its left
    assert cautions(taken(made), "opening beside a corner") == []


LINES = {
    "through": plan(wall("A", (0, 0), (120, 0), openings=[window("1")]), wall("B", (0, 0), (0, 96))),
    "lap": plan(wall("A", (0, 0), (120, 0)), wall("B", (0, 0), (0, 96), openings=[window("1")])),
    "far end": plan(wall("A", (0, 0), (120, 0)), wall("B", (0, 96), (0, 0), openings=[window("65")])),
    "stem": plan(wall("A", (0, 0), (120, 0)), wall("B", (60, 100), (60, 0), openings=[window("69")])),
    "tee": plan(wall("A", (0, 0), (120, 0), openings=[window("31")]), wall("B", (60, 100), (60, 0))),
}


@pytest.mark.parametrize("name", LINES)
def test_an_opening_in_another_walls_steel_is_refused(name):
    with pytest.raises(PlanMistakes) as refused:
        taken(LINES[name])
    (sentence,) = refused.value.mistakes
    assert "opening W1" in sentence
    assert "steel of wall" in sentence
    assert sentence.endswith("Move the opening or the wall.")


def test_no_stud_stands_outside_its_track_where_a_jamb_leaves_no_room():
    # 1 in from a free end there is no room for a 1 1/4 in flange; the far jamb's stud stands: 1 + 38 + 5/8.
    out = taken(plan(wall("A", (0, 0), (138, 0), openings=[door("D1", "1")])))
    assert studs(out, "A", "door") == [Fraction("39.625")]
    assert [c["by"] for c in cautions(out, "opening beside an end")] == ["1.5"]  # 2 x 1 1/4 - 1


def test_a_jamb_in_a_stems_slot_does_not_take_the_other_jambs_stud_away():
    # S stops at 97.5625; the door from 59.9 to 97.9 has its near jamb's stud at 59.9 - 0.625.
    out = taken(plan(wall("A", (0, 0), (120, 0)), wall("S", (60, 100), (60, 0), openings=[door("D1", "59.9")])))
    assert studs(out, "S", "door") == [Fraction("59.275")]
    assert len(cautions(out, "door beside a tee")) == 1


def test_no_cure_puts_an_opening_off_its_wall():
    out = taken(plan(wall("A", (0, 0), (38, 0), openings=[door("D1", "0")])))
    found = cautions(out, "opening beside an end")
    assert len(found) == 2
    assert all(c["sentence"].endswith("Narrow the opening or lengthen the wall.") for c in found)
