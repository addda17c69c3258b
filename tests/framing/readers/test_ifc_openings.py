"""Openings of a model's walls: measured from their own geometry, clipped, recessed, missing, doubled, round, empty."""

from __future__ import annotations

import pytest

from framing.length import inch
from framing.plan import DOOR, OPENING, WINDOW
from tests.framing.readers.made_ifc import BOARDS, Made, the_reason

LONG = 6096.0  # 20 ft


def kinds(model):
    return {caution.kind for caution in model.cautions.get("Level 1", ())}


@pytest.fixture
def made():
    return Made("IFC4", 25.4)


@pytest.fixture
def wall(made):
    return made.wall(length=LONG, height=3048)


def openings(model):
    return model.plan.levels[0].walls[0].openings


def test_doors_windows_and_empty_openings_with_their_sizes(made, wall, tmp_path):
    made.opening(wall, 25.4 * 100, 25.4 * 36, 25.4 * 48, 25.4 * 32, fill="IfcWindow")
    made.opening(wall, 25.4 * 24, 25.4 * 38, 25.4 * 84)
    made.opening(wall, 25.4 * 180, 25.4 * 40, 25.4 * 80, fill=None)
    found = openings(made.read(tmp_path))
    assert [(o.mark, o.kind, o.at, o.width, o.height, o.sill) for o in found] == [
        ("D1", DOOR, inch(24), inch(38), inch(84), 0),
        ("W1", WINDOW, inch(100), inch(36), inch(48), inch(32)),
        ("O1", OPENING, inch(180), inch(40), inch(80), 0),
    ]


def test_stated_width_and_height_of_an_opening_are_never_read(made, wall, tmp_path):
    opening = made.opening(wall, 508, 965.2, 2133.6)
    made.quantities(opening, [("Width", 2133.6), ("Height", 965.2)], "BaseQuantities")
    (door,) = openings(made.read(tmp_path))
    assert (door.width, door.height) == (inch(38), inch(84))


def test_one_past_the_end_is_cut_there_with_a_caution(made, wall, tmp_path):
    made.opening(wall, LONG - 500, 1000, 2100)
    model = made.read(tmp_path)
    (door,) = openings(model)
    assert door.far == inch(240)
    assert "opening past the wall" in kinds(model)


def test_one_beside_the_wall_or_above_it_is_left_out(made, wall, tmp_path):
    made.opening(wall, LONG + 10, 1000, 2100)
    made.opening(wall, 1000, 900, 900, 3100)
    model = made.read(tmp_path)
    assert openings(model) == ()
    assert {one.reason for one in model.left_out} == {"lies outside of the wall's length or height"}


def test_an_empty_opening_that_misses_the_thickness_is_left_out_and_a_door_there_is_taken(made, wall, tmp_path):
    missing = made.opening(wall, 500, 900, 2100, depth=50, aside=300, fill=None)
    made.opening(wall, 3000, 900, 2100, depth=50, aside=300)
    model = made.read(tmp_path)
    assert [o.kind for o in openings(model)] == [DOOR]
    assert "misses the wall in its thickness; the wall is counted as if it were closed there" in the_reason(model)
    assert model.left_out[0].id == missing.GlobalId
    assert "shallow opening" in kinds(model)


def test_a_recess_is_left_out(made, wall, tmp_path):
    made.opening(wall, 500, 900, 900, 900, depth=60, aside=50, fill=None)
    model = made.read(tmp_path)
    assert openings(model) == ()
    assert "does not reach through the wall" in the_reason(model)


def test_one_drawn_twice_is_counted_once(made, wall, tmp_path):
    for _ in range(2):
        made.opening(wall, 500, 900, 2100)
    model = made.read(tmp_path)
    assert len(openings(model)) == 1
    assert "counted once" in the_reason(model)


def test_two_that_overlap_leave_the_wall_out_with_the_engines_reason(made, wall, tmp_path):
    made.opening(wall, 500, 900, 2100)
    made.opening(wall, 1000, 900, 2100)
    assert "lies over opening" in the_reason(made.read(tmp_path))


