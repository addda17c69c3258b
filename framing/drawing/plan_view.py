"""A level from above: walls as thick as they are, openings, marks in circles, numbers of details in squares."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from framing.board import CAPS
from framing.drawing.details import Detail
from framing.drawing.drawn import DrawnLevel, DrawnWall
from framing.drawing.lettering import say, span
from framing.drawing.marks import Room, ring, ring_box, tag, tag_half
from framing.drawing.paper import Scale, fitting, scale_bar
from framing.drawing.places import Place, at_floor, board_plan, cap_plan, without_openings
from framing.drawing.shapes import FINE_LINE, LINE, Box, Drawing, Pad, Pen, Shape, Spot, arc
from framing.plan import Opening

_AROUND, _FOOT = 9.0, 10.0
_HAIR = Pen(0.12)
KEY = (
    "circle: wall or opening;  square: detail;  rooms: see their list;  black triangle: stud layout starts here;  "
    "doors hinged and swung as the plan states;  lengths: the wall's line"
)


@dataclass(frozen=True, slots=True)
class _Paper:
    scale: Scale
    left: float
    low: float
    x: float
    y: float

    def spot(self, place: Place) -> Spot:
        return Spot(self.x + self.scale.mm(place[0] - self.left), self.y - self.scale.mm(place[1] - self.low))


def extent(level: DrawnLevel) -> tuple[float, float, float, float]:
    """Left, low, right, high of the level's walls, board included, ticks."""
    places = [
        wall.point(at, beside)
        for wall in level.walls
        for at in (0, wall.end)
        for beside in (wall.beside("left")[1], wall.beside("right")[1])
    ]
    xs, ys = [x for x, _ in places], [y for _, y in places]
    return min(xs), min(ys), max(xs), max(ys)


def plan_scale(level: DrawnLevel, room: tuple[float, float]) -> Scale:
    """The largest scale at which the level and the marks around it fit a room in mm."""
    left, low, right, high = extent(level)
    inner = (room[0] - 2 * _AROUND, room[1] - 2 * _AROUND - _FOOT)
    return fitting(int(right - left), int(high - low), inner, is_metric=level.is_metric, largest=8)


def plan_drawing(level: DrawnLevel, details: Sequence[Detail], room: tuple[float, float]) -> Drawing:
    """The level at the scale that fits the room, on paper as wide as the room."""
    scale = plan_scale(level, room)
    left, low, right, high = extent(level)
    tall = scale.mm(high - low) + 2 * _AROUND
    paper = _Paper(scale, left, low, (room[0] - scale.mm(right - left)) / 2, _AROUND + scale.mm(high - low))
    under, pad, free = Pad(), Pad(), Room(Box(0, 0, room[0], tall))
    for wall in level.walls:
        under.group("wall", f"wall {wall.mark}, {say(wall.wall.length, is_metric=level.is_metric)}", _wall(paper, wall))
        _take_wall(free, paper, wall)
    for wall in level.walls:
        for opening in wall.frame.openings:
            under.group("opening", opening.mark, _opening(paper, wall, opening))
            if opening.swing:
                free.take(_swing_box(paper, wall, opening))
    for wall in level.walls:
        for opening in wall.frame.openings:
            _opening_mark(under, pad, free, paper, wall, opening)
    for words, middle in level.stocked.marks():
        _room_mark(pad, free, paper.spot((float(middle.x), float(middle.y))), words)
    for wall in level.walls:
        _wall_mark(under, pad, free, paper, wall, is_metric=level.is_metric)
    for detail in details:
        for met in detail.all:
            _detail_mark(
                under, pad, free, paper, str(detail.number), (float(met.junction.at.x), float(met.junction.at.y))
            )
    y = tall + 5
    at = scale_bar(pad, room[0], y, scale, is_metric=level.is_metric)
    pad.text(at - 2.5, y, scale.words, 6.5, "end")
    pad.text(0, y, KEY, 6.5)
    told = f"Plan of {level.name}, {scale.words}: {len(level.walls)} walls, {len(details)} details."
    return Drawing("plan", f"{level.name}: plan", told, room[0], y + 2, (*under.shapes, *pad.shapes), scale.words)


