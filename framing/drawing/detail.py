"""A junction seen from above, true to scale: tracks with their cuts, studs, board in its order, fasteners.

Everything lies where the counted pieces lie. The bottom row is drawn; the top row is cut the same. A tab lies under the
other track at the floor and over it at the ceiling.
"""

from __future__ import annotations

import math

from framing.drawing.detail_figures import figures
from framing.drawing.detail_paper import OnPaper
from framing.drawing.drawn import DrawnLevel
from framing.drawing.fasteners_drawn import board_screws, pins, screw_places, track_screws
from framing.drawing.hatch import hatched
from framing.drawing.lettering import clipped
from framing.drawing.marks import ring, tag, tag_half
from framing.drawing.meeting_parts import PAST, Met, Part
from framing.drawing.paper import Scale, scale_bar, scales
from framing.drawing.places import Place, board_plan, cap_plan, stud_plan, track_plan
from framing.drawing.shapes import (
    FINE_LINE,
    HEAVY_LINE,
    HIDDEN,
    LINE,
    Pad,
    Path,
    Pen,
    Shape,
    Spot,
)
from framing.drawing.steel_view import ROLE_LETTERS, ROLE_WORDS
from framing.joints import AT_STRUCTURE, LAP, THROUGH
from framing.length import TICKS_PER_INCH as INCH
from framing.length import Length

FIGURE, NOTES = 156.0, 92.0
HEAD, AROUND = 9.0, 15.0
CLOSEST = 2


def detail_figure(met: Met, level: DrawnLevel) -> tuple[list[Shape], float, Scale]:
    """The figure of a junction, its height in mm, its scale. It fits `FIGURE` mm across."""
    turned = met.turned()
    corners = [spot for part in met.parts for spot in turned.all(_extent(part))]
    low_x, high_x = min(x for x, _ in corners), max(x for x, _ in corners)
    low_y, high_y = min(y for _, y in corners), max(y for _, y in corners)
    room = (FIGURE - 2 * AROUND, 132.0)
    scale = next(
        one
        for one in scales(level.is_metric)
        if one.ratio >= CLOSEST and one.mm(high_x - low_x) <= room[0] and one.mm(high_y - low_y) <= room[1]
    )
    left = (FIGURE - scale.mm(high_x - low_x)) / 2 - scale.mm(low_x)
    paper = OnPaper(met, turned, scale, left, AROUND + scale.mm(high_y), level.is_metric)
    pad = Pad()
    _draw(pad, paper, level)
    return pad.shapes, scale.mm(high_y - low_y) + 2 * AROUND, scale


def _extent(part: Part) -> list[Place]:
    """The corners of what is shown of a wall, board and all."""
    left, right = part.wall.beside("left")[1], part.wall.beside("right")[1]
    low, high = part.low, part.high
    if part.inward:
        edges = [part.place, part.high if part.inward > 0 else part.low]
        for _, _, (start, end), _ in part.boards():
            edges += [start, end]
        edges += [part.place - part.inward * part.wall.depth(cap.face)[1] for cap in part.caps()]
        low, high = min(edges), max(edges)
        if part.role == AT_STRUCTURE:
            low, high = min(low, part.place - INCH * 2), max(high, part.place + INCH * 2)
    return [part.wall.point(at, beside) for at in (low, high) for beside in (left, right)]


def _draw(pad: Pad, paper: OnPaper, level: DrawnLevel) -> None:
    parts = sorted(paper.met.parts, key=lambda part: part.role in (THROUGH, PAST))
    for part in parts:
        _structure(pad, paper, part)
    for part in parts:
        _web(pad, paper, part)
    for part in parts:
        _flanges(pad, paper, part)
    for part in parts:
        _boards(pad, paper, part)
    for part in parts:
        _studs(pad, paper, part)
    pad.add(board_screws(paper))
    pad.add(track_screws(paper))
    pad.add(pins(paper, level))
    for part in parts:
        _break(pad, paper, part)
    figures(pad, paper, level)
    for part in parts:
        _ranks(pad, paper, part)
        _letters(pad, paper, part)


