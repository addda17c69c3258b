"""The board of a face in elevation: each sheet with its number in the order of hanging, over the studs behind it."""

from __future__ import annotations

from framing.board import CAPS
from framing.drawing.drawn import DrawnLevel, DrawnWall
from framing.drawing.elevation import (
    CAPTION,
    LEFT_ROOM,
    RIGHT_ROOM,
    TALLEST,
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
    under_the_top,
)
from framing.drawing.lettering import MM_PER_POINT, say_inches, span
from framing.drawing.marks import ring, ring_size, spread
from framing.drawing.paper import fitting
from framing.drawing.shapes import HIDDEN, LINE, Box, Drawing, Pad, Path, Shape, Spot
from framing.length import Length
from framing.pieces import Sheet

_SIZE = 7.0


def face_drawing(wall: DrawnWall, level: DrawnLevel, face: str, layer: int, width: float) -> Drawing:
    """One layer of one face, seen from its own side, on paper `width` mm wide."""
    sheets = wall.sheets_of(face, layer)
    scale = scale_of(wall, width, is_metric=level.is_metric)
    low = min([0, *(sheet.at for sheet in sheets)])
    high = max([wall.end, *(sheet.at + sheet.width for sheet in sheets)])
    flip = face == "left"
    trial = View(wall, scale, level.is_metric, flip, low, high, LEFT_ROOM, 0.0)
    outside = [sheet for sheet in sheets if _number_place(trial, sheet) is None]
    above = CAPTION + (6.0 if outside else 0.0) + 1.5
    view = View(wall, scale, level.is_metric, flip, low, high, LEFT_ROOM, above + scale.mm(wall.wall.highest))
    pad = Pad()
    board = wall.layers(face)[layer - 1].name
    several = f", layer {layer} of {len(wall.layers(face))}" if len(wall.layers(face)) > 1 else ""
    needed = caption(pad, view, f"{face.capitalize()} face{several}: {board}")
    for sheet in sheets:
        pad.group("sheet", _sheet_name(view, sheet), _sheet(view, sheet))
    _stud_lines(pad, view, face)
    for opening in wall.frame.openings:
        pad.group("opening", opening_name(view, opening), opening_shapes(view, opening))
    for sheet in sheets:
        pad.group("number", "", _number(view, sheet))
    _outside_numbers(pad, view, outside)
    floor_line(pad, view)
    _splices(pad, view)
    end_words(pad, view)
    gap = min(sheet.bottom for sheet in sheets)
    top = max(sheet.bottom + sheet.height for sheet in sheets)
    heights(pad, view, [(gap, top, view.say(top - gap))])
    edges = {edge for sheet in sheets for edge in (sheet.at, sheet.at + sheet.width)}
    bottom = ordinates(pad, view, edges, view.floor + 0.6)
    first, last = min(sheet.step for sheet in sheets), max(sheet.step for sheet in sheets)
    words = (
        "number in a circle: step in the level's order of hanging;  figures: edges of sheets from the "
        f"{wall.wall.layout_from} end of the bottom track;  {view.say(gap)} off the floor"
    )
    bottom = foot_words(pad, words, bottom + 3.4, needed)
    told = (
        f"Elevation of wall {wall.mark}, {face} face{several}, {view.scale.words}: {len(sheets)} pieces of {board}, "
        f"hung in steps {first} to {last} of the level. {'To' if flip else 'From'} end at the left."
    )
    name = f"{wall.mark}-{face}-{layer}"
    return drawing(name, f"Wall {wall.mark}: {face} face{several}", told, pad, needed, bottom, scale)


