"""One wall of a model, measured: the same wall in every unit, schema and kind of body is the same wall of the plan."""

from __future__ import annotations

import math

import pytest

from framing.length import inch
from framing.plan import STRUCTURE
from tests.framing.readers.made_ifc import Made, the_reason

TEN_FEET, NINE_FEET, THICK = 3048.0, 2743.2, 123.825  # 10 ft, 9 ft, 3 5/8 in + 2 x 5/8 in


def only(model):
    (level,) = model.plan.levels
    (wall,) = level.walls
    return wall


def assert_plain(model):
    wall = only(model)
    assert (wall.length, wall.height_from, wall.height_to) == (inch(120), inch(108), inch(108)), model.left_out
    assert (wall.type.stud.designator, [b.thickness for b in wall.type.left]) == ("362S125-18", [inch(0, 5, 8)])
    return wall


@pytest.mark.parametrize("schema", ["IFC2X3", "IFC4", "IFC4X3"])
@pytest.mark.parametrize("mm", [1.0, 1000.0, 25.4, 304.8])
def test_the_same_wall_in_every_unit_and_schema(tmp_path, schema, mm):
    made = Made(schema, mm)
    made.wall(length=TEN_FEET, height=NINE_FEET)
    assert_plain(made.read(tmp_path))


def test_noise_of_doubles_is_gone_and_sixty_fourths_are_exact(tmp_path):
    made = Made("IFC4", 304.8)
    made.wall((1 / 3, 0.1), length=304.8 * (8 + 5 / 12 + 1 / (12 * 64)), height=304.8 * 8.999999999999)
    wall = only(made.read(tmp_path))
    assert (wall.length, wall.height_from) == (inch(101, 1, 64), inch(108))


@pytest.mark.parametrize("degrees", [0, 30, 45, 90, 137.5, 180, 251.3])
def test_a_turned_building_gives_the_same_walls(tmp_path, degrees):
    turn = math.radians(degrees)
    made = Made()
    site = made.place(None, (5_000, -3_000, 0), (math.cos(turn), math.sin(turn), 0))
    deep = made.place(made.place(site, (100, 200, 0), (0, 1, 0)), (7, 8, 0), (-1, 0, 0))
    made.wall(length=TEN_FEET, height=NINE_FEET, inside=deep, storey=None)
    made.wall((TEN_FEET, 0), (0, -1), TEN_FEET, NINE_FEET, inside=deep, storey=None)
    model = made.read(tmp_path)
    (level,) = model.plan.levels
    assert [wall.length for wall in level.walls] == [inch(120), inch(120)]
    one, two = level.walls
    assert one.end == two.start
    assert any(c.kind == "turned" for c in model.cautions[""]) == (degrees % 90 != 0)


def test_a_local_x_that_points_backwards_is_followed(tmp_path):
    made = Made()
    wall = made.wall((TEN_FEET, 0), (-1, 0), TEN_FEET, NINE_FEET)
    made.opening(wall, 254.0, 965.2, 2133.6)
    read = assert_plain(made.read(tmp_path))
    assert (read.start.x, read.end.x) == (inch(120), 0)
    assert (read.openings[0].at, read.openings[0].width) == (inch(10), inch(38))


def test_a_wall_without_an_axis_is_measured_from_its_body(tmp_path):
    made = Made()
    made.wall(length=TEN_FEET, height=NINE_FEET, axis=None)
    assert_plain(made.read(tmp_path))


def test_a_wall_without_a_body_is_taken_as_stated_with_a_caution(tmp_path):
    made = Made()
    wall = made.wall(length=TEN_FEET, body=None)
    made.quantities(wall, [("Height", NINE_FEET)])
    model = made.read(tmp_path)
    assert_plain(model)
    assert "measured as stated" in {caution.kind for caution in model.cautions["Level 1"]}


def test_a_wall_without_a_body_or_a_stated_height_is_left_out(tmp_path):
    made = Made()
    made.wall(length=TEN_FEET, body=None)
    assert "no body, and states no height" in the_reason(made.read(tmp_path))


def test_a_wall_without_any_shape_is_left_out(tmp_path):
    made = Made()
    made.wall(body=None, axis=None)
    assert the_reason(made.read(tmp_path)) == "has neither an axis nor a body"