def _web(pad: Pad, paper: OnPaper, part: Part) -> None:
    for piece in part.track:
        plan = track_plan(part.wall, piece, (part.low, part.high))
        pad.area(paper.spots(plan.web), FINE_LINE if part.role != LAP else None, "white")


def _flanges(pad: Pad, paper: OnPaper, part: Part) -> None:
    """Webs as thin outlines, a lapping one as hidden (its tab lies under); flanges as strong lines."""
    for piece in part.track:
        plan = track_plan(part.wall, piece, (part.low, part.high))
        pen = HIDDEN if part.role == LAP else FINE_LINE
        shapes: list[Shape] = [Path(tuple(paper.spots(plan.web)), pen, is_closed=True)]
        for flange in (plan.left, plan.right):
            one, two = paper.spots(flange)
            if math.hypot(two.x - one.x, two.y - one.y) > 0.05:
                shapes.append(Path((one, two), HEAVY_LINE))
        pad.group("track", f"{part.wall.mark} bottom track", shapes)


def _boards(pad: Pad, paper: OnPaper, part: Part) -> None:
    angle = 45 if part.role in (THROUGH, PAST) or part is paper.met.parts[0] else 135
    for face, layer, stretch, _ in part.boards():
        corners = paper.spots(board_plan(part.wall, face, layer, stretch))
        _board(pad, f"{part.wall.mark} {face} face, layer {layer}", corners, angle + 30 * (layer - 1))
    for cap in part.caps():
        corners = paper.spots(cap_plan(part.wall, cap))
        _board(pad, f"{part.wall.mark} cap, layer {cap.layer}", corners, angle + 90 + 30 * (cap.layer - 1))


def _board(pad: Pad, name: str, corners: list[Spot], angle: float) -> None:
    shapes: list[Shape] = [Path(tuple(corners), None, is_closed=True, fill="white")]
    shapes += hatched(corners, angle, 2.4, Pen(0.12))
    shapes.append(Path(tuple(corners), LINE, is_closed=True))
    pad.group("board", name, shapes)


def _studs(pad: Pad, paper: OnPaper, part: Part) -> None:
    """Studs as black Cs; the loose stud as a white one, for it stands free until board ties it."""
    thick = int(paper.scale.ticks(0.75))
    for stud in part.studs:
        spots = paper.spots(stud_plan(part.wall, stud, thick))
        fill = "white" if stud.role == "loose" else "black"
        name = f"{part.wall.mark} {ROLE_WORDS[stud.role]}, opens to the {stud.opens} end"
        pad.group("stud", name, [Path(tuple(spots), FINE_LINE, is_closed=True, fill=fill)])


def _letters(pad: Pad, paper: OnPaper, part: Part) -> None:
    for stud in part.studs:
        aside = part.wall.half // (-3 if stud.role == "door" else 3)  # door and loose stud may stand close together
        middle = paper.spot(part.wall.point(stud.at, aside))
        pad.add(ring(middle.x, middle.y, ROLE_LETTERS[stud.role], 7.0))


