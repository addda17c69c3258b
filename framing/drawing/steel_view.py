"""The steel of a wall in elevation: studs by role, both rows of track with their splices, heads and sills."""

from __future__ import annotations

from framing.drawing.drawn import DrawnLevel, DrawnWall
from framing.drawing.elevation import (
    CAPTION,
    LEFT_ROOM,
    RIGHT_ROOM,
    Corners,
    View,
    caption,
    drawing,
    end_words,
    floor_line,
    foot_words,
    heights,
    opening_name,
    opening_shapes,
    ordinates,
    scale_of,
)
from framing.drawing.hatch import hatched
from framing.drawing.lettering import span
from framing.drawing.marks import dimension, ring, ring_size, slash, spread
from framing.drawing.shapes import FINE_LINE, HIDDEN, LINE, Box, Drawing, Pad, Shape
from framing.length import Length
from framing.pieces import Stud, TrackPiece

ROLE_LETTERS = {
    "end": "E",
    "corner": "C",
    "loose": "L",
    "door": "D",
    "jamb": "J",
    "backing": "B",
    "cripple": "K",
}
ROLE_WORDS = {
    "layout": "layout stud",
    "end": "end stud",
    "corner": "corner stud",
    "loose": "loose stud",
    "door": "door stud",
    "jamb": "jamb stud",
    "backing": "backing stud",
    "cripple": "cripple",
}
_RING = 6.5  # points
_ROW = 5.4  # mm from one row of rings to the next


def steel_drawing(wall: DrawnWall, level: DrawnLevel, width: float) -> Drawing:
    """The steel as seen from the right face, on paper `width` mm wide."""
    scale = scale_of(wall, width, is_metric=level.is_metric)
    above = CAPTION + 6.5 + (_ROW if _lettered(wall) else 0.0) + 1.5
    floor = above + scale.mm(wall.wall.highest)
    view = View(wall, scale, level.is_metric, False, 0, wall.end, LEFT_ROOM, floor)
    pad = Pad()
    needed = caption(pad, view, "Steel, seen from the right")
    _row(pad, view, "top", CAPTION + 4.5)
    _letters(pad, view, CAPTION + 6.5)
    for opening in wall.frame.openings:
        pad.group("opening", opening_name(view, opening), opening_shapes(view, opening))
    for stud in wall.studs:
        pad.group("stud", _stud_name(view, stud), _stud(view, stud))
    for name, piece in wall.named_track():
        pad.group("track", _piece_name(view, name, piece), _track(view, name, piece))
    floor_line(pad, view)
    end_words(pad, view)
    kind = wall.wall.type
    up: list[tuple[Length, Length, str]] = [(0, wall.wall.height_from, view.say(wall.wall.height_from))]
    heights(pad, view, up)
    if not wall.wall.is_level_topped:
        x = view.right + 7.2
        words = f"{view.say(wall.wall.height_to)} at this end"
        pad.text(x, (view.floor + view.y(wall.wall.height_to)) / 2, words, 6.5, "middle", turn=90)
    bottom = ordinates(pad, view, (stud.at for stud in wall.studs), view.floor + 0.6)
    _row(pad, view, "bottom", bottom + 3.4)
    bottom = _key(pad, view, bottom + 7.6, needed)
    told = (
        f"Elevation of the steel of wall {wall.mark}, {view.scale.words}: {len(wall.studs)} studs "
        f"{kind.stud.designator}, {len(wall.track)} pieces of track {kind.track.designator}, bottom track "
        f"{view.say(wall.end)} long. Figures under the floor are the middles of the studs, measured from the "
        f"{wall.wall.layout_from} end."
    )
    return drawing(f"{wall.mark}-steel", f"Wall {wall.mark}: steel", told, pad, needed, bottom, scale)


def _stud_name(view: View, stud: Stud) -> str:
    at = view.say(view.wall.from_origin(stud.at))
    raised = f", from {view.say(stud.bottom)} up" if stud.bottom else ""
    return f"{ROLE_WORDS[stud.role]} at {at}, {view.say(stud.length)} long{raised}, opens to the {stud.opens} end"


def _stud(view: View, stud: Stud) -> list[Shape]:
    """A stud's flange as a strip. Its web side is drawn strong, its open side thin; roles told by pattern."""
    flange = view.wall.wall.type.stud.flange
    low, high = stud.at - flange // 2, stud.at + flange // 2
    box = view.box(low, stud.bottom, high - low, stud.length)
    pad = Pad()
    corners = [(box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom)]
    is_loose = stud.role == "loose"
    pad.area(corners, None, "black" if stud.role == "corner" else "white")
    if stud.role in ("door", "jamb"):
        pad.add(hatched(corners, 45, 1.1))
    elif stud.role in ("end", "backing"):
        pad.add(hatched(corners, 0, 1.6))
    pad.area(corners, HIDDEN if is_loose else FINE_LINE)
    web_at = high if stud.opens == "from" else low
    x = view.x(web_at)
    if not is_loose:
        pad.line((x, box.top), (x, box.bottom), pen=LINE)
    return pad.shapes


