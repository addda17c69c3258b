"""What the elevations of a wall share: where its places lie on paper, its openings, captions, running figures.

A face is drawn as seen by whoever stands on its side: the right one from the `from` end at the left, the left one
from the `to` end at the left. The steel is drawn as seen from the right.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from framing.drawing.drawn import DrawnWall
from framing.drawing.hatch import clip
from framing.drawing.lettering import MM_PER_POINT, say, say_inches, span, wrap
from framing.drawing.marks import ring, ring_size, running, slash
from framing.drawing.paper import Scale, fitting, scale_bar
from framing.drawing.shapes import HEAVY_LINE, LINE, Box, Drawing, Pad, Shape
from framing.length import Length
from framing.plan import DOOR, Opening

LEFT_ROOM, RIGHT_ROOM, CAPTION = 13.0, 9.0, 11.0
TALLEST = 62.0  # mm: two faces of a usual wall share a page
CLOSEST = 24  # to one: larger says no more
Corners = list[tuple[float, float]]


@dataclass(frozen=True, slots=True)
class View:
    """A wall on paper. `low`, `high`: the places drawn at its ends; `left`, `floor`: where they lie, mm."""

    wall: DrawnWall
    scale: Scale
    is_metric: bool
    flip: bool
    low: Length
    high: Length
    left: float
    floor: float

    @property
    def right(self) -> float:
        return self.left + self.scale.mm(self.high - self.low)

    @property
    def top(self) -> float:
        return self.y(self.wall.wall.highest)

    def x(self, at: float | Fraction) -> float:
        return self.left + self.scale.mm(float(self.high - at if self.flip else at - self.low))

    def y(self, up: float | Fraction) -> float:
        return self.floor - self.scale.mm(float(up))

    def box(self, at: Length, bottom: Length, width: Length, height: Length) -> Box:
        x1, x2 = sorted((self.x(at), self.x(at + width)))
        return Box(x1, self.y(bottom + height), x2, self.y(bottom))

    def say(self, length: Length | Fraction) -> str:
        return say(length, is_metric=self.is_metric)

    def tape(self, at: Length) -> str:
        """A place as read on a tape hooked at the layout's origin, in inches alone."""
        return say_inches(self.wall.from_origin(at), is_metric=self.is_metric)


def scale_of(wall: DrawnWall, width: float, *, is_metric: bool) -> Scale:
    """The scale of all elevations of one wall, on paper `width` mm wide."""
    edges = [0, wall.end, *(sheet.at for sheet in wall.sheets), *(sheet.at + sheet.width for sheet in wall.sheets)]
    room = (width - LEFT_ROOM - RIGHT_ROOM, TALLEST)
    return fitting(max(edges) - min(edges), wall.wall.highest, room, is_metric=is_metric, largest=CLOSEST)


def caption(pad: Pad, view: View, words: str) -> float:
    """The wall's mark in a ring, what is seen, the scale and its bar. Returns the width that a drawing needs."""
    wide, _ = ring_size(view.wall.mark, 8)
    title = span(words, 8.5, is_bold=True)
    scale = span(view.scale.words, 6.5)
    needed = max(view.right + RIGHT_ROOM, 2 * wide + 2 + title, 46.0)
    bar = 40.0
    is_beside = 2 * wide + 2 + title + 8 + scale + 3 + bar <= needed
    base = 4.2 if is_beside else 8.6
    pad.add(ring(wide, 3.2, view.wall.mark, 8, LINE))
    pad.text(2 * wide + 2, 4.2, words, 8.5, bold=True)
    left = scale_bar(pad, needed, base, view.scale, is_metric=view.is_metric)
    said = pad.text(left - 2.5, base, view.scale.words, 6.5, "end")
    if is_beside:
        pad.line((2 * wide + 3.5 + title, 3.2), (said.box().left - 2, 3.2))
    return needed


def foot_words(pad: Pad, words: str, y: float, width: float) -> float:
    """Small print under a drawing. Returns the y under it."""
    for line in wrap(words, width, 6.5):
        pad.text(0, y, line, 6.5)
        y += 2.9
    return y - 1.6


