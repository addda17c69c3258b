"""Walls at any angle: laps and cut-backs are the true crossings of the walls' face lines.

Ground: shapely as an independent measure of where lines cross; the facts of a square corner (common practice, no
source) must come out of the same formulas; a drawing turned on the paper is the same building.
"""

from __future__ import annotations

from fractions import Fraction
from math import cos, hypot, radians, sin
from typing import Any

import pytest
from shapely import LineString, Point

from framing.plan import PlanMistakes
from tests.framing.floor import Json, door, level, pieces, plan, room, size, studs, taken, wall, wall_of

GRID = 1 / 1024  # in: lengths along a slant are rounded to this once
WEB, SLOT, BOARD = 3.625, 0.625, 0.625


def turned(made: Json, angle: float) -> Json:
    """The same plan turned on the paper, coordinates rounded to 0.0001 in."""

    def turn(point: list[Any]) -> list[str]:
        x, y = (float(part) for part in point)
        c, s = cos(radians(angle)), sin(radians(angle))
        return [f"{x * c - y * s:.4f}", f"{x * s + y * c:.4f}"]

    for storey in made["levels"]:
        for one in storey["walls"]:
            one["from"], one["to"] = turn(one["from"]), turn(one["to"])
    return made


def corner(angle: float, **keys: Any) -> Json:
    """A runs along x from the corner, B leaves the same corner at an angle; A runs through."""
    end = (f"{100 * cos(radians(angle)):.4f}", f"{100 * sin(radians(angle)):.4f}")
    rule = [{"walls": ["A", "B"], "through": "A"}]
    return taken(plan(wall("A", (0, 0), (120, 0), **keys), wall("B", (0, 0), end), junctions=rule))


def offset(direction: tuple[float, float], left: float) -> LineString:
    """A long line along a direction, `left` of the origin."""
    (x, y), far = direction, 1000
    return LineString([(-far * x - left * y, -far * y + left * x), (far * x - left * y, far * y + left * x)])


@pytest.mark.parametrize("angle", [30, 37, 45, 60, 75, 90, 105, 120, 135, 150])
def test_an_oblique_corner_is_cut_where_the_face_lines_cross(angle):
    out = corner(angle)
    along_b = (cos(radians(angle)), sin(radians(angle)))
    a_outer, slot_line = offset((1, 0), -WEB / 2), offset((1, 0), WEB / 2 + SLOT)
    b_outer, b_inner = offset(along_b, WEB / 2), offset(along_b, -WEB / 2)
    outer_corner = a_outer.intersection(b_outer)

    def back_from_corner(point: Point) -> float:
        return (point.x - outer_corner.x) * along_b[0] + (point.y - outer_corner.y) * along_b[1]

    a_piece, b_piece = pieces(out, "A", "bottom")[0], pieces(out, "B", "bottom")[0]
    a_length = float(size(wall_of(out, "A")["track_length"]))
    assert a_length == pytest.approx(120 - outer_corner.x, abs=GRID)
    assert a_piece["from_end"]["cut"] == "square"
    cut = b_piece["from_end"]
    assert cut["cut"] == "tab"
    assert float(cut["flanges_back"]["left"]) == pytest.approx(
        back_from_corner(slot_line.intersection(b_outer)), abs=2 * GRID
    )
    assert float(cut["flanges_back"]["right"]) == pytest.approx(
        back_from_corner(slot_line.intersection(b_inner)), abs=2 * GRID
    )
    across = offset((1, 0), WEB / 2).intersection(b_outer)
    assert float(cut["tab"]) == pytest.approx(hypot(across.x - outer_corner.x, across.y - outer_corner.y), abs=GRID)


