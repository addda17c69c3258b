"""Elevations and cut cards under the ruler: each stud, sheet and piece of track stands where it was counted, once."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

import pytest

from framing.board import CAPS
from framing.drawing.cut_cards import card_scale
from framing.drawing.lettering import say, say_inches
from framing.drawing.paper import scales
from framing.drawing.places import pins_of, shared_pins
from framing.drawing.wall_sheet import ON_PAGE, cards, elevations
from framing.length import parse_length
from tests.framing.drawing.drawn import PLANS, drawn, extent, named, on_paper, words

NEAR = 1e-6


def _ratio(drawing, level) -> int:
    return next(scale.ratio for scale in scales(level.is_metric) if scale.words == drawing.scale)


@pytest.mark.parametrize("plan", PLANS)
def test_studs_stand_at_their_places_to_scale(plan: str):
    level = drawn(plan)
    for wall in level.walls:
        steel = next(elevations(wall, level))
        ratio = _ratio(steel, level)
        groups = named(steel, "stud")
        assert len(groups) == len(wall.studs)
        flange = wall.wall.type.stud.flange
        floor = max(extent(group)[3] for group in groups)
        first = extent(groups[0])[0] - on_paper(wall.studs[0].at - flange // 2, ratio)
        for group, stud in zip(groups, wall.studs, strict=True):
            left, top, right, bottom = extent(group)
            assert left - first == pytest.approx(on_paper(stud.at - flange // 2, ratio), abs=1e-5)
            assert right - left == pytest.approx(on_paper(flange, ratio), abs=1e-5)
            assert bottom - top == pytest.approx(on_paper(stud.length, ratio), abs=1e-5)
            assert floor - bottom == pytest.approx(on_paper(stud.bottom, ratio), abs=1e-5)


@pytest.mark.parametrize("plan", PLANS)
def test_each_sheet_is_drawn_once_with_its_step(plan: str):
    level = drawn(plan)
    for wall in level.walls:
        drawings = list(elevations(wall, level))[1:]
        steps = Counter(word for one in drawings for word in words(one) if word.isdigit())
        for sheet in wall.sheets:
            assert steps[str(sheet.step)] == 1, (wall.mark, sheet)
        assert sum(len(named(one, "sheet")) for one in drawings) == len(wall.sheets)


@pytest.mark.parametrize("plan", PLANS)
def test_sheets_are_drawn_to_their_size(plan: str):
    level = drawn(plan)
    for wall in level.walls:
        for drawing, (face, layer) in zip(list(elevations(wall, level))[1:], wall.faces(), strict=False):
            if face in CAPS:
                continue
            ratio = _ratio(drawing, level)
            for group, sheet in zip(named(drawing, "sheet"), wall.sheets_of(face, layer), strict=True):
                left, top, right, bottom = extent(group)
                assert right - left == pytest.approx(on_paper(sheet.width, ratio), abs=1e-5)
                rake = 0 if wall.wall.is_level_topped else on_paper(1, ratio)  # heights of rakes are rounded up
                assert bottom - top == pytest.approx(on_paper(sheet.height, ratio), abs=1e-5 + rake)


def test_a_face_is_seen_from_its_own_side():
    level = drawn("room")
    wall = level.wall("A")
    _, left, right, *_ = elevations(wall, level)
    for drawing, face, is_flipped in ((left, "left", True), (right, "right", False)):
        sheets = wall.sheets_of(face, 1)
        order = sorted(zip(named(drawing, "sheet"), sheets, strict=True), key=lambda pair: extent(pair[0])[0])
        places = [sheet.at for _, sheet in order]
        assert places == sorted(places, reverse=is_flipped)


@pytest.mark.parametrize("plan", PLANS)
def test_each_piece_of_track_has_one_card_with_its_numbers(plan: str):
    level = drawn(plan)
    ratio = card_scale(level, ON_PAGE).ratio
    for wall in level.walls:
        own = list(cards(wall, level))
        assert len(own) == len(wall.track)
        for card, (name, piece) in zip(own, wall.named_track(), strict=True):
            said = words(card)
            assert name in said
            length = say(piece.length, is_metric=level.is_metric)
            assert any(word.startswith(length) for word in said)
            (strip,) = named(card, "strip")
            left, _, right, _ = extent(strip)
            assert right - left == pytest.approx(on_paper(piece.length, ratio), abs=1e-5)
            for cut in (piece.from_end, piece.to_end):
                for number in {cut.tab, cut.left_back, cut.right_back, cut.left_bevel, cut.right_bevel, cut.bend} - {0}:
                    assert any(say_inches(number, is_metric=level.is_metric) in word for word in said)


def test_lengths_on_cards_read_back_as_counted():
    for plan in ("room", "door corner", "demo"):
        level = drawn(plan)
        for wall in level.walls:
            for card, (_, piece) in zip(cards(wall, level), wall.named_track(), strict=True):
                length = next(word for word in words(card) if word.startswith(say(piece.length)))
                assert parse_length(length.split("  ")[0]) == piece.length


def test_the_worked_cards():
    # B laps A: tab 3 5/8, flanges back 4 1/4, 31 13/16 to the door (derived from the rules of a corner).
    level = drawn("room")
    first, second, top, head = cards(level.wall("B"), level)
    assert 'tab 3 5/8" under A, flanges back 4 1/4"' in words(first)
    assert '2\'-7 13/16"  (31 13/16")' in words(first)
    assert "square, at D1" in words(first)
    assert "square, at D1" in words(second)
    assert 'tab 3 5/8" over A, flanges back 4 1/4"' in words(top)
    assert '8\'-1 13/16"  (97 13/16")' in words(top)
    assert words(head).count('cut both flanges, bend web up 6"') == 2
    assert '4\'-2"  (50")' in words(head)


@pytest.mark.parametrize("plan", PLANS)
def test_pins_are_placed_as_many_as_counted(plan: str):
    # OBC 9.24.3.1: about 50 mm from the ends and at most 610 mm apart; a lap shares one (common practice, no source).
    level = drawn(plan)
    first, most = level.fastening["pin_from_end"], level.fastening["pin_spacing"]
    for wall in level.walls:
        for piece in wall.track:
            if piece.row not in ("bottom", "top"):
                continue
            shared = shared_pins(piece)
            places = pins_of(piece, first, shared)
            assert len(places) == piece.pins
            whole = [
                *([first] if "from" in shared else []),
                *places,
                *([piece.length - first] if "to" in shared else []),
            ]
            if piece.length > 2 * first:
                assert whole[0] == first
                assert abs(whole[-1] - (piece.length - first)) <= 1
                assert all(two - one <= most + 1 for one, two in pairwise(whole))


def test_splices_stand_in_the_faces_where_the_track_is_spliced():
    level = drawn("room")
    wall = level.wall("A")
    steel = next(elevations(wall, level))
    said = words(steel)
    for name, piece in wall.named_track():
        assert f"{name}  {say(piece.length)}" in said
    assert len(named(steel, "track")) == len(wall.track)