def test_a_wall_made_of_parts_is_as_long_and_high_as_they_are(tmp_path):
    made = Made()
    wall = made.wall(length=TEN_FEET, body=None, layers=())
    made.layers(wall, (("Metal Stud", 92.075),), 46.0375, "NEGATIVE")
    parts = []
    for at, size in ((0, 1500), (1500, TEN_FEET - 1500)):
        part = made.file.create_entity("IfcMember", made.guid())
        part.ObjectPlacement = made.place(wall, (at, 0, 0))
        part.Representation = made.shape(made.box(size, 92.075, NINE_FEET))
        parts.append(part)
    made.file.create_entity("IfcRelAggregates", made.guid(), None, None, None, wall, parts)
    model = made.read(tmp_path)
    wall = only(model)
    assert (wall.length, wall.height_from) == (inch(120), inch(108))
    assert "measured from parts" in {caution.kind for caution in model.cautions["Level 1"]}


# kinds of body that hold the same straight prism

FOOT = [(0, -THICK / 2), (TEN_FEET, -THICK / 2), (TEN_FEET, THICK / 2), (0, THICK / 2)]


def mitred(made):
    return made.prism(
        [(0, -THICK / 2), (TEN_FEET, -THICK / 2), (TEN_FEET - THICK, THICK / 2), (THICK, THICK / 2)], NINE_FEET
    )


def clipped_by_slab(made):
    return made.plane_cut(made.box(TEN_FEET, THICK, 5000), (0, 0, NINE_FEET), (0, 0, -1))


def clipped_by_bounded_slab(made):
    points = [made.point(*p) for p in ((-10, -200), (5000, -200), (5000, 200), (-10, 200), (-10, -200))]
    line = made.file.create_entity("IfcPolyline", points)
    return made.plane_cut(made.box(TEN_FEET, THICK, 5000), (0, 0, NINE_FEET), (0, 0, -1), line)


def clipped_at_end(made):
    return made.plane_cut(made.box(4000, THICK, NINE_FEET), (TEN_FEET, 0, 0), (-1, 0, 0))


def mapped(made):
    items = made.file.create_entity(
        "IfcShapeRepresentation", made.context, "Body", "SweptSolid", [made.box(1000, THICK, NINE_FEET)]
    )
    source = made.file.create_entity("IfcRepresentationMap", made.frame(), items)
    target = made.file.create_entity(
        "IfcCartesianTransformationOperator3DnonUniform", None, None, made.point(0, 0, 0), 3.048, None, 1.0, 1.0
    )
    return made.file.create_entity("IfcMappedItem", source, target)


def corners(made):
    return [(x, y, z) for z in (0, NINE_FEET) for x, y in FOOT]


QUADS = [(0, 1, 2, 3), (4, 5, 6, 7), (0, 1, 5, 4), (1, 2, 6, 5), (2, 3, 7, 6), (3, 0, 4, 7)]


def boundary(made):
    points = [made.point(*point) for point in corners(made)]
    faces = []
    for quad in QUADS:
        loop = made.file.create_entity("IfcPolyLoop", [points[index] for index in quad])
        faces.append(made.file.create_entity("IfcFace", [made.file.create_entity("IfcFaceOuterBound", loop, True)]))
    return made.file.create_entity("IfcFacetedBrep", made.file.create_entity("IfcClosedShell", faces))


def triangles(made):
    points = made.file.create_entity("IfcCartesianPointList3D", [[part / made.mm for part in p] for p in corners(made)])
    index = [(a + 1, b + 1, c + 1) for a, b, c, d in QUADS] + [(a + 1, c + 1, d + 1) for a, b, c, d in QUADS]
    return made.file.create_entity("IfcTriangulatedFaceSet", points, None, True, index)


def polygons(made):
    points = made.file.create_entity("IfcCartesianPointList3D", [[part / made.mm for part in p] for p in corners(made)])
    faces = [made.file.create_entity("IfcIndexedPolygonalFace", [one + 1 for one in quad]) for quad in QUADS]
    return made.file.create_entity("IfcPolygonalFaceSet", points, True, faces)


