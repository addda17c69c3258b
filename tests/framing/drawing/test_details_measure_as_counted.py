"""A detail put under the ruler: tabs, flanges, slots, studs and board lie where they were counted to lie.

The worked corner's numbers are those of the trade for 3 5/8 in steel and 5/8 in board (common practice, no source):
tab 3 5/8, flanges back 4 1/4, slot 5/8, 1/4 for the bead.
"""

from __future__ import annotations

import math

import pytest

from framing.drawing.details import Detail, detail_drawing, details_of
from framing.drawing.paper import scales
from framing.drawing.shapes import Drawing
from framing.joints import LAP, STEM, THROUGH
from framing.length import TICKS_PER_INCH, inch
from tests.framing.drawing.drawn import PLANS, drawn, extent, named, on_paper, spots, words

NEAR = 1e-6  # mm
ROUNDED = 1 / 1024 / 2  # in: whole ticks and the slant grid, at half size and smaller


def the_corner() -> tuple[Drawing, int]:
    level = drawn("room")
    detail = next(one for one in details_of(level) if one.drawn.junction.kind == "corner")
    return detail_drawing(detail, level), 2


def group_of(drawing: Drawing, kind: str, name: str):
    return next(group for group in named(drawing, kind) if group.name.startswith(name))


def test_the_worked_corner_is_drawn_at_half_size_and_says_so():
    drawing, _ = the_corner()
    assert drawing.scale == '6" = 1\'-0"'
    assert drawing.scale in words(drawing)


def test_the_lapping_track_keeps_its_tab_and_loses_its_flanges():
    drawing, ratio = the_corner()
    web, left, right = spots(group_of(drawing, "track", "B"))
    tip = max(y for _, y in web)  # B runs upwards from the outer corner
    for flange in (left, right):
        assert tip - max(y for _, y in flange) == pytest.approx(on_paper(inch(4, 1, 4), ratio), abs=NEAR)
    across = max(x for x, _ in web) - min(x for x, _ in web)
    assert across == pytest.approx(on_paper(inch(3, 5, 8), ratio), abs=NEAR)
    through = extent(group_of(drawing, "track", "A"))
    # The tab is as long as the other track is wide: it ends flush with A's outer face and reaches its inner one.
    assert tip == pytest.approx(through[3], abs=NEAR)
    assert through[3] - through[1] == pytest.approx(on_paper(inch(3, 5, 8), ratio), abs=NEAR)


def test_board_stands_in_the_slot_and_leaves_room_for_the_bead():
    drawing, ratio = the_corner()
    in_slot = extent(group_of(drawing, "board", "A left"))
    loose = extent(group_of(drawing, "stud", "B loose"))
    steel = extent(group_of(drawing, "track", "A"))
    assert in_slot[3] - in_slot[1] == pytest.approx(on_paper(inch(0, 5, 8), ratio), abs=NEAR)
    assert in_slot[3] == pytest.approx(steel[1], abs=NEAR)  # against A's steel
    assert in_slot[1] == pytest.approx(loose[3], abs=NEAR)  # and against the loose stud
    assert in_slot[0] == pytest.approx(steel[0], abs=NEAR)  # up to the end of A's track
    lap_outside, through_outside = (
        extent(group_of(drawing, "board", "B left")),
        extent(group_of(drawing, "board", "A right")),
    )
    assert steel[3] - lap_outside[3] == pytest.approx(on_paper(inch(0, 1, 4), ratio), abs=NEAR)
    assert through_outside[0] - lap_outside[0] == pytest.approx(on_paper(inch(0, 1, 4), ratio), abs=NEAR)


def test_figures_of_the_worked_corner():
    drawing, _ = the_corner()
    said = words(drawing)
    for figure in ('tab 3 5/8"', 'slot 5/8"', 'flanges back 4 1/4"', '1/4" for the bead'):
        assert figure in said