@pytest.mark.parametrize(
    ("second", "fill", "box"),
    [
        ((500, 900, 600, 2000), "IfcWindow", (900, 2600)),  # a light over a door, drawn 100 mm into it
        ((500, 900, 500, 2100), "IfcWindow", (900, 2600)),  # the same, edge to edge
        ((600, 300, 1200, 500), "IfcWindow", (900, 2100)),  # a pane in the door's leaf
        ((1200, 600, 2100, 0), "IfcWindow", (1300, 2100)),  # a light beside it, drawn 200 mm into it
    ],
)
def test_a_door_and_its_lights_are_one_opening(made, wall, tmp_path, second, fill, box):
    at, width, height, sill = second
    made.opening(wall, 500, 900, 2100)
    made.opening(wall, at, width, height, sill, fill=fill)
    model = made.read(tmp_path)
    (one,) = openings(model)
    assert (one.kind, one.sill) == (DOOR, 0)
    assert tuple(round(float(side) / 3_200_000, 3) for side in (one.width, one.height)) == box
    assert "openings joined" in kinds(model)


def test_two_windows_that_make_no_rectangle_leave_the_wall_out(made, wall, tmp_path):
    made.opening(wall, 500, 900, 1000, 900, fill="IfcWindow")
    made.opening(wall, 1000, 900, 1200, 800, fill="IfcWindow")
    assert "lies over opening" in the_reason(made.read(tmp_path))


def test_an_opening_without_a_body_is_left_out(made, wall, tmp_path):
    opening = made.opening(wall, 500, 900, 2100)
    opening.Representation = None
    model = made.read(tmp_path)
    assert len(model.plan.levels[0].walls) == 1
    assert the_reason(model) == f"has no body; wall {wall.GlobalId} is counted as if it were closed there"


def test_a_round_window_is_framed_as_its_box(made, wall, tmp_path):
    profile = made.file.create_entity("IfcCircleProfileDef", "AREA", None, None, 300 / made.mm)
    upright = made.frame((0, 300, 0), (1, 0, 0), (0, -1, 0))
    disc = made.file.create_entity("IfcExtrudedAreaSolid", profile, upright, made.direction(0, 0, 1), 600 / made.mm)
    made.opening(wall, 2000, 0, 0, 1500, fill="IfcWindow", body=disc)
    model = made.read(tmp_path)
    (window,) = openings(model)
    assert (round(window.width / 3_200_000, 3), round(window.height / 3_200_000, 3)) == (600, 600)
    assert "not a rectangle" in kinds(model)


def test_an_elevation_profile_pushed_through_the_wall_is_the_same_opening(made, wall, tmp_path):
    outline = [(0, 0), (965.2, 0), (965.2, 2133.6), (0, 2133.6)]
    made.opening(wall, 508, 0, 0, body=made.slab(outline, 400))
    (door,) = openings(made.read(tmp_path))
    assert (door.at, door.width, door.height) == (inch(20), inch(38), inch(84))


def test_a_door_a_little_above_the_floor_is_framed_from_the_floor(made, wall, tmp_path):
    made.opening(wall, 500, 900, 2100, 25.4)
    made.opening(wall, 3000, 900, 1500, 609.6)
    model = made.read(tmp_path)
    low, high = openings(model)
    assert (low.kind, low.sill) == (DOOR, 0)
    assert (high.kind, high.sill) == (OPENING, inch(24))
    assert "door sill" in kinds(model)


def test_a_wall_below_the_floor_still_has_its_door_to_the_floor(tmp_path):
    made = Made()
    wall = made.wall(length=LONG, height=3388, base=-488)
    made.opening(wall, 500, 900, 2032, 488)
    model = made.read(tmp_path)
    assert model.plan.levels[0].walls[0].height_from == 2900 * 3_200_000
    (door,) = openings(model)
    assert (door.kind, door.sill, door.height) == (DOOR, 0, inch(80))
    assert "below the floor" in kinds(model)


def test_doors_without_an_opening_and_openings_in_other_things_are_listed(made, wall, tmp_path):
    door = made.file.create_entity("IfcDoor", made.guid())
    slab = made.file.create_entity("IfcSlab", made.guid(), ObjectPlacement=made.place())
    hole = made.opening(slab, 0, 500, 500, fill=None)
    curtain = made.file.create_entity("IfcCurtainWall", made.guid())
    model = made.read(tmp_path)
    reasons = {one.id: one.reason for one in model.left_out}
    assert "stands in no opening" in reasons[door.GlobalId]
    assert "an opening in an IfcSlab" in reasons[hole.GlobalId]
    assert "curtain wall" in reasons[curtain.GlobalId]


