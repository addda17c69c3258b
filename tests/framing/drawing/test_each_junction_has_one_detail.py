"""Junctions made alike share one detail, whichever way they are turned or handed; each stands in exactly one."""

from __future__ import annotations

from copy import deepcopy

import pytest

from framing.drawing.details import detail_drawing, details_of
from framing.drawing.drawn import DrawnLevel
from tests.framing.drawing.drawn import PLANS, drawn, drawn_of, words
from tests.framing.floor import Json, door, plan, wall


def floor() -> Json:
    return plan(
        wall("A", (0, 0), (200, 0)),
        wall("B", (200, 0), (200, 150)),
        wall("C", (200, 150), (0, 150)),
        wall("D", (0, 150), (0, 0)),
        wall("E", (100, 0), (100, 150), openings=[door("D1", "60", hinge="near", swing="left")]),
        wall("F", (-150, -100), (-50, -100)),
        wall("G", (-50, -100), (-50, -220), openings=[door("D1", "7")]),
    )


def shape(level: DrawnLevel) -> list[tuple[str, int]]:
    return sorted((detail.drawn.junction.kind, len(detail.all)) for detail in details_of(level))


@pytest.mark.parametrize("name", PLANS)
def test_every_junction_stands_in_one_detail(name: str):
    level = drawn(name)
    found = [met.junction for detail in details_of(level) for met in detail.all]
    assert len(found) == len(set(found))
    assert set(found) == set(level.junctions)


@pytest.mark.parametrize("quarter", [1, 2, 3])
def test_a_turned_plan_has_the_same_details(quarter: int):
    turned = deepcopy(floor())
    for one in turned["levels"][0]["walls"]:
        for end in ("from", "to"):
            for _ in range(quarter):
                one[end] = [-one[end][1], one[end][0]]
    assert shape(drawn_of(turned)) == shape(drawn_of(floor()))


def test_a_mirrored_corner_is_the_other_hand_of_the_same_detail():
    # Two rooms' corners, one the mirror of the other: one detail, one of them in the other hand.
    level = drawn_of(
        plan(
            wall("A", (0, 0), (120, 0)),
            wall("B", (0, 0), (0, 96)),
            wall("C", (400, 0), (280, 0)),
            wall("D", (400, 0), (400, 96)),
        )
    )
    (corner,) = [detail for detail in details_of(level) if detail.drawn.junction.kind == "corner"]
    assert [met.junction.walls for met in corner.other_hand] == [("C", "D")]
    said = " ".join(words(detail_drawing(corner, level)))
    assert "Other hand (seen in a mirror) at C + D." in said


def test_every_kind_of_junction_is_drawn_and_named():
    found = {detail.drawn.junction.kind for name in PLANS for detail in details_of(drawn(name))}
    assert found == {"corner", "door corner", "tee", "cross", "in line", "free end", "structure"}
    said = [word for detail in details_of(drawn("slants")) for word in words(detail_drawing(detail, drawn("slants")))]
    # Directions (60, 103.923) and (50, 86.6025) against the x axis: 60 and 120 degrees; (50, -70): 54.5 (derived).
    assert {"Corner, 60 degrees", "Corner, 120 degrees", "Tee, 54.5 degrees"} <= set(said)


@pytest.mark.parametrize("name", PLANS)
def test_numbers_on_the_board_keep_the_level_s_order_of_hanging(name: str):
    level = drawn(name)
    for detail in details_of(level):
        for met in detail.all:
            steps = {sheet.step for part in met.parts for sheet in part.sheets()}
            for rule in level.rules:
                if rule.step in steps:
                    for first in set(rule.after) & steps:
                        assert met.ranks[first] < met.ranks[rule.step]


def test_the_worked_corner_is_hung_in_the_order_of_the_trade():
    # Inside of the through wall (it ties the loose stud), inside of the lapping wall, outside over the flat side of
    # the corner stud, outside over its flange (common practice, no source).
    level = drawn("room")
    corner = next(detail.drawn for detail in details_of(level) if detail.drawn.junction.kind == "corner")
    ranked = {
        (part.wall.mark, face): corner.rank(steps) for part in corner.parts for face, _, _, steps in part.boards()
    }
    assert ranked == {("A", "left"): 1, ("B", "right"): 2, ("B", "left"): 3, ("A", "right"): 4}


def test_a_door_corner_shows_its_leg():
    level = drawn("door corner")
    corner = next(detail for detail in details_of(level) if detail.drawn.junction.kind == "door corner")
    drawing = detail_drawing(corner, level)
    said = words(drawing)
    # The crossing wall is 6 in wide: tab 6, flanges back 6 5/8 (common practice, no source).
    assert {'tab 6"', 'slot 5/8"', 'flanges back 6 5/8"', "door D1", "C", "L", "D"} <= set(said)
    assert any("the piece over the door goes before the leg" in " ".join(said[at : at + 3]) for at in range(len(said)))
