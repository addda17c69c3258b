"""The pieces of one junction: which walls meet, how much of each is shown, in which order its board is hung.

Junctions with the same pieces in the same places share one detail, whichever way they are turned or handed; they are
told apart by a key made of the counted pieces themselves.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from framing.board import CAPS
from framing.drawing.drawn import DrawnLevel, DrawnWall, HangRule
from framing.drawing.places import (
    Interval,
    Place,
    at_floor,
    board_plan,
    cap_plan,
    stud_plan,
    track_plan,
)
from framing.joints import (
    AT_STRUCTURE,
    CORNER,
    CROSS,
    DOOR_CORNER,
    FREE_END,
    IN_LINE,
    LAP,
    STEM,
    TEE,
    THROUGH,
    Junction,
    WallEnd,
)
from framing.length import TICKS_PER_INCH as INCH
from framing.length import Length
from framing.pieces import Sheet, Stud, TrackPiece
from framing.plan import LEFT, RIGHT

PAST = "past"
"""The role of a wall that runs on past a tee or a cross."""
_BEYOND = 2 * INCH  # shown beyond the last piece that matters
_GRID = INCH // 256


@dataclass(frozen=True, slots=True)
class Part:
    """One wall at a junction. `place`: its track's end there, or where the other meets it; `inward`: +1 or -1 along
    the wall, away from the junction (0 for a wall that runs past); `low`, `high`: the stretch shown.
    """

    wall: DrawnWall
    role: str
    place: Length
    inward: int
    low: Length
    high: Length
    end: WallEnd | None = None

    @property
    def track(self) -> list[TrackPiece]:
        """Bottom track in the stretch shown. Splices of a wall that runs past are no part of the junction."""
        pieces = [piece for piece in self.wall.track if piece.row == "bottom"]
        pieces = [piece for piece in pieces if piece.at < self.high and piece.at + piece.length > self.low]
        if self.role != PAST:
            return pieces
        joined: list[TrackPiece] = []
        for piece in pieces:
            if joined and joined[-1].at + joined[-1].length == piece.at:
                before = joined.pop()
                whole = before.length + piece.length
                joined.append(TrackPiece(piece.row, before.at, whole, before.from_end, piece.to_end))
            else:
                joined.append(piece)
        return joined

    def track_at_end(self) -> list[TrackPiece]:
        """The piece of bottom track that ends at the junction, if one does."""
        return [
            piece
            for piece in self.wall.track
            if piece.row == "bottom" and self.place == (piece.at if self.inward > 0 else piece.at + piece.length)
        ]

    @property
    def studs(self) -> list[Stud]:
        """Studs that stand for a reason of their own in the stretch shown; layout studs differ from place to place."""
        half = self.wall.wall.type.stud.flange // 2
        return [
            stud
            for stud in self.wall.studs
            if not stud.bottom
            and stud.role not in ("layout", "cripple")
            and self.low <= stud.at - half
            and stud.at + half <= self.high
        ]

    def boards(self) -> list[tuple[str, int, Interval, frozenset[int]]]:
        """(face, layer, stretch, steps of its sheets) of the board at the floor, as far as it is shown.

        Joints of a wall that runs past are no part of the junction.
        """
        found = []
        for face, layer in self.wall.faces():
            if face in CAPS:
                continue
            joined: list[tuple[Interval, set[int]]] = []
            for (low, high), sheet in at_floor(self.wall, face, layer):
                if self.role == PAST and joined and joined[-1][0][1] == low:
                    (start, _), before = joined.pop()
                    joined.append(((start, high), before | {sheet.step}))
                else:
                    joined.append(((low, high), {sheet.step}))
            for (low, high), steps in joined:
                if low < self.high and high > self.low:
                    shown = (max(low, self.low), min(high, self.high))
                    found.append((face, layer, shown, frozenset(steps)))
        return found

    def sheets(self) -> list[Sheet]:
        """Every sheet of the wall that reaches into the stretch shown, whatever its height."""
        return [
            sheet
            for sheet in self.wall.sheets
            if sheet.face not in CAPS and sheet.at < self.high and sheet.at + sheet.width > self.low
        ]

    def caps(self) -> list[Sheet]:
        """The strips over this end, if it is free."""
        name = CAPS[0 if self.inward > 0 else 1]
        return [sheet for sheet in self.wall.sheets if self.role == FREE_END and sheet.face == name]

    def away(self) -> Place:
        """The wall's direction away from the junction, of length 1; as drawn where it runs past."""
        dx, dy = self.wall.axis.vector
        size = math.hypot(dx, dy) * (self.inward or 1)
        return dx / size, dy / size