def opening_shapes(view: View, opening: Opening) -> list[Shape]:
    """A rough opening with its diagonals, its mark in a ring and its size."""
    frame = view.wall.frame
    box = view.box(frame.at(opening), opening.sill, opening.width, opening.height)
    pad = Pad()
    pad.box(box, LINE, "white")
    pad.line((box.left, box.top), (box.right, box.bottom))
    pad.line((box.left, box.bottom), (box.right, box.top))
    middle, high = (box.left + box.right) / 2, box.bottom - box.top
    words = [f"{say_inches(opening.width, is_metric=view.is_metric)} × {_height(view, opening)}"]
    if opening.sill:
        words.append(f"sill {say_inches(opening.sill, is_metric=view.is_metric)}")
    mark = _short(view, opening)
    wide, half = ring_size(mark, 7)
    size = 6.5
    needed = 2 * half + len(words) * size * MM_PER_POINT * 1.15 + 1.5
    y = max(box.top + min(0.32 * high, high - needed), box.top) + half + 0.4
    for index, line in enumerate(words):
        fits = span(line, size) + 1 <= box.right - box.left
        base = y + half + 0.6 + (index + 0.85) * size * MM_PER_POINT * 1.15
        if fits and base + 0.6 <= box.bottom:
            reach = span(line, size) / 2 + 0.5
            pad.box(Box(middle - reach, base - 2.0, middle + reach, base + 0.6), None, "white")
            pad.text(middle, base, line, size, "middle")
    if 2 * wide <= box.right - box.left + 2:
        pad.add(ring(middle, y, mark, 7))
    return pad.shapes


def _height(view: View, opening: Opening) -> str:
    return say_inches(opening.height, is_metric=view.is_metric)


def _short(view: View, opening: Opening) -> str:
    """An opening's mark without the wall's own before it."""
    short = opening.mark.removeprefix(view.wall.mark).lstrip("-. /")
    return short or opening.mark


def opening_name(view: View, opening: Opening) -> str:
    """An opening in words, for whoever cannot see it."""
    at = view.say(view.wall.from_origin(view.wall.frame.at(opening)))
    kind = opening.kind if opening.kind == DOOR else f"{opening.kind}, sill {view.say(opening.sill)}"
    return f"{opening.mark}: {kind}, {view.say(opening.width)} by {view.say(opening.height)}, near jamb at {at}"


def openings(pad: Pad, view: View) -> None:
    for opening in view.wall.frame.openings:
        pad.group("opening", opening_name(view, opening), opening_shapes(view, opening))


def floor_line(pad: Pad, view: View) -> None:
    pad.line((view.left - 3, view.floor), (view.right + 3, view.floor), pen=HEAVY_LINE)


def end_words(pad: Pad, view: View) -> None:
    """Which end of the wall is which, and from which the tape is hooked."""
    y = view.top + 4
    for end, at in (("from", 0), ("to", view.wall.end)):
        x = view.x(at)
        is_left = (at == 0) != view.flip
        side = x - 1.8 if is_left else x + 3.2
        pad.text(side, y, f"{end} end", 6.5, "end", turn=90)


def ordinates(pad: Pad, view: View, places: Iterable[Length], top: float) -> float:
    """Running figures below the floor from the layout's origin, which a triangle shows. Returns the y under them."""
    marks = sorted((view.x(at), view.tape(at)) for at in set(places))
    merged: list[tuple[float, str]] = []
    for x, words in marks:
        if not merged or words != merged[-1][1]:
            merged.append((x, words))
    bottom = running(pad, merged, top, view.left - LEFT_ROOM + 2, view.right + RIGHT_ROOM - 1)
    at = 0 if view.wall.wall.layout_from == "from" else view.wall.end
    x = view.x(at)
    pad.area(((x, top), (x - 1.1, top + 1.9), (x + 1.1, top + 1.9)), fill="black")
    return bottom


def heights(pad: Pad, view: View, up: Sequence[tuple[Length, Length, str]]) -> None:
    """Standing dimensions left of the wall: (from, to, words) in ticks from the floor, first nearest to the wall."""
    for index, (low, high, words) in enumerate(up):
        x = view.left - 4.6 - index * 4.2
        top, bottom = view.y(high), view.y(low)
        pad.line((x, top), (x, bottom))
        for y, place in ((top, high), (bottom, low)):
            slash(pad, x, y)
            if place:
                pad.line((x - 0.8, y), (view.left - 0.6, y))
        pad.text(x - 0.7, (top + bottom) / 2, words, 6.5, "middle", turn=90)


def under_the_top(wall: DrawnWall, corners: Corners, low: Length, high: Length, face: str = "") -> Corners:
    """The part of a shape in (at, height) below a raked wall's top, or below the top of one of its faces."""

    def top(at: Length) -> Fraction | Length:
        return wall.board_top(face, at) if face else wall.height_at(at)

    places = [low, high]
    own = wall.wall.own_height(face) if face else None
    rise = wall.wall.height_to - wall.wall.height_from
    if own is not None and rise:
        knee = Fraction((own - wall.wall.height_from) * wall.wall.length, rise) - wall.frame.origin
        if low < knee < high:
            places.insert(1, int(knee))
    window = [(float(low), 0.0), *((float(at), float(top(at))) for at in places), (float(high), 0.0)]
    return clip(corners, window)  # convex: the lower of a straight rake and a level height


def drawing(name: str, title: str, told: str, pad: Pad, width: float, bottom: float, scale: Scale) -> Drawing:
    """The shapes of a pad as a drawing `width` mm wide that ends at `bottom`."""
    return Drawing(name, title, told, width, bottom, tuple(pad.shapes), scale.words)
