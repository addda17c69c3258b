"""A printed take-off holds all that a drawing needs: read back, it gives the same sheets, byte for byte."""

from __future__ import annotations

import json

import pytest

from framing.drawing.crew_book import book_sheets
from framing.drawing.read_back import level_read_back
from framing.drawing.svg import svg
from framing.drawing.wall_sheet import cards, details, elevations
from framing.takeoff import takeoff
from jobs.geometry import wall_drawings, wall_geometry, wall_pieces
from tests.framing.drawing.drawn import counted, drawn


def printed(name: str) -> dict:
    return json.loads(json.dumps(takeoff(counted(name)[0])))


@pytest.mark.parametrize("name", ["room", "door corner", "demo", "slants"])
def test_a_level_read_back_draws_the_same_book(name: str):
    found = printed(name)
    level = level_read_back(found["levels"][0], plan=found["plan"])
    assert list(map(svg, book_sheets(level))) == list(map(svg, book_sheets(drawn(name))))


def test_a_metric_level_read_back_differs_by_less_than_a_hair():
    # Printed to 4 decimals of an inch (0.0025 mm): lengths said in tenths of a mm stay what they are.
    found = printed("metric")
    level = level_read_back(found["levels"][0], plan=found["plan"], is_metric=True)
    for mine, theirs in zip(level.walls, drawn("metric").walls, strict=True):
        assert len(mine.studs) == len(theirs.studs)
        assert all(abs(a.at - b.at) < 10_000 for a, b in zip(mine.studs, theirs.studs, strict=True))


@pytest.mark.parametrize("mark", ["W-01", "W-39", "W-31", "W-38"])
def test_a_wall_is_drawn_from_what_is_kept_of_it_and_its_neighbours(mark: str):
    found = printed("demo")["levels"][0]
    near = {other for junction in found["junctions"] if mark in junction["walls"] for other in junction["walls"]}
    named = [wall for wall in found["walls"] if wall["mark"] in near | {mark}]
    kept = [(wall_geometry(wall), wall_pieces(found, wall["mark"])) for wall in named]
    level = drawn("demo")
    wall = level.wall(mark)
    made = wall_drawings(level.name, kept, mark)
    assert [one.svg for one in made if one.kind == "elevation"] == [
        svg(one, is_inline=True) for one in elevations(wall, level)
    ]
    assert sum(one.kind == "card" for one in made) == len(list(cards(wall, level)))
    whole = [one.title for one in details(wall, level)]
    assert [one.title for one in made if one.kind == "detail"] == whole
    assert len({one.name for one in made}) == len(made)
    assert all((one.svg.startswith("<svg ") and one.told in one.svg) or "&" in one.svg for one in made)


def test_what_was_kept_before_drawings_draws_nothing():
    found = printed("room")["levels"][0]
    old = {key: value for key, value in wall_geometry(found["walls"][0]).items() if key != "heights_in"}
    assert wall_drawings("Level 1", [(old, wall_pieces(found, "A"))], "A") == ()