def test_a_door_cut_out_of_the_body_already_needs_no_second_cut(tmp_path):
    made = Made()
    outline = [(0, 0), (1000, 0), (1000, 2100), (1900, 2100), (1900, 0), (LONG, 0), (LONG, 2743.2), (0, 2743.2)]
    wall = made.wall(body=made.slab(outline, 123.825), length=LONG)
    made.opening(wall, 1000, 900, 2100)
    model = made.read(tmp_path)
    (door,) = openings(model)
    assert (door.at, door.width) == (1000 * 3_200_000, 900 * 3_200_000)


def test_holes_in_a_boundary_that_no_opening_explains_leave_the_wall_out(tmp_path):
    made = Made()
    y = 123.825 / 2
    near = [made.point(x, -y, z) for x, z in ((0, 0), (3000, 0), (3000, 2400), (0, 2400))]
    hole = [made.point(x, -y, z) for x, z in ((800, 800), (2000, 800), (2000, 2000), (800, 2000))]
    far = [made.point(x, y, z) for x, z in ((0, 0), (3000, 0), (3000, 2400), (0, 2400))]
    inner = [made.point(x, y, z) for x, z in ((800, 800), (2000, 800), (2000, 2000), (800, 2000))]
    faces = []
    for outer, cut in ((near, hole), (far, inner)):
        bounds = [made.file.create_entity("IfcFaceOuterBound", made.file.create_entity("IfcPolyLoop", outer), True)]
        bounds.append(made.file.create_entity("IfcFaceBound", made.file.create_entity("IfcPolyLoop", cut), True))
        faces.append(made.file.create_entity("IfcFace", bounds))
    for index in range(4):
        after = (index + 1) % 4
        loop = made.file.create_entity("IfcPolyLoop", [near[index], near[after], far[after], far[index]])
        faces.append(made.file.create_entity("IfcFace", [made.file.create_entity("IfcFaceOuterBound", loop, True)]))
    body = made.file.create_entity("IfcFacetedBrep", made.file.create_entity("IfcClosedShell", faces))
    wall = made.wall(body=body, body_kind="Brep", length=3000)
    assert "holes, steps or slots" in the_reason(made.read(tmp_path))
    made.opening(wall, 800, 1200, 1200, 800, fill="IfcWindow")
    assert len(openings(made.read(tmp_path))) == 1


@pytest.mark.parametrize(
    ("operation", "turned", "hinge", "swing"),
    [
        ("SINGLE_SWING_LEFT", False, "near", "left"),
        ("SINGLE_SWING_RIGHT", False, "far", "left"),
        ("SINGLE_SWING_LEFT", True, "far", "right"),
        ("DOUBLE_DOOR_SINGLE_SWING", False, "", ""),
    ],
)
def test_hinge_and_swing_are_as_the_standard_defines_them(made, wall, tmp_path, operation, turned, hinge, swing):
    # ISO 16739, IfcDoorTypeOperationEnum: hinges left as seen along the door's own y, towards which it opens
    opening = made.opening(wall, 508, 965.2, 2133.6)
    door = made.file.by_type("IfcDoor")[0]
    door.OperationType = operation
    if turned:
        door.ObjectPlacement = made.place(opening, (965.2, 0, 0), (-1, 0, 0))
    (found,) = openings(made.read(tmp_path))
    assert (found.hinge, found.swing) == (hinge, swing)


def test_layers_from_right_to_left_turn_the_wall_with_its_openings(tmp_path):
    made = Made("IFC4", 25.4)
    layers = (*BOARDS, ("Plasterboard", 12.7))  # the odd layer lies last
    for sense in ("NEGATIVE", "POSITIVE"):
        y = 0 if sense == "NEGATIVE" else 3000
        wall = made.wall((0, y), length=LONG, layers=layers, sense=sense, tag=sense[:3])
        made.opening(wall, 25.4 * 24, 25.4 * 38, 25.4 * 84)
        made.file.by_type("IfcDoor")[-1].OperationType = "SINGLE_SWING_LEFT"
    one, two = made.read(tmp_path).plan.levels[0].walls
    assert one.type is two.type
    assert [len(one.type.left), len(one.type.right)] == [1, 2]
    assert one.start.x < one.end.x
    assert two.start.x > two.end.x
    assert (one.openings[0].at, one.openings[0].hinge, one.openings[0].swing) == (inch(24), "near", "left")
    assert (two.openings[0].far, two.openings[0].hinge, two.openings[0].swing) == (inch(240 - 24), "far", "right")
