"""Framing screws: what is screwed to the tracks, counted by adding one thing at a time.

Ground: common practice, no source. A corner stud takes one screw into each track at each end, on opposite sides: four.
A loose stud is screwed to bottom and top track once the board holds it. Layout studs stand by their fit and the board.
Ontario Building Code 9.24.3.3: studs are fastened to the runners around openings, by screw, crimp or weld.
"""

from __future__ import annotations

from tests.framing.floor import door, plan, taken, wall, wall_of


def screws(*walls, **keys) -> int:
    return taken(plan(*walls, **keys))["counts"]["framing_screws"]


def test_more_layout_studs_take_no_more_framing_screws():
    short, long = screws(wall("A", (0, 0), (48, 0))), screws(wall("A", (0, 0), (96, 0)))
    assert short == long


def test_a_corner_stud_takes_four_and_a_loose_stud_at_least_one_into_each_track():
    # Two walls apart against the same two walls at a corner: one end stud each becomes a corner and a loose stud.
    ends = {"ends": {"from": "structure"}}
    apart = screws(wall("A", (0, 0), (96, 0), **ends), wall("B", (0, 300), (0, 380), **ends))
    joined = taken(plan(wall("A", (0, 0), (96, 0)), wall("B", (0, 0), (0, 80))))
    one_end_stud = screws(wall("C", (0, 0), (96, 0))) // 2
    corner_and_loose = joined["counts"]["framing_screws"] - (apart - 2 * one_end_stud)
    assert corner_and_loose in (4 + 2, 4 + 4)


def test_the_corner_stud_of_the_through_wall_is_four_by_its_own_reason():
    out = taken(plan(wall("A", (0, 0), (96, 0)), wall("B", (0, 0), (0, 80))), explain=True)
    reasons = wall_of(out, "A")["because"]["framing_screws"]
    assert any("4" in reason["term"] and "corner" in (reason["rule"] + reason["term"]) for reason in reasons)


def test_a_door_adds_screws_for_its_jambs_and_head():
    plain = screws(wall("A", (0, 0), (120, 0)))
    with_door = screws(wall("A", (0, 0), (120, 0), openings=[door("D1", "40")]))
    two_doors = screws(wall("A", (0, 0), (200, 0), openings=[door("D1", "40"), door("D2", "120")]))
    assert with_door > plain
    assert two_doors - with_door == with_door - plain