def _wall(paper: _Paper, wall: DrawnWall) -> list[Shape]:
    """Steel as a white band with thin ends, board as black strips as thick as it is, an arrow where layout starts."""
    pad = Pad()
    for run in wall.frame.runs:
        for low, high in without_openings(wall, (run.start, run.end)):
            corners = [(low, wall.half), (high, wall.half), (high, -wall.half), (low, -wall.half)]
            pad.area([paper.spot(wall.point(at, beside)) for at, beside in corners], _HAIR, "white")
    for face, layer in wall.faces():
        if face in CAPS:
            for sheet in wall.sheets_of(face, layer):
                pad.area([paper.spot(place) for place in cap_plan(wall, sheet)], _HAIR, "black")
            continue
        for stretch, _ in at_floor(wall, face, layer):
            pad.area([paper.spot(place) for place in board_plan(wall, face, layer, stretch)], _HAIR, "black")
    start, sign = (0, 1) if wall.wall.layout_from == "from" else (wall.end, -1)
    core = 0.8 * wall.half
    tip = wall.point(start + sign * 2 * wall.half, 0)
    pad.area(
        [paper.spot(place) for place in (wall.point(start, int(core)), wall.point(start, -int(core)), tip)],
        None,
        "black",
    )
    return list(pad.shapes)


def _opening(paper: _Paper, wall: DrawnWall, opening: Opening) -> list[Shape]:
    """Jambs across the wall; a window by two lines along it; a door's leaf and its swing where stated."""
    pad = Pad()
    low, high = wall.frame.at(opening), wall.frame.far(opening)
    left, right = wall.beside("left")[1], wall.beside("right")[1]

    def spot(at: float, beside: float) -> Spot:
        return paper.spot(wall.point(int(at), int(beside)))

    if opening.sill:
        pad.area([spot(low, left), spot(high, left), spot(high, right), spot(low, right)], FINE_LINE, "white")
        pad.line(spot(low, 0), spot(high, 0))
        return list(pad.shapes)
    for at in (low, high):
        pad.line(spot(at, left), spot(at, right), pen=FINE_LINE)
    if opening.swing and opening.hinge:
        hinge, latch = (low, high) if opening.hinge == "near" else (high, low)
        beside = left if opening.swing == "left" else right
        out = beside + (opening.width if opening.swing == "left" else -opening.width)
        foot, open_tip, shut_tip = spot(hinge, beside), spot(hinge, out), spot(latch, beside)
        pad.line(foot, open_tip, pen=LINE)
        start = math.degrees(math.atan2(open_tip.y - foot.y, open_tip.x - foot.x))
        end = math.degrees(math.atan2(shut_tip.y - foot.y, shut_tip.x - foot.x))
        sweep = (end - start + 180) % 360 - 180
        pad.line(*arc(foot.x, foot.y, paper.scale.mm(opening.width), start, sweep))
    return list(pad.shapes)


def _swing_box(paper: _Paper, wall: DrawnWall, opening: Opening) -> Box:
    beside = wall.beside(opening.swing)[1]
    out = beside + (opening.width if opening.swing == "left" else -opening.width)
    spots = [
        paper.spot(wall.point(at, side))
        for at in (wall.frame.at(opening), wall.frame.far(opening))
        for side in (beside, out)
    ]
    return _box_of(spots)


def _box_of(spots: Sequence[Spot]) -> Box:
    xs, ys = [spot.x for spot in spots], [spot.y for spot in spots]
    return Box(min(xs), min(ys), max(xs), max(ys))


def _take_wall(free: Room, paper: _Paper, wall: DrawnWall) -> None:
    """Take the wall's band, piece by piece where it runs at a slant."""
    steps = 1 if 0 in wall.axis.vector else max(1, int(paper.scale.mm(wall.end) / 2))
    left, right = wall.beside("left")[1], wall.beside("right")[1]
    for step in range(steps):
        low, high = wall.end * step // steps, wall.end * (step + 1) // steps
        spots = [paper.spot(wall.point(at, beside)) for at in (low, high) for beside in (left, right)]
        free.take(_box_of(spots), wall.mark)


_SHARES = (0.5, 0.42, 0.58, 0.34, 0.66, 0.26, 0.74, 0.18, 0.82)


def _beside(paper: _Paper, wall: DrawnWall, at: int, off: float) -> Iterator[Spot]:
    """Places `off` mm from both faces of a wall."""
    for side in ("right", "left"):
        edge = wall.beside(side)[1]
        base = paper.spot(wall.point(at, edge))
        out = paper.spot(wall.point(at, edge + (1 if side == "left" else -1) * 1_000_000_000))
        size = math.hypot(out.x - base.x, out.y - base.y)
        yield Spot(base.x + (out.x - base.x) / size * off, base.y + (out.y - base.y) / size * off)