@pytest.mark.parametrize(
    ("body", "kind"),
    [
        (mitred, "SweptSolid"),
        (clipped_by_slab, "Clipping"),
        (clipped_by_bounded_slab, "Clipping"),
        (clipped_at_end, "Clipping"),
        (mapped, "MappedRepresentation"),
        (boundary, "Brep"),
        (triangles, "Tessellation"),
        (polygons, "Tessellation"),
    ],
)
@pytest.mark.parametrize("axis", ["line", None])
def test_the_same_prism_in_every_kind_of_body(tmp_path, body, kind, axis):
    made = Made()
    line = [(0, 0), (TEN_FEET, 0)] if axis else None
    made.wall(body=body(made), body_kind=kind, axis=line)
    model = made.read(tmp_path)
    wall = only(model)
    mitre = round(THICK * 3_200_000) if body is mitred else 0  # the steel's line lies half way up the mitre at each end
    assert (wall.length, wall.height_from) == (inch(120) - mitre, inch(108))
    assert model.sources["Level 1", wall.mark].length == pytest.approx(TEN_FEET, abs=1e-6)


def test_a_raked_top_gives_both_heights(tmp_path):
    made = Made()
    outline = [(0, 0), (TEN_FEET, 0), (TEN_FEET, NINE_FEET), (0, 2438.4)]
    made.wall(body=made.slab(outline, THICK))
    wall = only(made.read(tmp_path))
    assert (wall.length, wall.height_from, wall.height_to) == (inch(120), inch(96), inch(108))


def test_a_roof_plane_gives_a_raked_top(tmp_path):
    made = Made()
    rise = (NINE_FEET - 2438.4) / TEN_FEET
    made.wall(body=made.plane_cut(made.box(TEN_FEET, THICK, 5000), (0, 0, 2438.4), (rise, 0, -1)), body_kind="Clipping")
    wall = only(made.read(tmp_path))
    assert (wall.height_from, wall.height_to) == (inch(96), inch(108))


# bodies that hold no straight wall: each left out with what is not straight about it


def peak(made):
    return made.slab([(0, 0), (TEN_FEET, 0), (TEN_FEET, 2400), (1500, 3000), (0, 2400)], THICK)


def step(made):
    return made.slab([(0, 0), (TEN_FEET, 0), (TEN_FEET, 2400), (1500, 2400), (1500, 3000), (0, 3000)], THICK)


def stepped_bottom(made):
    return made.slab([(0, 0), (1500, 0), (1500, 300), (TEN_FEET, 300), (TEN_FEET, 2400), (0, 2400)], THICK)


def thicker_part(made):
    return made.prism(
        [(0, 0), (TEN_FEET, 0), (TEN_FEET, 100), (1800, 100), (1800, 200), (1000, 200), (1000, 100), (0, 100)], 2400
    )


def wedge(made):
    return made.prism([(0, 0), (TEN_FEET, 0), (TEN_FEET, 100), (0, 300)], 2400)


def leaning(made):
    body = made.box(TEN_FEET, THICK, 2400)
    body.ExtrudedDirection = made.direction(0, 0.2, 1)
    return body


def bevelled(made):
    return made.plane_cut(made.box(TEN_FEET, THICK, 2400), (0, 0, 2350), (0, 1, -1))


def round_line(made, radius):
    middle = made.file.create_entity("IfcAxis2Placement2D", made.point(0, 0), None)
    return made.file.create_entity("IfcCircle", middle, radius)


def round_corner(made):
    circle = made.file.create_entity(
        "IfcCircle", made.file.create_entity("IfcAxis2Placement2D", made.point(0, 0), None), 500.0
    )
    profile = made.file.create_entity("IfcArbitraryClosedProfileDef", "AREA", None, circle)
    return made.file.create_entity("IfcExtrudedAreaSolid", profile, made.frame(), made.direction(0, 0, 1), 2400.0)


def revolved(made):
    profile = made.file.create_entity("IfcRectangleProfileDef", "AREA", None, None, 100.0, 2400.0)
    axis = made.file.create_entity("IfcAxis1Placement", made.point(5000, 0, 0), made.direction(0, 1, 0))
    return made.file.create_entity("IfcRevolvedAreaSolid", profile, made.frame(), axis, 1.5)


