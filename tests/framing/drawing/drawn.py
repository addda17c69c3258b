"""Levels to draw, and ways to measure what was drawn: the paper is read back with a ruler, never the engine asked."""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

from framing.count import LevelCount, count_level
from framing.drawing.drawn import DrawnLevel, level_drawn
from framing.drawing.shapes import Circle, Drawing, Group, Text, groups, walk
from framing.drawing.shapes import Path as Line
from framing.length import TICKS_PER_MM
from framing.plan import Plan
from framing.readers import read_plan
from tests.framing.floor import Json, door, plan, wall, wall_type

FIXTURES = Path(__file__).resolve().parents[3] / "fixtures"
ROOM, DOOR_CORNER, DEMO = (FIXTURES / name for name in ("walls/room.json", "walls/door-corner.json", "demo/plan.json"))

ODD_NAME = "Lot <7> & \"Sons\" 'x' ]]> \u00e9\u03a9\u5899"


def slants() -> Json:
    """Corners of 60 and 120 degrees, a slanted tee, a raked and fire-rated wall with a window, a wall laid out from its
    `to` end with one low face, and names that no file format likes.
    """
    window = {"mark": "\u03a91", "kind": "window", "at": "40", "width": "40", "height": "30", "sill": "36"}
    made = plan(
        wall("A", (0, 0), (144, 0)),
        wall("B", (0, 0), ("60", "103.923"), openings=[door("B-D1", "40", hinge="near", swing="left")]),
        {
            "mark": "C & <i>",
            "type": "P6",
            "from": [144, 0],
            "to": ["194", "86.6025"],
            "height_from": "9'-0\"",
            "height_to": "12'-0\"",
            "openings": [window],
        },
        wall(ODD_NAME, (72, 0), (72, -80), height="8'-0\"", layout_from="to", right_height="90"),
        wall("E", (260, 0), (400, 0)),
        wall("F", (330, 0), (380, -70)),
        types={
            "P1": wall_type(),
            "P6": wall_type("600", left=["B58", "B58"], fire_rated=True, head_gap="3/4"),
        },
    )
    made["name"] = ODD_NAME
    made["levels"][0]["name"] = "Attic <1> & up"
    return made


def metric() -> Json:
    return plan(
        wall("A", (0, 0), (3600, 0), height=2700),
        wall("B", (0, 0), (0, 2400), height=2700, openings=[door("D1", 900, 950, 2100)]),
        types={"P1": wall_type(spacing="600 mm", left=["G"], right=["G"])},
        boards={"G": {"thickness": "15 mm", "width": "1200 mm", "lengths": ["2400 mm", "3000 mm"]}},
        unit="mm",
    )


PLANS = ("room", "door corner", "demo", "slants", "metric")


@cache
def counted(name: str) -> tuple[Plan, LevelCount]:
    files = {"room": ROOM, "door corner": DOOR_CORNER, "demo": DEMO}
    source = files.get(name) or json.dumps({"slants": slants, "metric": metric}[name]()).encode()
    read = read_plan(source)
    return read, count_level(read.levels[0], read.practice)


@cache
def drawn(name: str) -> DrawnLevel:
    """The one level of a plan, as it is drawn."""
    return level_drawn(*counted(name))


def drawn_of(made: Json) -> DrawnLevel:
    read = read_plan(json.dumps(made).encode())
    return level_drawn(read, count_level(read.levels[0], read.practice))


def parsed(document: str) -> Element:
    """An SVG document of our own making as XML, to the letter of the standard."""
    return ElementTree.fromstring(document.encode())  # noqa: S314


def named(drawing: Drawing, kind: str) -> list[Group]:
    return list(groups(drawing.shapes, kind))


def spots(group: Group) -> Iterator[list[tuple[float, float]]]:
    """The lines of a group as spots on the paper, mm."""
    for shape, by in walk([group]):
        if isinstance(shape, Line):
            yield [(spot.x + by.x, spot.y + by.y) for spot in shape.spots]


def extent(group: Group) -> tuple[float, float, float, float]:
    """Left, top, right, bottom of all lines of a group, mm."""
    found = [spot for line in spots(group) for spot in line]
    xs, ys = [x for x, _ in found], [y for _, y in found]
    return min(xs), min(ys), max(xs), max(ys)


def words(drawing: Drawing) -> list[str]:
    return [shape.words for shape, _ in walk(drawing.shapes) if isinstance(shape, Text)]


def texts(drawing: Drawing) -> list[tuple[Text, float, float]]:
    return [(shape, by.x, by.y) for shape, by in walk(drawing.shapes) if isinstance(shape, Text)]


def circles(drawing: Drawing) -> list[Circle]:
    return [shape for shape, _ in walk(drawing.shapes) if isinstance(shape, Circle)]


def on_paper(ticks: float, ratio: int) -> float:
    """A length on paper at 1 : ratio, mm."""
    return ticks / TICKS_PER_MM / ratio
