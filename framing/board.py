"""Board faces: how far each layer of each face runs, how high, and its exact net area.

Common practice, no source. At a corner the through wall's inside layers run to its track's end, in the slot; the
lapping wall's inside layers start one slot beyond the through steel. Outside, each layer of the lapping wall stops at
the through wall's outer steel (or at the layer before it), each layer of the through wall runs past that by the
other's board, and the outermost layers stop short by the bead gap. A free end's faces end flush and a cap covers
steel and layers.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from framing.joints import FREE_END, LAP, THROUGH, Junctions, WallEnd
from framing.length import Length
from framing.pieces import FaceRun
from framing.plan import LEFT, RIGHT, Opening, Wall
from framing.practice import FramingPractice
from framing.products import Board
from framing.runs import Frame, Run

FACES = (LEFT, RIGHT)
CAPS = ("from end", "to end")


@dataclass(frozen=True, slots=True)
class Cap:
    """The strip of one layer over a free end: steel plus the layers of both faces wide."""

    face: str
    board: Board
    layer: int
    width: Length
    bottom: Length
    height: Length
    at: Length


def face_runs(frame: Frame, walls: tuple[Wall, ...], joined: Junctions, practice: FramingPractice) -> list[FaceRun]:
    """Every stretch of every layer: left face, then right, layers from the steel outward, runs in order."""
    found = []
    for face in FACES:
        layers = frame.wall.type.layers(face)
        for layer in range(1, len(layers) + 1):
            for run in frame.runs:
                start = _face_end(frame, run, 0, face, layer, walls, joined, practice)
                end = _face_end(frame, run, 1, face, layer, walls, joined, practice)
                if end > start:
                    legs = (_is_leg(run.start_end), _is_leg(run.end_end))
                    behind = (_corner_stud(face, run.start_end, walls), _corner_stud(face, run.end_end, walls))
                    found.append(FaceRun(face, layer, layers[layer - 1].name, start, end, legs, behind))
    return found


def _is_leg(end: WallEnd) -> bool:
    return end.role == LAP and end.is_door_corner


def _corner_stud(face: str, end: WallEnd, walls: tuple[Wall, ...]) -> Length:
    """How high the through wall's corner stud stands behind an outside edge of the wall that laps."""
    if end.role != LAP or face == end.inside:
        return 0
    through = walls[end.other]
    return int(through.height_at(end.other_at) // 1) - through.type.head_gap


def _face_end(
    frame: Frame,
    run: Run,
    which: int,
    face: str,
    layer: int,
    walls: tuple[Wall, ...],
    joined: Junctions,
    practice: FramingPractice,
) -> Length:
    place, inward, end = run.ends()[which]
    if end.role not in (THROUGH, LAP):
        return place
    layers = frame.wall.type.layers(face)
    own = sum(board.thickness for board in layers[:layer])
    if face == end.inside:
        if end.role == THROUGH:
            return place + inward * end.beyond_square(2 * frame.half + own)
        return place + inward * (end.flanges_back(frame.half)[1] + end.beyond_square(own))
    # Outside of the corner: the other wall's outside layers, and whether this layer is the one that meets the bead.
    met = next(item for item in joined.ends[end.other] if item.other == frame.index and item.role in (THROUGH, LAP))
    others = walls[end.other].type.layers(LEFT if met.inside == RIGHT else RIGHT)
    is_last = layer == len(layers)
    past = sum(board.thickness for board in others[: layer if end.role == THROUGH else layer - 1])
    bead = practice.bead_gap if is_last and others else 0
    return place - inward * (end.turn.over_sin(past) - bead)


def board_top(frame: Frame, face: str, at: Length) -> Fraction | Length:
    """Top of a face's board at a place, exact: the face's height there less the head gap."""
    return frame.wall.face_height_at(face, at + frame.origin) - frame.wall.type.head_gap


def net_area(frame: Frame, run: FaceRun, practice: FramingPractice) -> Fraction | int:
    """Exact net area of one stretch of board, square ticks: run times height, less openings above the floor gap."""
    area = _area_under(frame, run.face, run.start, run.end) - practice.floor_gap * (run.end - run.start)
    for opening in frame.openings:
        area -= opening_area(frame, run, opening, practice)
    return area


def high_area(frame: Frame, run: FaceRun, practice: FramingPractice) -> Fraction | int:
    """The part of a stretch's net board that hangs above `practice.high_board_from`, square ticks."""
    limit = practice.high_board_from
    gap = frame.wall.type.head_gap
    if frame.wall.highest - gap <= limit:
        return 0
    area = _area_under(frame, run.face, run.start, run.end)
    area -= _area_under(frame, run.face, run.start, run.end, limit + gap)
    for opening in frame.openings:
        area -= opening_area(frame, run, opening, practice, above=limit)
    return area


def opening_area(frame: Frame, run: FaceRun, opening: Opening, practice: FramingPractice, *, above: Length = 0) -> int:
    """The part of an opening, above a height if one is given, that lies in one stretch of board, square ticks."""
    width = min(frame.far(opening), run.end) - max(frame.at(opening), run.start)
    if width <= 0:
        return 0
    own = frame.wall.own_height(run.face)
    top = opening.top if own is None else min(opening.top, own - frame.wall.type.head_gap)
    return width * max(0, top - max(opening.sill, practice.floor_gap, above))


def _area_under(frame: Frame, face: str, start: Length, end: Length, cut_off: Length | None = None) -> Fraction | int:
    """Area between the floor and a face's top from `start` to `end`: straight pieces, so trapezoids are exact.

    `cut_off` is a height at which the face is taken to stop, as `Wall.own_height` is.
    """
    wall = frame.wall
    own = wall.own_height(face)
    if cut_off is not None:
        own = cut_off if own is None else min(own, cut_off)
    if wall.is_level_topped:
        return (end - start) * (min(wall.height_from, own or wall.height_from) - wall.type.head_gap)
    places = [Fraction(start), Fraction(end)]
    slope = Fraction(wall.height_to - wall.height_from, wall.length)
    if own is not None:
        knee = (own - wall.height_from) / slope - frame.origin
        if start < knee < end:
            places.insert(1, knee)
    heights: list[Fraction] = [wall.height_from + slope * (place + frame.origin) for place in places]
    tops = [(height if own is None else min(height, Fraction(own))) - wall.type.head_gap for height in heights]
    parts = ((places[i + 1] - places[i]) * (tops[i] + tops[i + 1]) / 2 for i in range(len(places) - 1))
    return sum(parts, Fraction(0))


def _most(layers: tuple[Board, ...]) -> tuple[int, Length, list[str]]:
    """More layers, then thicker ones: whichever face is the left one."""
    return len(layers), sum(board.thickness for board in layers), [board.name for board in layers]


def caps(frame: Frame, practice: FramingPractice) -> list[Cap]:
    """Caps of free ends, a strip for each layer of the face that has more of them, or thicker ones."""
    found = []
    kind = frame.wall.type
    layers = max(kind.left, kind.right, key=_most)
    width = kind.stud.web + sum(board.thickness for board in kind.left + kind.right)
    for run_end, name in ((frame.runs[0].ends()[0], CAPS[0]), (frame.runs[-1].ends()[1], CAPS[1])):
        place, _inward, end = run_end
        if end.role != FREE_END:
            continue
        tops = [board_top(frame, face, place) for face in FACES if kind.layers(face)]
        if not tops:
            continue
        height = int(min(tops) // 1) - practice.floor_gap
        for number, board in enumerate(layers, 1):
            found.append(Cap(name, board, number, width, practice.floor_gap, height, place))
    return found