def two_pieces(made):
    return [made.box(1000, THICK, 2400), made.box(1000, THICK, 2400, (2000, 0, 0))]


@pytest.mark.parametrize(
    ("body", "reason"),
    [
        (peak, "top that is not one straight line"),
        (step, "top that is not one straight line"),
        (stepped_bottom, "stepped or sloped bottom"),
        (thicker_part, "changes its thickness"),
        (wedge, "changes its thickness"),
        (leaning, "sloped across its thickness"),
        (bevelled, "leans across its thickness"),
        (round_corner, "is curved"),
        (revolved, "IfcRevolvedAreaSolid"),
        (two_pieces, "in several pieces"),
    ],
)
def test_what_is_no_straight_wall_is_left_out_with_the_reason(tmp_path, body, reason):
    made = Made()
    wall = made.wall(body=body(made))
    model = made.read(tmp_path)
    assert model.plan.levels == ()
    assert reason in the_reason(model)
    assert model.left_out[0].id == wall.GlobalId


def arc(made):
    circle = made.file.create_entity(
        "IfcCircle", made.file.create_entity("IfcAxis2Placement2D", made.point(0, 0), None), 3000.0
    )
    ends = [[made.file.create_entity("IfcParameterValue", turn)] for turn in (0.0, 1.0)]
    return made.file.create_entity("IfcTrimmedCurve", circle, *ends, True, "PARAMETER")


def test_curved_bent_and_rising_axes_are_left_out(tmp_path):
    made = Made()
    made.wall(axis=arc(made))
    made.wall(axis=[(0, 0), (1500, 0), (3000, 800)])
    made.wall(axis=[(0, 0, 0), (3000, 0, 400)])
    model = made.read(tmp_path)
    assert [one.reason for one in model.left_out] == [
        "is curved",
        "has an axis with a bend in it",
        "has an axis that rises",
    ]


def test_a_globalid_used_twice_counts_once(tmp_path):
    made = Made()
    same = made.guid()
    made.wall(guid=same)
    made.wall((0, 5000), guid=same)
    model = made.read(tmp_path)
    assert len(only(model).openings) == 0
    assert "another wall has already" in the_reason(model)


def test_marks_are_tags_where_they_are_their_own(tmp_path):
    made = Made()
    for y, tag in ((0, "W-7"), (3000, "same"), (6000, "same"), (9000, None)):
        made.wall((0, y), tag=tag)
    (level,) = made.read(tmp_path).plan.levels
    assert [wall.mark for wall in level.walls] == ["W-7", "M-001", "M-002", "M-003"]


def test_a_wall_that_the_engine_refuses_is_left_out_with_its_reason(tmp_path):
    made = Made()
    made.wall(height=8000)
    made.wall((0, 3000))
    model = made.read(tmp_path)
    assert len(model.plan.levels[0].walls) == 1
    assert "the longest stud in stock" in the_reason(model)


def test_a_far_site_is_moved_near_and_stays_exact(tmp_path):
    made = Made("IFC4", 1000.0)
    far = made.place(None, (447_000_000.0, 5_411_000_000.0, 0.0))
    made.wall(length=TEN_FEET, height=NINE_FEET, inside=far, storey=None)
    assert_plain(made.read(tmp_path))


def test_a_wall_a_little_out_of_square_is_set_straight_with_a_caution(tmp_path):
    made = Made()
    made.wall(length=6000)
    made.wall((3000, 0), (0.002, 1), 2000)
    model = made.read(tmp_path)
    stem = model.plan.levels[0].walls[1]
    assert stem.start.x == stem.end.x
    assert any(c.kind == "straightened" and "2.0 mm" in c.sentence for c in model.cautions["Level 1"])


def test_ends_at_walls_that_are_not_ours_are_ends_at_structure(tmp_path):
    made = Made()
    made.wall(length=4000, layers=(("Concrete", 200.0),), type_name="Core")
    made.wall((2000, 100), (0, 1), 3000)
    (level,) = made.read(tmp_path).plan.levels
    assert level.walls[0].ends == (STRUCTURE, "auto")