def _piece_name(view: View, name: str, piece: TrackPiece) -> str:
    return f"{name}: {piece.row} track, {view.say(piece.length)} long, from {view.say(piece.at)}"


def _track(view: View, name: str, piece: TrackPiece) -> list[Shape]:
    """A piece of track from the side: its flange, and the bent ends of a head or sill."""
    wall, leg = view.wall, view.wall.wall.type.track.flange
    pad = Pad()
    if piece.row == "bottom":
        pad.box(view.box(piece.at, 0, piece.length, leg), FINE_LINE, "white")
    elif piece.row == "top":
        pad.area(_on_paper(view, _top_leg(wall, piece, leg)), FINE_LINE, "white")
    else:
        opening = wall.opening_of(piece)
        level = opening.sill if opening and piece.row == "sill" else opening.top if opening else 0
        sign = -1 if piece.row == "sill" else 1
        start_bend, end_bend = piece.from_end.bend, piece.to_end.bend
        length = piece.length - start_bend - end_bend
        low = level if sign > 0 else level - leg
        pad.box(view.box(piece.at, low, length, leg), FINE_LINE, "white")
        for bend, at in ((start_bend, piece.at), (end_bend, piece.at + length)):
            if bend:
                x = view.x(at)
                pad.line((x, view.y(level)), (x, view.y(level + sign * bend)), pen=LINE)
        box = view.box(piece.at, low, length, leg)
        words = f"{name}  {view.say(piece.length)}"
        words = words if span(words, 6.5) + 1 <= box.right - box.left else name
        y = box.top - 1.0 if sign > 0 else box.bottom + 2.6
        if span(words, 6.5) + 1 <= box.right - box.left:
            reach = span(words, 6.5) / 2 + 0.4
            middle = (box.left + box.right) / 2
            pad.box(Box(middle - reach, y - 1.9, middle + reach, y + 0.5), None, "white")
            pad.text(middle, y, words, 6.5, "middle")
    return pad.shapes


def _top_leg(wall: DrawnWall, piece: TrackPiece, leg: Length) -> Corners:
    low, high = piece.at, piece.at + piece.length
    tops = (float(wall.height_at(low)), float(wall.height_at(high)))
    return [(low, tops[0] - leg), (low, tops[0]), (high, tops[1]), (high, tops[1] - leg)]


def _on_paper(view: View, corners: Corners) -> Corners:
    return [(view.x(at), view.y(up)) for at, up in corners]


def _row(pad: Pad, view: View, row: str, y: float) -> None:
    """Pieces of one row end to end, with their names and lengths; a slash at each end and splice."""
    for name, piece in view.wall.named_track():
        if piece.row != row:
            continue
        low, high = view.x(piece.at), view.x(piece.at + piece.length)
        words = f"{name}  {view.say(piece.length)}"
        if span(words, 6.5) + 0.8 > high - low:
            words = name
        if span(words, 6.5) + 0.8 > high - low:
            pad.line((low, y), (high, y))
            slash(pad, low, y)
            slash(pad, high, y)
            pad.text((low + high) / 2, y - 1.0, words, 6.5, "middle")
        else:
            dimension(pad, low, high, y, words)


def _lettered(wall: DrawnWall) -> list[Stud]:
    return [stud for stud in wall.studs if stud.role in ROLE_LETTERS and stud.role != "cripple"]


def _letters(pad: Pad, view: View, top: float) -> None:
    """A ringed letter over every stud that stands for a reason of its own."""
    studs = sorted(_lettered(view.wall), key=lambda stud: view.x(stud.at))
    wide, high = ring_size("D", _RING)
    edge = view.left - LEFT_ROOM + wide
    places = spread([view.x(stud.at) for stud in studs], 2 * wide + 0.5, edge, view.right + RIGHT_ROOM - wide)
    for stud, x in zip(studs, places, strict=True):
        at, y = view.x(stud.at), top + high
        pad.line((x, y + high), (at, view.y(stud.bottom + stud.length)))
        pad.add(ring(x, y, ROLE_LETTERS[stud.role], _RING))


def _key(pad: Pad, view: View, y: float, width: float) -> float:
    """What the letters mean, and which way layout studs open."""
    roles = [role for role in ROLE_LETTERS if any(stud.role == role for stud in _lettered(view.wall))]
    words = [f"{ROLE_LETTERS[role]} {ROLE_WORDS[role]}" for role in roles]
    opens = {stud.opens for stud in view.wall.studs if stud.role == "layout"}
    if opens:
        side = opens.pop()
        words.append(
            f"no letter: on layout, open side to the {side} end (thin line), web strong: hang from that end, so that "
            "edges land on the open half first"
        )
    words.append(f"figures: middles of studs from the {view.wall.wall.layout_from} end")
    return foot_words(pad, ";  ".join(words), y, width)