@dataclass(frozen=True, slots=True)
class Turned:
    """Puts places of the plan on the paper's own axes: x along a direction, y to its left, from an origin, ticks.

    `x_hand`, `y_hand`: -1 swaps right and left, or the two sides of the line.
    """

    origin: Place
    along: Place
    x_hand: int = 1
    y_hand: int = 1

    def at(self, place: Place) -> Place:
        dx, dy = place[0] - self.origin[0], place[1] - self.origin[1]
        x, y = dx * self.along[0] + dy * self.along[1], dy * self.along[0] - dx * self.along[1]
        return self.x_hand * x, self.y_hand * y

    def all(self, places: Iterable[Place]) -> list[Place]:
        return [self.at(place) for place in places]


@dataclass(frozen=True, slots=True)
class Met:
    """A junction with its parts, the through wall's first."""

    number: int
    junction: Junction
    parts: tuple[Part, ...]
    ranks: dict[int, int]
    reasons: tuple[tuple[int, tuple[int, ...], str], ...]
    """(place, the places before it that it waits for, why)."""

    def rank(self, steps: Iterable[int]) -> int:
        """Place of some sheets in the junction's order; 0 where nothing is asked of them."""
        return max((self.ranks.get(step, 0) for step in steps), default=0)

    def turned(self, hand: int = 1) -> Turned:
        """Axes along the first wall: away from a corner or an end; along a wall that runs past, its stem upwards."""
        along = self.parts[0].away()
        origin = (float(self.junction.at.x), float(self.junction.at.y))
        if self.parts[0].role != PAST:
            return Turned(origin, along, y_hand=hand)
        stem = self.parts[1].away()
        if along[0] * stem[1] - along[1] * stem[0] < 0:
            along = (-along[0], -along[1])
        return Turned(origin, along, x_hand=hand)


def meetings_of(level: DrawnLevel) -> list[Met]:
    """Every junction of a level whose walls are all known, in order, numbered from 1."""
    found = []
    for number, junction in enumerate(dict.fromkeys(level.junctions), 1):
        parts = _parts(level, junction)
        if parts:
            sheets = {sheet.step for part in parts for sheet in part.sheets()}
            ranks, reasons = _ranks(level.rules, sheets)
            found.append(Met(number, junction, tuple(parts), ranks, reasons))
    return found


_ROLES = {
    CORNER: (THROUGH, LAP),
    DOOR_CORNER: (THROUGH, LAP),
    TEE: (PAST, STEM),
    CROSS: (PAST, STEM),
    IN_LINE: (IN_LINE, IN_LINE),
    FREE_END: (FREE_END,),
    AT_STRUCTURE: (AT_STRUCTURE,),
}


def _parts(level: DrawnLevel, junction: Junction) -> list[Part]:
    roles = _ROLES[junction.kind]
    walls = [level.wall(mark) for mark in junction.walls]
    if junction.through and junction.through != walls[0].mark:
        walls.sort(key=lambda wall: wall.mark != junction.through)
    bare: list[Part] = []
    for index, wall in enumerate(walls):
        role = roles[min(index, len(roles) - 1)]
        if role == PAST:
            at = wall.axis.along(junction.at) - wall.frame.origin
            bare.append(Part(wall, PAST, at, 0, at, at))
            continue
        ends = [
            (place, inward, end) for run in wall.frame.runs for place, inward, end in run.ends() if end.role == role
        ]
        at = wall.axis.along(junction.at) - wall.frame.origin
        ends.sort(key=lambda item: abs(item[0] - at))
        is_interrupted = junction.kind == CROSS and len(walls) == 2
        for place, inward, end in ends[: 2 if is_interrupted else 1]:
            bare.append(Part(wall, role, place, inward, place, place, end))
    if len(bare) < len(walls):
        return []
    return [_shown(part, [other for other in bare if other is not part]) for part in bare]