def caps_drawing(wall: DrawnWall, level: DrawnLevel) -> Drawing | None:
    """The strips over the wall's free ends, side by side; None where it has none."""
    caps = [sheet for sheet in wall.sheets if sheet.face in CAPS]
    if not caps:
        return None
    scale = fitting(wall.wall.highest, wall.wall.highest, (TALLEST, TALLEST), is_metric=level.is_metric, largest=24)
    columns = sorted({(CAPS.index(sheet.face), sheet.layer) for sheet in caps})
    floor = CAPTION + 8.0 + scale.mm(wall.wall.highest)
    pad = Pad()
    view = View(wall, scale, level.is_metric, False, 0, 0, LEFT_ROOM, floor)
    needed = caption(pad, view, "Caps of free ends")
    width = 0.0
    for column, (end, layer) in enumerate(columns):
        left = 3.0 + column * 34.0
        width = left + 31.0
        own = [sheet for sheet in caps if (CAPS.index(sheet.face), sheet.layer) == (end, layer)]
        for sheet in own:
            box = Box(left, view.y(sheet.bottom + sheet.height), left + scale.mm(sheet.width), view.y(sheet.bottom))
            pad.group("sheet", _sheet_name(view, sheet), [_outline(_corners_of(box))])
            step = str(sheet.step)
            wide, _ = ring_size(step, _SIZE)
            y = (box.top + box.bottom) / 2
            pad.line((box.right, y), (box.right + 3, y))
            pad.add(ring(box.right + 3 + wide, y, step, _SIZE))
            pad.text(box.right + 4, y + 5.5, _size_words(view, sheet), 6.5)
        words = f"{CAPS[end]}, layer {layer}" if len(wall.layers(CAPS[end])) > 1 else CAPS[end]
        pad.text(left, CAPTION + 5.0, words, 6.5)
        pad.line((left - 2, floor), (left + scale.mm(own[0].width) + 2, floor), pen=LINE)
    told = f"Caps of the free ends of wall {wall.mark}: {len(caps)} pieces of board."
    return drawing(
        f"{wall.mark}-caps", f"Wall {wall.mark}: caps of free ends", told, pad, max(needed, width), floor + 2, scale
    )


def _corners_of(box: Box) -> Corners:
    return [(box.left, box.bottom), (box.right, box.bottom), (box.right, box.top), (box.left, box.top)]


def _outline(corners: Corners) -> Path:
    return Path(tuple(Spot(*corner) for corner in corners), LINE, is_closed=True, fill="white")


def _turned_words(view: View, sheet: Sheet, box: Box) -> str:
    """The size of a sheet too narrow for lying words, to be set upright; empty where there is no room either."""
    words = _size_words(view, sheet)
    return words if box.right - box.left >= 3.4 and span(words, 6.5) + 9 <= (box.bottom - box.top) / 1.2 else ""


def _sheet_name(view: View, sheet: Sheet) -> str:
    at = view.say(view.wall.from_origin(sheet.at))
    return (
        f"step {sheet.step}: {sheet.board}, {view.say(sheet.width)} by {view.say(sheet.height)}, from {at}, "
        f"{view.say(sheet.bottom)} off the floor, of stock sheet {sheet.stock}, {sheet.screws} screws"
    )


def _sheet(view: View, sheet: Sheet) -> list[Shape]:
    """The sheet as hung; under a raked top it is cut to the rake."""
    low, high, top = sheet.at, sheet.at + sheet.width, sheet.bottom + sheet.height
    corners: Corners = [(low, sheet.bottom), (low, top), (high, top), (high, sheet.bottom)]
    if not view.wall.wall.is_level_topped:
        corners = under_the_top(view.wall, corners, low, high, sheet.face)
    return [_outline([(view.x(at), view.y(up)) for at, up in corners])]


def _stud_lines(pad: Pad, view: View, face: str) -> None:
    """Middles of the studs behind the board: where the screws go."""
    for stud in view.wall.studs:
        top = min(stud.bottom + stud.length, int(view.wall.board_top(face, stud.at)))
        if top > stud.bottom:
            x = view.x(stud.at)
            pad.line((x, view.y(stud.bottom)), (x, view.y(top)), pen=HIDDEN)


def _free_parts(view: View, sheet: Sheet) -> list[Box]:
    """The sheet's rectangle, or what an opening leaves of it: beside, above and below."""
    parts = [(sheet.at, sheet.bottom, sheet.at + sheet.width, sheet.bottom + sheet.height)]
    for opening in view.wall.frame.openings:
        low, high = view.wall.frame.at(opening), view.wall.frame.far(opening)
        kept = []
        for left, foot, right, head in parts:
            if low >= right or high <= left or opening.sill >= head or opening.top <= foot:
                kept.append((left, foot, right, head))
                continue
            kept += [(left, foot, low, head), (high, foot, right, head)]
            kept += [(left, opening.top, right, head), (left, foot, right, opening.sill)]
        parts = [part for part in kept if part[2] > part[0] and part[3] > part[1]]
    return [view.box(left, foot, right - left, head - foot) for left, foot, right, head in parts]


