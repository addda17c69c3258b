"""All drawings of one wall for a page: its elevations, the details of its junctions, its cut cards."""

from __future__ import annotations

from collections.abc import Iterator

from framing.drawing.cut_cards import card_scale, cut_card
from framing.drawing.details import Detail, detail_drawing
from framing.drawing.drawn import DrawnLevel, DrawnWall
from framing.drawing.face_view import caps_drawing, face_drawing
from framing.drawing.meeting_parts import meetings_of
from framing.drawing.shapes import Drawing
from framing.drawing.steel_view import steel_drawing
from framing.plan import LEFT, RIGHT

ON_PAGE = 254.0
"""Width that a wall's drawings may take, mm: that of the small sheet without its margins."""


def elevations(wall: DrawnWall, level: DrawnLevel, width: float = ON_PAGE) -> Iterator[Drawing]:
    """Steel, every layer of every face, and caps of one wall."""
    yield steel_drawing(wall, level, width)
    for face, layer in wall.faces():
        if face in (LEFT, RIGHT):
            yield face_drawing(wall, level, face, layer, width)
    caps = caps_drawing(wall, level)
    if caps is not None:
        yield caps


def details(wall: DrawnWall, level: DrawnLevel) -> Iterator[Drawing]:
    """The true-scale detail of each junction at which a wall stands, under the marks of its walls."""
    for met in meetings_of(level):
        if wall.mark in met.junction.walls:
            yield detail_drawing(Detail(0, met, (), ()), level)


def cards(wall: DrawnWall, level: DrawnLevel, width: float = ON_PAGE) -> Iterator[Drawing]:
    """The cut card of each of a wall's track pieces."""
    scale = card_scale(level, width)
    for name, piece in wall.named_track():
        yield cut_card(wall, name, piece, level, width, scale)
