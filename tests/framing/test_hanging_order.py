"""The order in which board is hung, at a corner, a door corner, a tee and over a whole level.

Ground: common practice, no source. The board in the slot ties the loose stud and goes first; then the other inside
face; outside, the flat side of the corner stud before its flange side; over a door before the leg beside it.
"""

from __future__ import annotations

from itertools import product

from tests.framing.floor import Json, cautions, door, level, plan, room, sheets, size, taken, wall


def steps(out: Json, mark: str, face: str, *, start: bool = True) -> list[int]:
    """Steps of the sheets of one face that reach the wall's start, or its end."""
    own = sheets(out, mark, face)
    edge = min(size(s["at"]) for s in own) if start else max(size(s["at"]) + size(s["width"]) for s in own)
    return [s["step"] for s in own if edge in (size(s["at"]), size(s["at"]) + size(s["width"]))]


def before(first: list[int], then: list[int]) -> bool:
    assert first and then
    return all(one < two for one, two in product(first, then))


def test_every_sheet_has_a_step_of_its_own():
    numbers = [sheet["step"] for sheet in level(taken(room()))["sheets"]]
    assert sorted(numbers) == list(range(1, len(numbers) + 1))


def test_a_corner_is_closed_from_the_tie_to_the_flange_side():
    # A runs through along x, B laps it along y: A's left face is inside the corner, B's right face is.
    out = taken(plan(wall("A", (0, 0), (120, 0)), wall("B", (0, 0), (0, 96))))
    tie, inside = steps(out, "A", "left"), steps(out, "B", "right")
    flat, flange = steps(out, "B", "left"), steps(out, "A", "right")
    assert before(tie, inside)
    assert before(inside, flat)
    assert before(flat, flange)


def test_the_piece_over_the_door_goes_before_the_leg():
    out = taken(plan(wall("A", (0, 0), (120, 0)), wall("B", (0, 0), (0, 96), openings=[door("D1", "8")])))
    for face in ("left", "right"):
        over = [s for s in sheets(out, "B", face) if s["bottom"] == "84"]
        leg = [s for s in sheets(out, "B", face) if size(s["bottom"]) + size(s["height"]) == 84 and size(s["at"]) < 9]
        assert [s["width"] for s in leg] == [{"left": "9.5625", "right": "5.5625"}[face]]  # to the jamb at 9.8125
        assert before([s["step"] for s in over if size(s["at"]) < 9], [s["step"] for s in leg])
    assert before(steps(out, "A", "left"), steps(out, "B", "right"))


def test_the_through_wall_is_closed_behind_a_stem_first():
    out = taken(plan(wall("T", (0, 0), (240, 0)), wall("S", (120, 0), (120, 96))))
    behind = [s["step"] for s in sheets(out, "T", "left") if size(s["at"]) < 121 < size(s["at"]) + size(s["width"])]
    for face in ("left", "right"):
        assert before(behind, steps(out, "S", face))


def test_a_base_layer_goes_before_the_layer_on_it():
    types = {
        "P1": {"stud": "362S125-18", "track": "362T125-18", "spacing": "16", "left": ["B58", "B58"], "right": ["B58"]}
    }
    out = taken(plan(wall("A", (0, 0), (120, 0)), types=types))
    for base, over in product(sheets(out, "A", "left", 1), sheets(out, "A", "left", 2)):
        if size(base["at"]) < size(over["at"]) + size(over["width"]) and size(over["at"]) < size(base["at"]) + size(
            base["width"]
        ):
            assert base["step"] < over["step"]


def test_the_rules_that_are_printed_are_kept():
    made = room()
    made["levels"][0]["walls"].append(wall("C", (120, 0), (120, 96)))
    made["levels"][0]["walls"].append(wall("D", (0, 96), (120, 96)))
    found = level(taken(made))["hanging"]
    assert found
    for rule in found:
        assert rule["because"]
        assert all(step < rule["step"] for step in rule["after"])


def test_a_room_whose_rules_run_in_a_ring_leaves_one_stud_loose_and_says_so():
    # Four walls of one sheet a face, each through at one corner and lapping at the next: a ring that cannot be kept.
    corners = [(0, 0), (40, 0), (40, 40), (0, 40)]
    walls = [wall(mark, corners[i], corners[(i + 1) % 4]) for i, mark in enumerate("ABCD")]
    rules = [{"walls": ["ABCD"[i], "ABCD"[(i + 1) % 4]], "through": "ABCD"[i]} for i in range(4)]
    out = taken(plan(*walls, junctions=rules))
    (caution,) = cautions(out, "left loose")
    assert "angled screws every 24 in" in caution["sentence"]
    numbers = [sheet["step"] for sheet in level(out)["sheets"]]
    assert sorted(numbers) == list(range(1, len(numbers) + 1))