@pytest.mark.parametrize("angle", [30, 45, 60, 90, 120, 150])
def test_studs_of_an_oblique_corner_stand_clear_of_the_slot_and_inside_the_faces(angle):
    out = corner(angle)
    along_b = (cos(radians(angle)), sin(radians(angle)))
    (corner_stud,) = studs(out, "A", "corner")
    (loose,) = studs(out, "B", "loose")
    a_start, b_start = (float(size(wall_of(out, mark)["track_start_in"])) for mark in "AB")
    # the corner stud's far edge, both its corners, against B's outer face line
    edge = float(corner_stud) - 0.625 + a_start
    for y in (-WEB / 2, WEB / 2):
        beyond = -edge * along_b[1] + y * along_b[0]  # to the left of B's centre line
        assert beyond <= WEB / 2 + 2 * GRID
    # the loose stud's near edge, both its corners, against the slot's line
    near = float(loose) - 0.625 + b_start
    for left in (-WEB / 2, WEB / 2):
        assert near * along_b[1] + left * along_b[0] >= WEB / 2 + SLOT - 2 * GRID


def test_the_square_corner_comes_out_of_the_same_formulas():
    out = corner(90)
    assert wall_of(out, "A")["track_length"] == "121.8125"
    assert pieces(out, "B", "bottom")[0]["from_end"] == {
        "cut": "tab",
        "tab": "3.625",
        "flanges_back": {"left": "4.25", "right": "4.25"},
    }


@pytest.mark.parametrize("angle", [30, 40, 90, 140])
def test_a_stem_at_an_angle_stops_where_its_nearer_flange_meets_the_slot(angle):
    end = (f"{120 + 100 * cos(radians(angle)):.4f}", f"{100 * sin(radians(angle)):.4f}")
    out = taken(plan(wall("T", (0, 0), (240, 0)), wall("S", (120, 0), end)))
    along = (cos(radians(angle)), sin(radians(angle)))
    start = float(size(wall_of(out, "S")["track_start_in"]))
    heights = [start * along[1] + left * along[0] for left in (-WEB / 2, WEB / 2)]
    assert min(heights) == pytest.approx(WEB / 2 + SLOT, abs=2 * GRID)


@pytest.mark.parametrize("angle", [0, 12.5, 30, 45, 101, 180, 233])
def test_a_plan_turned_on_the_paper_counts_the_same(angle):
    made = room()
    made["levels"][0]["walls"].append(wall("C", (120, 0), (120, 90), openings=[door("D2", "10")]))
    made["levels"][0]["walls"].append(wall("D", (60, 0), (60, 80)))
    still, out = taken(made), taken(turned(made, angle))
    assert out["counts"] == still["counts"]
    assert [w["counts"] for w in out["levels"][0]["walls"]] == [w["counts"] for w in still["levels"][0]["walls"]]


def test_a_slant_whose_root_is_whole_is_exact():
    # 3-4-5: 72 and 96 in make 120 in exactly, so the square corner's sixteenths stay exact too
    made = plan(wall("A", (0, 0), (72, 96)), wall("B", (0, 0), ("-76.8", "57.6")))
    out = taken(made)
    assert wall_of(out, "A")["track_length"] == "121.8125"
    assert wall_of(out, "B")["track_length"] == "97.8125"
    assert size(pieces(out, "B", "bottom")[0]["from_end"]["tab"]) == Fraction("3.625")


@pytest.mark.parametrize("angle", [5, 20, 29, 151, 170])
def test_walls_that_meet_too_sharply_are_refused_by_name(angle):
    with pytest.raises(PlanMistakes) as refused:
        corner(angle)
    (sentence,) = refused.value.mistakes
    for part in ("wall B", "wall A", "30 degrees"):
        assert part in sentence


def test_a_face_line_drawn_instead_of_the_centre_gives_the_same_walls():
    # derived: walls drawn by their outer faces meet 1 13/16 in outside of where their centres do
    centre = taken(plan(wall("A", (0, 0), (120, 0)), wall("B", (0, 0), (0, 96))))
    half = "1.8125"
    faces = taken(
        plan(
            wall("A", (f"-{half}", f"-{half}"), (120, f"-{half}"), line="right"),
            wall("B", (f"-{half}", f"-{half}"), (f"-{half}", 96), line="left"),
        )
    )
    for mark in "AB":
        assert wall_of(faces, mark)["counts"] == wall_of(centre, mark)["counts"]
        for role in ("corner", "loose", "layout", "end"):
            assert studs(faces, mark, role) == studs(centre, mark, role)
    assert {j["kind"] for j in level(faces)["junctions"]} == {"corner", "free end"}
