"""The plan under the ruler: walls as thick as they are, doors hinged as stated, a true bar, the scale that fits."""

from __future__ import annotations

import math

import pytest

from framing.drawing.crew_book import book_sheets
from framing.drawing.details import details_of
from framing.drawing.paper import INCH_SCALES, METRIC_SCALES, fitting, scale_bar
from framing.drawing.plan_view import plan_drawing
from framing.drawing.shapes import Drawing, Pad, Path
from framing.length import inch, parse_length
from tests.framing.drawing.drawn import PLANS, drawn, drawn_of, extent, named, on_paper, spots, words
from tests.framing.floor import door, plan, wall

ROOM = (254.0, 165.0)


def the_plan(name: str) -> Drawing:
    level = drawn(name)
    return plan_drawing(level, details_of(level), ROOM)


def ratio_of(drawing: Drawing) -> int:
    return next(one.ratio for one in (*INCH_SCALES, *METRIC_SCALES) if one.words == drawing.scale)


def test_a_wall_is_as_thick_as_its_steel_and_board():
    # 3 5/8 steel and 5/8 board on both faces: 4 7/8 in (derived).
    drawing = the_plan("room")
    group = next(one for one in named(drawing, "wall") if one.name.startswith("wall A"))
    _, top, _, bottom = extent(group)
    assert bottom - top == pytest.approx(on_paper(inch(4, 7, 8), ratio_of(drawing)), abs=1e-6)


@pytest.mark.parametrize(
    ("hinge", "swing", "x", "side"),
    [("near", "left", 40, -1), ("far", "left", 78, -1), ("near", "right", 40, 1), ("far", "right", 78, 1)],
)
def test_a_door_hangs_and_swings_as_stated(hinge: str, swing: str, x: int, side: int):
    # Along x, left is up; the leaf is as long as the opening is wide and stands on the hinge's jamb.
    level = drawn_of(plan(wall("A", (0, 0), (144, 0), openings=[door("D1", "40", hinge=hinge, swing=swing)])))
    drawing = plan_drawing(level, [], ROOM)
    ratio = ratio_of(drawing)
    (group,) = named(drawing, "opening")
    left = extent(named(drawing, "wall")[0])[0] + on_paper(inch(0, 5, 8), ratio)  # less the cap over the free end
    leaf = next(line for line in spots(group) if len(line) == 2 and _length(line) > on_paper(inch(30), ratio))
    (foot_x, foot_y), (tip_x, tip_y) = leaf
    assert foot_x - left == pytest.approx(on_paper(inch(x), ratio), abs=1e-6)
    assert tip_x == pytest.approx(foot_x, abs=1e-6)
    assert _length(leaf) == pytest.approx(on_paper(inch(38), ratio), abs=1e-6)
    assert math.copysign(1, tip_y - foot_y) == side
    swung = next(line for line in spots(group) if len(line) > 10)
    assert math.dist(swung[0], (tip_x, tip_y)) < 1e-6
    assert abs(swung[-1][0] - foot_x) == pytest.approx(on_paper(inch(38), ratio), abs=1e-6)


def _length(line: list[tuple[float, float]]) -> float:
    return math.dist(line[0], line[-1])


@pytest.mark.parametrize("name", PLANS)
def test_every_wall_opening_and_detail_is_marked(name: str):
    level = drawn(name)
    details = details_of(level)
    drawing = plan_drawing(level, details, (406.0, 240.0))
    said = words(drawing)
    for one in level.walls:
        assert one.mark in said or any(one.mark.startswith(word[:-1]) for word in said if word.endswith("."))
    for detail in details:
        assert said.count(str(detail.number)) >= len(detail.all)
    assert len(named(drawing, "opening")) == sum(len(one.frame.openings) for one in level.walls)


@pytest.mark.parametrize("scale", [one for one in (*INCH_SCALES, *METRIC_SCALES) if one.ratio <= 500])
def test_the_bar_is_as_long_as_it_says(scale):
    pad = Pad()
    scale_bar(pad, 100, 10, scale, is_metric=scale in METRIC_SCALES)
    said = next(shape.words for shape in pad.shapes if not isinstance(shape, Path))
    xs = [spot.x for shape in pad.shapes if isinstance(shape, Path) for spot in shape.spots]
    assert max(xs) - min(xs) == pytest.approx(on_paper(parse_length(said), scale.ratio), abs=1e-6)


def test_scales_say_what_they_are():
    # 1/4" = 1'-0" is 1 to 48, and so on: paper inches x ratio = 12 in.
    for scale in INCH_SCALES:
        if "=" in scale.words:
            assert parse_length(scale.words.split(" =")[0]) * scale.ratio == inch(12)


@pytest.mark.parametrize("size", [1, 10, 100, 1_000, 100_000])
def test_what_is_drawn_fits_its_room_at_any_size(size: int):
    chosen = fitting(inch(size), inch(size // 2 + 1), ROOM, is_metric=False)
    assert chosen.mm(inch(size)) <= ROOM[0]
    larger = [one for one in INCH_SCALES if one.ratio < chosen.ratio]
    assert all(one.mm(inch(size)) > ROOM[0] or one.mm(inch(size // 2 + 1)) > ROOM[1] for one in larger)


def test_a_plan_that_would_be_too_small_takes_the_large_sheet():
    sizes = {sheet.title.split("  ")[1]: (sheet.width, sheet.height) for sheet in book_sheets(drawn("demo"))}
    assert sizes["Plan"] == (431.8, 279.4)
    assert sizes["Details"] == (279.4, 215.9)