def _structure(pad: Pad, paper: OnPaper, part: Part) -> None:
    """Existing work that a wall butts against, hatched by pairs of lines."""
    if part.role != AT_STRUCTURE:
        return
    left, right = part.wall.beside("left")[1] + INCH, part.wall.beside("right")[1] - INCH
    far = part.place - part.inward * (INCH + INCH // 4)
    point = part.wall.point
    corners = paper.spots([point(part.place, left), point(part.place, right), point(far, right), point(far, left)])
    pad.add(hatched(corners, 60, 2.6))
    pad.add(hatched(corners, 64, 2.6))
    pad.line(corners[0], corners[1], pen=LINE)


def _break(pad: Pad, paper: OnPaper, part: Part) -> None:
    """A broken line across a wall where the detail stops, and the wall's mark beyond it."""
    edges = [(part.low, -1), (part.high, 1)]
    if part.inward:
        edges = edges[1:] if part.inward > 0 else edges[:1]
    along = paper.way(part)
    for at, side in edges:
        if not 0 < at < part.wall.end:
            continue
        over = INCH // 2
        one = paper.spot(part.wall.point(at, part.wall.beside("left")[1] + over))
        two = paper.spot(part.wall.point(at, part.wall.beside("right")[1] - over))
        turn = side * (part.inward or 1)
        way, middle = Spot(along.x * turn, along.y * turn), Spot((one.x + two.x) / 2, (one.y + two.y) / 2)
        door = _door_at(part, at)
        if door:
            base = middle.y + (2.5 if way.y > 0.5 else 0)
            pad.text(middle.x - way.x * 6, base + way.y * 0.5, f"door {door}", 7, "middle")
        else:
            _zigzag(pad, one, two, way)
        if side == edges[-1][1]:
            pad.add(ring(middle.x + way.x * 7.5, middle.y + way.y * 6, part.wall.mark, 8.5, LINE))


def _door_at(part: Part, at: Length) -> str:
    """The mark of an opening down to the floor in which the detail stops."""
    frame = part.wall.frame
    inside = (one.mark for one in frame.openings if not one.sill and frame.at(one) < at < frame.far(one))
    return next(inside, "")


def _zigzag(pad: Pad, one: Spot, two: Spot, way: Spot) -> None:
    size = math.hypot(two.x - one.x, two.y - one.y)
    dx, dy = (two.x - one.x) / size * 1.6, (two.y - one.y) / size * 1.6
    x, y = (one.x + two.x) / 2, (one.y + two.y) / 2
    pad.line(
        one,
        (x - dx, y - dy),
        (x - dx / 2 + way.x * 1.6, y - dy / 2 + way.y * 1.6),
        (x + dx / 2 - way.x * 1.6, y + dy / 2 - way.y * 1.6),
        (x + dx, y + dy),
        two,
    )


_SHARES = (0.5, 0.62, 0.38, 0.74, 0.26, 0.86, 0.14)


def _ranks(pad: Pad, paper: OnPaper, part: Part) -> None:
    """Numbers of the order of hanging, on the board itself, clear of its screws."""
    screws = [paper.spots(screw) for screw in screw_places(paper.met)]
    for face, layer, (low, high), steps in part.boards():
        rank = paper.met.rank(steps)
        if not rank:
            continue
        inner, outer = part.wall.beside(face, layer)
        places = [
            paper.spot(part.wall.point(low + int((high - low) * share), (inner + outer) // 2)) for share in _SHARES
        ]
        clear = [min((_off(place, *screw) for screw in screws), default=9.0) for place in places]
        best = next((index for index, off in enumerate(clear) if off > 4.0), clear.index(max(clear)))
        pad.add(ring(places[best].x, places[best].y, str(rank), 7.5, LINE))


def _off(spot: Spot, one: Spot, two: Spot) -> float:
    """Distance of a spot from a line between two."""
    dx, dy = two.x - one.x, two.y - one.y
    square = dx * dx + dy * dy or 1.0
    share = min(1.0, max(0.0, ((spot.x - one.x) * dx + (spot.y - one.y) * dy) / square))
    return math.hypot(spot.x - one.x - share * dx, spot.y - one.y - share * dy)


def head(pad: Pad, number: str, title: str, scale: Scale, width: float, *, is_metric: bool) -> None:
    """The detail's number in a square if it has one, what it is, and the scale with its bar."""
    x = 0.0
    if number:
        half = tag_half(number, 9)
        pad.add(tag(half + 0.2, 3.4, number, 9))
        x = 2 * half + 2.4
    words = pad.text(x, 4.6, clipped(title, 130, 9.5, is_bold=True), 9.5, bold=True)
    left = scale_bar(pad, width, 4.6, scale, is_metric=is_metric)
    said = pad.text(left - 2.5, 4.6, scale.words, 6.5, "end")
    pad.line((words.box().right + 1.5, 3.5), (said.box().left - 2, 3.5))
