"""Where pieces lie in the plan: outlines of track, studs and board, seen from above, in ticks of the plan.

Every outline is made of the counted numbers of its piece: where it starts, how long it is, how its ends are cut.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from framing.board import CAPS
from framing.drawing.drawn import DrawnWall
from framing.length import Length
from framing.pieces import Cut, Sheet, Stud, TrackPiece
from framing.plan import LEFT, RIGHT

Place = tuple[float, float]
Interval = tuple[Length, Length]


@dataclass(frozen=True, slots=True)
class TrackPlan:
    """A piece of bottom or top track from above: its web, and the two lines along which flanges stand."""

    web: tuple[Place, ...]
    left: tuple[Place, Place]
    right: tuple[Place, Place]


def track_plan(wall: DrawnWall, piece: TrackPiece, shown: Interval) -> TrackPlan:
    """Web to the ends of the piece, snipped where a bevel is cut; flanges only where they are not cut back.

    What lies outside of the stretch `shown` is left off.
    """
    low, high = shown
    half, start, end = wall.half, piece.at, piece.at + piece.length

    def inside(at: Length) -> Length:
        return min(max(at, low), high)

    web = (
        wall.point(inside(start + piece.from_end.left_bevel), half),
        wall.point(inside(end - piece.to_end.left_bevel), half),
        wall.point(inside(end - piece.to_end.right_bevel), -half),
        wall.point(inside(start + piece.from_end.right_bevel), -half),
    )
    sides = []
    for side, beside in ((LEFT, half), (RIGHT, -half)):
        first = inside(start + flange_back(piece.from_end, side))
        last = inside(end - flange_back(piece.to_end, side))
        sides.append((wall.point(first, beside), wall.point(last, beside)))
    return TrackPlan(web, sides[0], sides[1])


def flange_back(cut: Cut, side: str) -> Length:
    """How far one flange stops short of the end of its piece."""
    back, bevel = (cut.left_back, cut.left_bevel) if side == LEFT else (cut.right_back, cut.right_bevel)
    return max(back, bevel)


def stud_plan(wall: DrawnWall, stud: Stud, thick: Length) -> tuple[Place, ...]:
    """A stud's C from above, its outside true to size. The steel's strength, `thick`, and the lips are signs."""
    flange, half = wall.wall.type.stud.flange, wall.half
    sign = 1 if stud.opens == "to" else -1
    web, tip, lip = stud.at - sign * flange // 2, stud.at + sign * flange // 2, max(flange // 6, 2 * thick)
    web_in, tip_in, half_in = web + sign * thick, tip - sign * thick, half - thick
    outside = ((tip, half - lip), (tip, half), (web, half), (web, -half), (tip, -half), (tip, -half + lip))
    inside = (
        (tip_in, -half + lip),
        (tip_in, -half_in),
        (web_in, -half_in),
        (web_in, half_in),
        (tip_in, half_in),
        (tip_in, half - lip),
    )
    return tuple(wall.point(at, beside) for at, beside in (*outside, *inside))


def stud_box(wall: DrawnWall, stud: Stud) -> tuple[Place, ...]:
    """The four corners of the room that a stud takes: web end left, right, open end right, left."""
    flange, half = wall.wall.type.stud.flange, wall.half
    low, high = stud.at - flange // 2, stud.at + flange // 2
    return (wall.point(low, half), wall.point(low, -half), wall.point(high, -half), wall.point(high, half))


def board_plan(wall: DrawnWall, face: str, layer: int, stretch: Interval) -> tuple[Place, ...]:
    """One layer of board from above, from one place of the wall to another: inner edge, then outer edge back."""
    inner, outer = wall.beside(face, layer)
    low, high = stretch
    return (wall.point(low, inner), wall.point(high, inner), wall.point(high, outer), wall.point(low, outer))


def cap_plan(wall: DrawnWall, sheet: Sheet) -> tuple[Place, ...]:
    """A strip over a free end from above, as wide as counted."""
    is_start = sheet.face == CAPS[0]
    place, outward = (0, -1) if is_start else (wall.end, 1)
    inner, outer = wall.depth(sheet.face, sheet.layer)
    right = -(wall.half + wall.depth(RIGHT)[1])
    near, far = place + outward * inner, place + outward * outer
    return (
        wall.point(near, right),
        wall.point(near, right + sheet.width),
        wall.point(far, right + sheet.width),
        wall.point(far, right),
    )


def at_floor(wall: DrawnWall, face: str, layer: int) -> list[tuple[Interval, Sheet]]:
    """The stretches of board that stand at the floor, with their sheets; openings down to the floor left out."""
    sheets = wall.sheets_of(face, layer)
    if not sheets:
        return []
    lowest = min(sheet.bottom for sheet in sheets)
    found = []
    for sheet in sheets:
        if sheet.bottom != lowest:
            continue
        for stretch in without_openings(wall, (sheet.at, sheet.at + sheet.width)):
            found.append((stretch, sheet))
    return sorted(found, key=lambda item: item[0])


def without_openings(wall: DrawnWall, stretch: Interval) -> list[Interval]:
    """A stretch less the openings that go down to the floor."""
    parts = [stretch]
    for opening in wall.frame.openings:
        if opening.sill:
            continue
        low, high = wall.frame.at(opening), wall.frame.far(opening)
        parts = [
            part
            for start, end in parts
            for part in ((start, min(end, low)), (max(start, high), end))
            if part[1] > part[0]
        ]
    return parts


def merged(stretches: Iterable[Interval]) -> list[Interval]:
    """Stretches that touch, made one."""
    found: list[Interval] = []
    for low, high in sorted(stretches):
        if found and low <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], high))
        else:
            found.append((low, high))
    return found


def pins_of(piece: TrackPiece, from_end: Length, shared: Sequence[str]) -> list[Length]:
    """Where the pins of a piece stand, from its start: the counted number, evenly, `from_end` in from both ends.

    `shared`: the ends ("from", "to") whose pin is the other track's, through both.
    """
    number = piece.pins + len(shared)
    if number == 1:
        places = [piece.length // 2]
    else:
        first, last = from_end, piece.length - from_end
        places = [first + (last - first) * step // (number - 1) for step in range(number)]
    if "from" in shared:
        places = places[1:]
    if "to" in shared:
        places = places[:-1]
    return places if piece.pins else []


def shared_pins(piece: TrackPiece) -> list[str]:
    """The ends of a piece whose pin is the other track's: those that lap."""
    return [name for name, cut in (("from", piece.from_end), ("to", piece.to_end)) if cut.kind == "tab"]