def _number_place(view: View, sheet: Sheet) -> Box | None:
    """The part of a sheet that its number stands in; None where it is too narrow for one."""
    wide, high = ring_size(str(sheet.step), _SIZE)
    roomy = [
        box
        for box in _free_parts(view, sheet)
        if box.right - box.left >= 2 * wide + 0.8 and box.bottom - box.top >= 2 * high + 0.8
    ]
    return max(roomy, key=lambda box: (min(box.right - box.left, 20), min(box.bottom - box.top, 20)), default=None)


def _number(view: View, sheet: Sheet) -> list[Shape]:
    place = _number_place(view, sheet)
    if place is None:
        return []
    step = str(sheet.step)
    _, high = ring_size(step, _SIZE)
    x, y = (place.left + place.right) / 2, (place.top + place.bottom) / 2
    pad = Pad()
    lines = _size_lines(view, sheet, place.right - place.left)
    tall = len(lines) * 6.5 * MM_PER_POINT * 1.2
    if lines and 2 * high + tall + 1.5 <= place.bottom - place.top:
        y -= tall / 2
        for index, words in enumerate(lines):
            base = y + high + 0.8 + (index + 0.8) * 6.5 * MM_PER_POINT * 1.2
            reach = span(words, 6.5) / 2 + 0.3
            pad.box(Box(x - reach, base - 1.9, x + reach, base + 0.5), None, "white")
            pad.text(x, base, words, 6.5, "middle")
    turned = "" if lines else _turned_words(view, sheet, place)
    if turned:
        foot = y + high + 1.4
        pad.box(Box(x - 1.3, foot, x + 1.4, foot + span(turned, 6.5)), None, "white")
        pad.text(x + 0.8, foot, turned, 6.5, "end", turn=90)
    pad.add(ring(x, y, step, _SIZE))
    return pad.shapes


def _size_words(view: View, sheet: Sheet) -> str:
    return f"{_inches(view, sheet.width)} × {_inches(view, sheet.height)}"


def _size_lines(view: View, sheet: Sheet, width: float) -> list[str]:
    whole = _size_words(view, sheet)
    if span(whole, 6.5) + 0.8 <= width:
        return [whole]
    parts = [_inches(view, sheet.width), f"× {_inches(view, sheet.height)}"]
    return parts if max(span(part, 6.5) for part in parts) + 0.8 <= width else []


def _inches(view: View, length: Length) -> str:
    return say_inches(length, is_metric=view.is_metric)


def _outside_numbers(pad: Pad, view: View, sheets: list[Sheet]) -> None:
    """Numbers of pieces too small to hold them, above the wall with a line down."""
    own = sorted(sheets, key=lambda sheet: view.x(sheet.at + sheet.width // 2))
    if not own:
        return
    wide = max(ring_size(str(sheet.step), _SIZE)[0] for sheet in own)
    _, high = ring_size("1", _SIZE)
    centres = [view.x(sheet.at + sheet.width // 2) for sheet in own]
    places = spread(centres, 2 * wide + 0.5, view.left - LEFT_ROOM + wide, view.right + RIGHT_ROOM - wide)
    y = CAPTION + high + 0.6
    for sheet, centre, x in zip(own, centres, places, strict=True):
        part = max(_free_parts(view, sheet), key=lambda box: (box.right - box.left) * (box.bottom - box.top))
        pad.line((x, y + high), (centre, view.top), ((part.left + part.right) / 2, max(part.top + 1.5, part.top)))
        pad.add(ring(x, y, str(sheet.step), _SIZE))


def _splices(pad: Pad, view: View) -> None:
    """Splices of both rows of track, as short strokes at floor and top."""
    ends = {(run.start, run.end) for run in view.wall.frame.runs}
    outer = {place for pair in ends for place in pair}
    for piece in view.wall.track:
        for at in (piece.at, piece.at + piece.length):
            if at in outer or piece.row not in ("bottom", "top"):
                continue
            x = view.x(at)
            y = view.floor if piece.row == "bottom" else view.y(view.wall.height_at(at))
            pad.line((x, y - 1.3), (x, y + 1.3), pen=LINE)
