"""Framing screws, counted by hand: studs into both tracks, and heads and sills to their jambs.

Ground: common practice, no source. A corner stud takes one screw into each track at each end, on opposite sides: four
in all; so does every stud that is fastened, the loose one last. A head is screwed at its two bent ends, two in each.
Ontario Building Code 9.24.3.3: studs are fastened to the runners around openings; 9.24.3.2: under a deflection gap not
to the top runner.
"""

from __future__ import annotations

from tests.framing.floor import door, level, plan, room, taken, wall, wall_of, wall_type


def screws(*walls, **keys) -> int:
    return taken(plan(*walls, **keys))["counts"]["framing_screws"]


def test_the_room_by_hand():
    # A: corner, 7 layout, end: 9 studs x 4 = 36.
    # B: loose, 2 door, 2 layout, end: 6 x 4 = 24; two cripples between head and top track x 4 = 8; the head 2 x 2 = 4.
    out = taken(room())
    assert wall_of(out, "A")["counts"]["framing_screws"] == 36
    assert wall_of(out, "B")["counts"]["framing_screws"] == 36
    assert out["counts"]["framing_screws"] == 72


def test_every_corner_and_loose_stud_takes_four():
    # the same walls apart and at a corner have as many studs: one end stud each becomes a corner and a loose stud
    apart = screws(wall("A", (0, 0), (96, 0)), wall("B", (0, 300), (0, 380)))
    joined = taken(plan(wall("A", (0, 0), (96, 0)), wall("B", (0, 0), (0, 80))))
    studs = len(level(joined)["studs"])
    assert joined["counts"]["framing_screws"] == 4 * studs
    assert apart % 4 == 0


def test_one_more_stud_takes_four_more():
    assert screws(wall("A", (0, 0), (96, 0))) - screws(wall("A", (0, 0), (80, 0))) == 4


def test_under_a_deflection_gap_no_stud_is_screwed_to_the_top_track():
    types = {"P1": wall_type(head_gap="1/2")}
    assert screws(wall("A", (0, 0), (96, 0)), types=types) * 2 == screws(wall("A", (0, 0), (96, 0)))


def test_a_door_adds_its_jambs_and_head_and_leaves_out_what_stood_there():
    # 120 in: end studs and 16 ... 96, 112: 9 studs, 36. Door 40 to 78: jambs at 39.375 and 78.625; 48 and 64 become
    # cripples, which are screwed alike; at 80 the jamb (78 to 79.25) leaves 79.375: it stands. 36 + 8 + head 4 = 48.
    assert screws(wall("A", (0, 0), (120, 0))) == 36
    assert screws(wall("A", (0, 0), (120, 0), openings=[door("D1", "40")])) == 48