def test_screws_go_wherever_board_meets_a_stud_at_the_corner():
    # Six contacts: A's boards on both flanges of the corner stud, B's outer board on its flat side, B's boards on both
    # flanges of the loose stud, and the board in the slot into the loose stud from behind (common practice, no source).
    drawing, _ = the_corner()
    through_board = next(group for group in named(drawing, "screw") if group.name == "screw through board")
    assert len(through_board.shapes) == 6
    to_track = next(group for group in named(drawing, "screw") if group.name == "screw through track and stud")
    assert len(to_track.shapes) == 4  # a screw through each flange of two studs
    pin = next(iter(named(drawing, "pin")))
    assert len(pin.shapes) == 3  # one pin, a circle and a cross: the lap shares it


@pytest.mark.parametrize("plan", PLANS)
def test_every_track_end_is_drawn_as_it_was_cut(plan: str):
    level = drawn(plan)
    measured = 0
    for detail in details_of(level):
        drawing = detail_drawing(detail, level)
        ratio = next(scale.ratio for scale in scales(level.is_metric) if scale.words == drawing.scale)
        measured += _measure_ends(detail, drawing, ratio)
    assert measured


def _measure_ends(detail: Detail, drawing: Drawing, ratio: int) -> int:
    """Compare the drawn flanges of each part's end with its cut, along the wall on the paper."""
    tracks = named(drawing, "track")
    within = on_paper(TICKS_PER_INCH * ROUNDED, ratio)
    measured = 0
    for part in detail.drawn.parts:
        for piece in part.track_at_end():
            cut = piece.from_end if part.inward > 0 else piece.to_end
            group = next(one for one in tracks if one.name == f"{part.wall.mark} bottom track")
            tracks.remove(group)
            web, left, right = spots(group)
            # Web corners: from end left, to end left, to end right, from end right.
            near = {"left": web[0], "right": web[3]} if part.inward > 0 else {"left": web[1], "right": web[2]}
            far = {"left": web[1], "right": web[2]} if part.inward > 0 else {"left": web[0], "right": web[3]}
            for side, flange, bevel, back in (
                ("left", left, cut.left_bevel, cut.left_back),
                ("right", right, cut.right_bevel, cut.right_back),
            ):
                start = flange[0] if part.inward > 0 else flange[1]
                assert math.dist(near[side], start) == pytest.approx(
                    on_paper(max(back, bevel) - bevel, ratio), abs=within
                )
                assert math.dist(near[side], far[side]) == pytest.approx(
                    on_paper(min(piece.length, abs(_shown(part))) - bevel, ratio), abs=within
                )
            measured += 1
    return measured


def _shown(part) -> int:
    return part.high - part.place if part.inward > 0 else part.place - part.low


@pytest.mark.parametrize("plan", PLANS)
def test_slots_at_square_ends_hold_the_board_of_the_other_wall(plan: str):
    level = drawn(plan)
    for detail in details_of(level):
        for part in detail.drawn.parts:
            if part.role not in (LAP, STEM) or part.end is None:
                continue
            through = next(one for one in detail.drawn.parts if one is not part)
            face = through.end.inside if part.role == LAP and through.end else part.end.inside
            assert part.end.slot >= through.wall.depth(face)[1]


def test_every_end_of_a_stud_opens_away_from_its_corner():
    # The web of a corner's or an end's last stud lies flat to the end (common practice, no source).
    level = drawn("room")
    detail = next(one for one in details_of(level) if one.drawn.junction.kind == "corner")
    drawing = detail_drawing(detail, level)
    for part in detail.drawn.parts:
        if part.role == THROUGH:
            left, _, right, _ = extent(group_of(drawing, "stud", "A corner"))
            (stud,) = spots(group_of(drawing, "stud", "A corner"))
            lips = [x for x, y in stud if min(b for _, b in stud) + 1 < y < max(b for _, b in stud) - 1]
            assert max(lips) > (left + right) / 2 + 1  # the open side, with its lips, looks into A