def _wall_mark(under: Pad, pad: Pad, free: Room, paper: _Paper, wall: DrawnWall, *, is_metric: bool) -> None:
    """The wall's mark in a ring with its length, beside the wall where there is room; further off with a line to it."""
    length, size = say(wall.wall.length, is_metric=is_metric), 6.5
    base = ring_box(0, 0, wall.mark, size)
    wide, high = base.right, base.bottom
    more = 0.8 + span(length, 6)
    dx, dy = wall.axis.vector
    is_upright = abs(dy) > abs(dx)
    found: list[tuple[Spot, Spot]] = []
    for extra in (0.8, 4.0, 9.0, 15.0, 24.0):
        for share in _SHARES:
            foot = paper.spot(wall.point(int(wall.end * share)))
            for x, y in _beside(paper, wall, int(wall.end * share), (wide if is_upright else high) + extra):
                found.append((Spot(x - (more if is_upright and x < foot.x else 0.0), y), foot))
    boxes = [Box(x - wide, y - high, x + wide + more, y + high) for (x, y), _ in found]
    index = free.first_free(boxes, wall.mark)
    if index is None:
        index = 0
        free.take(boxes[0])
    (x, y), foot = found[index]
    if index >= 2 * len(_SHARES):
        under.line((x, y), foot, pen=_HAIR)
    pad.add(ring(x, y, wall.mark, size, LINE))
    pad.box(Box(x + wide + 0.5, y - 1.1, x + wide + more + 0.2, y + 1.2), None, "white")
    pad.text(x + wide + 0.8, y + 0.75, length, 6)


def _room_mark(pad: Pad, free: Room, spot: Spot, words: str) -> None:
    """The room's number on its floor, near the middle of where there is most of it."""
    half = span(words, 6.5, is_bold=True) / 2 + 0.4
    spots = [spot, *_around(spot, (2.5, 4.5, 7.0))]
    boxes = [Box(x - half, y - 1.5, x + half, y + 1.2) for x, y in spots]
    index = free.first_free(boxes)
    if index is None:
        index = 0
        free.take(boxes[0])
    pad.box(boxes[index], None, "white")
    pad.text(spots[index].x, spots[index].y + 0.75, words, 6.5, "middle", bold=True)


def _around(spot: Spot, offs: Sequence[float]) -> Iterator[Spot]:
    for off in offs:
        for step in range(16):
            angle = math.radians(45 + step * 22.5 * (1 if step % 2 else -1))
            yield Spot(spot.x + off * math.cos(angle), spot.y - off * math.sin(angle))


def _detail_mark(under: Pad, pad: Pad, free: Room, paper: _Paper, number: str, place: Place) -> None:
    spot = paper.spot(place)
    size = 5.5
    half = tag_half(number, size)
    spots = list(_around(spot, (3.4, 5.0, 7.0, 10.0, 14.0, 20.0)))
    boxes = [Box(x - half, y - half, x + half, y + half) for x, y in spots]
    index = free.first_free(boxes)
    if index is None:
        index = 0
        free.take(boxes[0])
    x, y = spots[index]
    under.line(spot, (x, y), pen=_HAIR)
    under.circle(spot.x, spot.y, 0.35, None, "black")
    pad.add(tag(x, y, number, size))


def _opening_mark(under: Pad, pad: Pad, free: Room, paper: _Paper, wall: DrawnWall, opening: Opening) -> None:
    mark = opening.mark.removeprefix(wall.mark).lstrip("-. /") or opening.mark
    at = (wall.frame.at(opening) + wall.frame.far(opening)) // 2
    base = ring_box(0, 0, mark, 5.5)
    dx, dy = wall.axis.vector
    reach = base.right if abs(dy) > abs(dx) else base.bottom
    spots = [spot for extra in (0.7, 2.5, 5.0, 8.0) for spot in _beside(paper, wall, at, reach + extra)]
    spots += _around(paper.spot(wall.point(at)), (8.0, 12.0, 16.0))
    boxes = [base.moved(*spot) for spot in spots]
    index = free.first_free(boxes)
    if index is None:
        index = 0
        free.take(boxes[0])
    if index >= 2:
        under.line(spots[index], paper.spot(wall.point(at)), pen=_HAIR)
    pad.add(ring(spots[index].x, spots[index].y, mark, 5.5))
