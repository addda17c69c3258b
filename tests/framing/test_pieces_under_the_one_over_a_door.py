"""Beside a door corner the piece over the door is hung by itself, and what stands under it is cut piece by piece.

Ground: geometry (derived); common practice, no source: tape over every joint of the outermost layer.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.framing.floor import BOARD, Json, door, plan, sheets, size, taken, wall, wall_of

LYING = {"B58": {**BOARD, "lay": "lying"}}


def corner(length: int, *doors: Json, boards: Json) -> Json:
    """Wall B laps A, 1 13/16 in past the corner's centre; its inside board starts 4 1/4 in along, its outside 1/4."""
    leg = wall("B", (0, 0), (0, length), ends={"to": "structure"}, openings=list(doors))
    return taken(plan(wall("A", (0, 0), (240, 0)), leg, boards=boards), explain=True)


def joints_at(out: Json, up: str) -> dict[str, Fraction]:
    """Tape of wall B's joints at a height, by face."""
    found: dict[str, Fraction] = {}
    for reason in wall_of(out, "B")["because"]["tape_in"]:
        where, _, length = reason["term"].rpartition(": ")
        if where.endswith(f", {up} up"):
            feet, _, inches = length.rstrip('"').rpartition("'-")
            whole = sum((Fraction(part) for part in inches.split()), Fraction(0))
            face = where.split()[0]
            found[face] = found.get(face, Fraction(0)) + 12 * Fraction(feet or 0) + whole
    return found


def under(out: Json, face: str, up: str) -> list[Fraction]:
    """Widths of the pieces of a face whose tops are at a height."""
    return [size(s["width"]) for s in sheets(out, "B", face) if size(s["bottom"]) + size(s["height"]) == Fraction(up)]


def test_the_joint_is_taped_on_both_sides_of_the_door():
    # Door from 9 13/16 to 33 13/16 along the track, the first sheet inside to the stud at 48: 5 9/16 of leg, and
    # 14 3/16 beyond the door.
    out = corner(96, door("D1", "8", width="24"), boards={"B58": BOARD})
    assert under(out, "right", "84") == [Fraction("5.5625"), Fraction("14.1875")]
    assert joints_at(out, "7'-0\"")["right"] == Fraction("5.5625") + Fraction("14.1875")


def test_a_second_door_takes_its_width_out_of_what_stands_under_the_piece():
    # Inside board from 4 1/4 to 141 13/16 in one length of 144. Doors from 9 13/16 and 51 13/16, 24 and 30 in wide:
    # under 72 in stand 5 9/16, then 18 between the doors, then 60, and none of them reaches over the second door.
    doors = (door("D1", "8", width="24", height="72"), door("D2", "50", width="30"))
    out = corner(140, *doors, boards=LYING)
    expected = [Fraction("5.5625"), Fraction(18), Fraction(60)]
    assert under(out, "right", "72") == expected
    assert joints_at(out, "6'-0\"")["right"] == sum(expected)


def test_a_door_as_high_as_the_course_parts_the_piece_over_a_lower_one():
    # The second door, 100 in high, takes the whole course from 48 1/2 to 96 1/2: the piece over the first one, 72 in
    # high, ends there, 4 1/4 to 51 13/16, and 60 in of whole course stand beyond.
    doors = (door("D1", "8", width="24", height="72"), door("D2", "50", width="30", height="100"))
    out = corner(140, *doors, boards=LYING)
    assert under(out, "right", "72") == [Fraction("5.5625"), Fraction(18)]
    assert under(out, "right", "96.5") == [Fraction("47.5625"), Fraction(60)]
    assert joints_at(out, "6'-0\"")["right"] == Fraction("23.5625")


def test_a_window_under_the_joint_takes_its_width_out_of_the_tape():
    # As above, with a window 30 in wide whose head is above the joint and whose sill is above the course's foot
    window = {"mark": "W1", "kind": "window", "at": "50", "width": "30", "sill": "60", "height": "30"}
    out = corner(140, door("D1", "8", width="24", height="72"), window, boards=LYING)
    assert under(out, "right", "72") == [Fraction("5.5625"), Fraction(108)]
    assert joints_at(out, "6'-0\"")["right"] == Fraction("5.5625") + 108 - 30


@pytest.mark.parametrize(("start", "end"), [("from", "to"), ("to", "from")])
def test_the_leg_is_cut_at_the_head_of_its_own_door_whichever_way_the_wall_is_drawn(start, end):
    # The door beside the corner is 84 in high, one further off 72: the course from 48 1/2 to 96 1/2 is cut at 84, its
    # leg 5 9/16 wide, and the lower door is cut out of the one piece beyond, from 33 13/16 to 141 13/16.
    doors = [door("D1", "8", width="24"), door("D2", "50", width="30", height="72")]
    points = {start: [0, 0], end: [0, 140]}
    if start == "to":
        doors = [door("D1", "108", width="24"), door("D2", "60", width="30", height="72")]
    leg = wall("B", (0, 0), (0, 140), ends={end: "structure"}, openings=doors) | points
    out = taken(plan(wall("A", (0, 0), (240, 0)), leg, boards=LYING))
    inside = "right" if start == "from" else "left"
    assert sorted(under(out, inside, "84")) == [Fraction("5.5625"), Fraction(108)]
    assert [size(s["height"]) for s in sheets(out, "B", inside) if s["bottom"] == "84"] == [Fraction("12.5")]