def _shown(part: Part, others: list[Part]) -> Part:
    """The part with the stretch of its wall that the detail shows."""
    wall, flange = part.wall, part.wall.wall.type.stud.flange
    reach = 0.0
    for other in others if part.role in (PAST, THROUGH) else ():
        reach = max(reach, _width_along(part, other))
    if part.role == PAST:
        size = int(reach) + INCH + INCH // 4
        low, high = max(0, part.place - size), min(wall.end, part.place + size)
        return Part(wall, part.role, part.place, 0, low, high, part.end)
    nearest = [
        abs(stud.at - part.place) + flange // 2 for stud in wall.studs if stud.role in ("corner", "loose", "end")
    ]
    reach = max(reach, min(nearest, default=0))
    if part.end is not None and part.end.is_door_corner and part.role == LAP:
        jambs = [abs(stud.at - part.place) + flange // 2 for stud in wall.studs if stud.role == "door"]
        reach = max(reach, min(jambs, default=0))
    size = int(reach) + _BEYOND
    edges = sorted((part.place - part.inward * 4 * INCH, part.place + part.inward * size))
    return Part(wall, part.role, part.place, part.inward, edges[0], edges[1], part.end)


def _width_along(part: Part, other: Part) -> float:
    """How far the other wall, board and all, reaches along this one: past its track's end, or to a side of a tee."""
    ax, ay = part.away()
    wall, back = other.wall, 0
    if other.end is not None and other.role == LAP:
        for piece in other.track_at_end():
            cut = piece.from_end if other.inward > 0 else piece.to_end
            back = max(cut.left_back, cut.right_back)
    from_x, from_y = part.wall.point(part.place)
    offs = []
    for at in (other.place, other.place + other.inward * back):
        for face in (LEFT, RIGHT):
            x, y = wall.point(at, wall.beside(face)[1])
            offs.append((x - from_x) * ax + (y - from_y) * ay)
    return max(abs(off) for off in offs) if part.role == PAST else max(offs)


def _ranks(
    rules: Iterable[HangRule], steps: set[int]
) -> tuple[dict[int, int], tuple[tuple[int, tuple[int, ...], str], ...]]:
    """Place of each step in the junction's own order (1 first), and what each place waits for, with the reason."""
    ranks: dict[int, int] = {}
    own = [(rule.step, [step for step in rule.after if step in steps], rule.because) for rule in rules]
    own = sorted((step, after, because) for step, after, because in own if step in steps and after)
    for step, after, _ in own:
        for first in after:
            ranks.setdefault(first, 1)
        ranks[step] = max(ranks.get(step, 1), 1 + max(ranks[first] for first in after))
    waits: dict[tuple[int, str], set[int]] = {}
    for step, after, because in own:
        waits.setdefault((ranks[step], because), set()).update(ranks[first] for first in after)
    return ranks, tuple(sorted((rank, tuple(sorted(before)), why) for (rank, why), before in waits.items()))


def key_of(met: Met) -> tuple[object, int]:
    """What two junctions of one kind have in common, and the hand (1 or -1) in which this one is it."""
    sides = sorted((_key(met, met.turned(hand)), -hand) for hand in (1, -1))
    return (met.junction.kind, sides[0][0]), -sides[0][1]


def _key(met: Met, turned: Turned) -> tuple[object, ...]:
    found: list[tuple[object, ...]] = []
    for part in met.parts:
        shown = (part.low, part.high)
        for piece in part.track:
            plan = track_plan(part.wall, piece, shown)
            found.append(("web", _rounded(turned, plan.web)))
            found += [("flange", _rounded(turned, flange)) for flange in (plan.left, plan.right)]
        for stud in part.studs:
            found.append((stud.role, _rounded(turned, stud_plan(part.wall, stud, 0))))
        for face, layer, stretch, steps in part.boards():
            outline = board_plan(part.wall, face, layer, stretch)
            board = part.wall.layers(face)[layer - 1].name
            found.append(("board", board, met.rank(steps), _rounded(turned, outline)))
        for cap in part.caps():
            found.append(("cap", cap.board, _rounded(turned, cap_plan(part.wall, cap))))
    return tuple(sorted(found, key=repr))


def _rounded(turned: Turned, places: Iterable[Place]) -> tuple[tuple[int, int], ...]:
    """Places on a grid of 1/256 in, in an order of their own."""
    return tuple(sorted((round(x / _GRID), round(y / _GRID)) for x, y in turned.all(places)))
