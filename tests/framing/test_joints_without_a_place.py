"""Where no stud can carry a joint as it should, the best that is left is taken, and said.

Ground: Gypsum Association, "Using Gypsum Board", section III: ends and edges on framing; NAVEDTRA 14044 p.5-6: no
vertical joint within 6 in of an opening's edge. Worked by hand for studs at 24 in and sheets of 48 in.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest

from tests.framing.floor import cautions, door, plan, sheets, size, studs, taken, wall, wall_type

ENDS = {"ends": {"from": "structure", "to": "structure"}}
WIDE = {"P1": wall_type(spacing="24")}


def joints(out, face="left"):
    return sorted({size(s["at"]) for s in sheets(out, "A", face)} - {0})


def test_a_joint_keeps_to_a_stud_before_it_keeps_clear_of_an_opening():
    # Studs at 24, 48, 70 3/8 (door), 72 and 96 (over it), 97 7/8 (door), 120, ...: from 48 to 120 a sheet of 48 reaches
    # no stud 6 in clear of the door from 71 to 97 1/4.
    made = plan(wall("A", (0, 0), (192, 0), openings=[door("D1", "71", width="26 1/4")], **ENDS), types=WIDE)
    out = taken(made)
    standing = {place for role in ("layout", "door", "cripple") for place in studs(out, "A", role)}
    for face in ("left", "right"):
        assert set(joints(out, face)) <= standing | {Fraction(71), Fraction("97.25")}
    found = cautions(out, "joint beside an opening")
    assert {c["opening"] for c in found} == {"D1"}
    assert all(size(c["by"]) < 6 for c in found)
    assert cautions(out, "joint without a stud") == []


def test_a_wall_whose_studs_serve_every_joint_says_nothing():
    out = taken(plan(wall("A", (0, 0), (192, 0), openings=[door("D1", "60", width="38")], **ENDS)))
    assert cautions(out, "joint beside an opening") == cautions(out, "joint without a stud") == []


def test_a_joint_that_no_stud_carries_is_told_with_its_place():
    # Standing sheets refuse so wide a spacing; lying sheets of 48 in find no stud at all between the end's and 60.
    boards = {"B58": {"thickness": "5/8", "width": "48", "lengths": ["48"], "lay": "lying"}}
    types = {"P1": wall_type(spacing="60")}
    out = taken(plan(wall("A", (0, 0), (120, 0), **ENDS), types=types, boards=boards))
    found = cautions(out, "joint without a stud")
    standing = {Fraction("0.625"), Fraction(60), Fraction("119.375")}
    assert len(found) == len([at for face in ("left", "right") for at in joints(out, face) if at not in standing])
    assert len(found) >= 4  # at least one in each half of each face
    assert all("has no stud behind it" in c["sentence"] for c in found)


@pytest.mark.parametrize(("room", "by"), [("1.25", "1.25"), ("2", "0.5"), ("2.5", None)])
def test_a_loose_stud_serves_a_jamb_that_has_no_room_for_its_own(room, by):
    # The stem's track starts at 1 13/16 + 5/8 = 2 7/16 from the line; two 1 1/4 in flanges need 2 1/2 of it.
    at = Fraction("2.4375") + Fraction(room)
    whole, rest = divmod(at, 1)
    stem = wall("S1", (120, 0), (120, 100), openings=[door("D1", f"{whole} {rest}")])
    out = taken(plan(wall("T1", (0, 0), (240, 0)), stem))
    assert cautions(out, "door beside a tee") == []
    assert [c["by"] for c in cautions(out, "one stud for two")] == ([] if by is None else [by])
    assert studs(out, "S1", "loose") == [Fraction("0.625")]
    assert len(studs(out, "S1", "door")) == (2 if by is None else 1)
    flanges = sorted(size(s["at"]) for s in out["levels"][0]["studs"] if s["wall"] == "S1" and s["bottom"] == "0")
    assert all(far - near >= Fraction("1.25") for near, far in pairwise(flanges)), "two studs in one place"


def test_of_two_studs_too_near_an_opening_the_further_one_bears_the_joint():
    # The door from 71 to 97 1/4 of above: its own studs stand 5/8 in off its edges, the cripples over it at 72 and 96
    # are 1 and 1 1/4 in off.
    made = plan(wall("A", (0, 0), (192, 0), openings=[door("D1", "71", width="26 1/4")], **ENDS), types=WIDE)
    found = cautions(taken(made), "joint beside an opening")
    assert found
    assert all(size(c["by"]) >= 1 for c in found), "a joint on the jamb's own stud, though a cripple is further off"


def test_no_strip_is_cut_at_an_end_stud_where_there_is_a_choice():
    # Lying sheets of 48 over studs at 60: a joint on the end stud's middle would be a strip of 5/8 in.
    boards = {"B58": {"thickness": "5/8", "width": "48", "lengths": ["48"], "lay": "lying"}}
    types = {"P1": wall_type(spacing="60")}
    out = taken(plan(wall("A", (0, 0), (120, 0), **ENDS), types=types, boards=boards))
    assert all(size(s["width"]) > Fraction(5, 4) for face in ("left", "right") for s in sheets(out, "A", face))


def test_a_cap_says_the_end_of_the_wall_at_which_it_stands():
    out = taken(plan(wall("A", (0, 0), (96, 0))))
    assert {s["at"] for s in sheets(out, "A", "from end")} == {"0"}
    assert {s["at"] for s in sheets(out, "A", "to end")} == {"96"}
