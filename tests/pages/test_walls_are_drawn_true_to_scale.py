"""The drawings of a wall: each piece once, where and as large as the take-off says, mirrored for whoever looks left."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from django.db import transaction

from jobs.models import Wall
from jobs.pages.drawing import STUD_WIDTH, Elevation, Shape, elevations
from jobs.selectors.wall_sheet import WallSheet, wall_sheet
from jobs.tenancy import organisation_scope
from tests.jobs.world import World


def sheet_of(world: World, mark: str) -> WallSheet:
    with transaction.atomic(), organisation_scope(world.organisation):
        wall = Wall.objects.get(mark=mark)
        return wall_sheet(world.owner, world.job, wall.pk)


def of_kind(drawing: Elevation, kind: str) -> list[Shape]:
    return [shape for shape in drawing.shapes if shape.kind.split()[0] == kind]


def box(shape: Shape) -> tuple[float, float, float, float]:
    return float(shape.x), float(shape.y), float(shape.width), float(shape.height)


@pytest.fixture
def sheet(world: World) -> WallSheet:
    return sheet_of(world, "B")


def test_every_stud_stands_at_its_place(sheet: WallSheet) -> None:
    steel = elevations(sheet)[0]
    drawn = sorted(box(shape) for shape in of_kind(steel, "stud"))
    height = Fraction(sheet.geometry["height_in"])
    # derived: a stud's middle less half its width; its top is the wall's height less where it begins and its length
    wanted = sorted(
        (
            float(Fraction(stud["at"]) - STUD_WIDTH / 2),
            float(height - Fraction(stud["bottom"]) - Fraction(stud["length"])),
            float(STUD_WIDTH),
            float(Fraction(stud["length"])),
        )
        for stud in sheet.studs
    )
    assert [pytest.approx(one, abs=0.006) for one in wanted] == drawn


def test_the_right_face_is_drawn_as_it_runs_and_the_left_mirrored(sheet: WallSheet) -> None:
    by_title = {drawing.title: drawing for drawing in elevations(sheet)}
    for face in ("left", "right"):
        drawing = by_title[f"Board, {face} face, layer 1"]
        pieces = [piece for piece in sheet.sheets if piece["face"] == face]
        start = min(Fraction(0), *(Fraction(piece["at"]) for piece in pieces))
        end = max(Fraction(sheet.geometry["track_length"]), *(Fraction(p["at"]) + Fraction(p["width"]) for p in pieces))
        wanted = []
        for piece in pieces:
            at, width = Fraction(piece["at"]), Fraction(piece["width"])
            # derived: mirrored about the middle of what is drawn
            wanted.append((float(at if face == "right" else start + end - at - width), float(width)))
        drawn = [(box(shape)[0], box(shape)[2]) for shape in of_kind(drawing, "board")]
        assert [pytest.approx(one, abs=0.006) for one in sorted(wanted)] == sorted(drawn)


def test_openings_and_their_marks_are_drawn_on_every_drawing(sheet: WallSheet) -> None:
    for drawing in elevations(sheet):
        [gap] = of_kind(drawing, "gap")
        # The plan: a door 38 in wide and 84 in high.
        assert box(gap)[2:] == (38.0, 84.0)
        assert [word.text for word in drawing.words if word.ringed and word.text == "D1"] == ["D1"]


def test_a_drawing_says_what_it_shows(sheet: WallSheet) -> None:
    steel = elevations(sheet)[0]
    assert f"{len(sheet.studs)} studs" in steel.told
    assert ("L", "loose") in steel.letters


def test_letters_are_as_large_on_a_long_wall_as_on_a_short_one(world: World) -> None:
    for mark in ("A", "B"):
        for drawing in elevations(sheet_of(world, mark)):
            width = float(drawing.view.split()[2])
            # derived: units of the drawing times pixels a unit
            assert float(drawing.letter) * drawing.width / width == pytest.approx(12, abs=0.3)


def test_a_wall_without_pieces_has_no_drawing(sheet: WallSheet) -> None:
    assert elevations(replace(sheet, studs=(), sheets=())) == ()
