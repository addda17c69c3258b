"""Corner bead and tape, joint by joint, each at its level of finish.

Common practice, no source: one bead at each outside corner and one at each face of a capped free end, as high as the
board; tape over every joint of the outermost layer, in every inside angle of two boarded faces, and where walls in line
meet. Angles with existing structure, floor and ceiling are not the wall's own and are not counted. Where two faces meet
the higher of their levels holds. Level 0 has neither bead nor tape (GA-214, ASTM C840, from memory).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from framing.board import FACES, board_top
from framing.joints import FREE_END, IN_LINE, LAP, STEM, THROUGH, Junctions, WallEnd
from framing.length import Length
from framing.pieces import TAPE_OF_LEVEL, FaceRun, Sheet
from framing.plan import LEFT, RIGHT, Wall
from framing.practice import FramingPractice
from framing.reasons import Term
from framing.runs import Frame


def finish_of(wall: Wall, face: str, practice: FramingPractice) -> int:
    """The level of finish of a wall's left or right face, 0 to 5: its own, else the practice's."""
    own = wall.left_finish if face == LEFT else wall.right_finish
    return practice.finish_level if own is None else own


@dataclass(frozen=True, slots=True)
class Neighbours:
    """What the finish of one wall needs of the level: all frames, by wall, and how their ends meet."""

    frames: Sequence[Frame]
    joined: Junctions
    practice: FramingPractice

    def level_of(self, frame: Frame, face: str) -> int:
        """The level of finish of a face; of a cap the higher of the two faces'."""
        return max(finish_of(frame.wall, one, self.practice) for one in ((face,) if face in FACES else FACES))

    def same_way(self, one: int, two: int) -> bool:
        """Whether two walls in line are drawn in the same direction."""
        (start, end), (other_start, other_end) = (
            (self.frames[index].wall.start, self.frames[index].wall.end) for index in (one, two)
        )
        dx, dy = end.x - start.x, end.y - start.y
        return dx * (other_end.x - other_start.x) + dy * (other_end.y - other_start.y) > 0


def beads(frame: Frame, near: Neighbours) -> Iterator[Term]:
    """Corner bead of the corners at which this wall laps, and of its free ends."""
    kind = frame.wall.type
    for name, (place, _, end) in _outer_ends(frame):
        if end.role == LAP:
            height, level = _meeting(frame, opposite(end.inside), place, end, near, outside=True)
            if level:
                yield Term("bead", "outside corner", height, (near.frames[end.other].wall.mark, height))
        elif end.role == FREE_END:
            for face in FACES:
                if kind.layers(face) and near.level_of(frame, face):
                    height = _board_height(frame, face, place, near.practice)
                    yield Term("bead", "free end", height, (f"{name} end", face, height))


def flat_joints(
    frame: Frame, run: FaceRun, cuts: Sequence[Length], rows: Sequence[tuple[Length, Length]], level: int
) -> Iterator[Term]:
    """Joints of one stretch of outermost layer: between sheets, and between courses, as far as the face reaches.

    `level` of finish is 1 to 5.
    """
    tape = TAPE_OF_LEVEL[level]
    for at in cuts:
        height = sum(high - low for low, high in _clear_of_openings(frame, run.face, at, rows))
        if height:
            yield Term(tape, "flat joint", height, (run.face, at, height))
    for (bottom, height), _ in pairwise(rows):
        up = bottom + height
        start, end = _higher_than(frame, run, up)
        width = _board_at(frame, start, end, up)
        if width:
            yield Term(tape, "course joint", width, (run.face, up, width))


def door_joints(
    frame: Frame, sheets: Sequence[Sheet], rows: Sequence[tuple[Length, Length]], level: int
) -> Iterator[Term]:
    """The joints under a piece over a door that is hung by itself, on either side of the door.

    `sheets`: of one stretch of outermost layer, whose courses are `rows`. `level` of finish is 1 to 5.
    """
    feet = {bottom for bottom, _ in rows}
    over = [sheet for sheet in sheets if sheet.bottom not in feet]
    for sheet in sheets:
        top, end = sheet.bottom + sheet.height, sheet.at + sheet.width
        if any(one.bottom == top and one.at < end and sheet.at < one.at + one.width for one in over):
            width = _board_at(frame, sheet.at, end, top)
            yield Term(TAPE_OF_LEVEL[level], "course joint", width, (sheet.face, top, width))


def _board_at(frame: Frame, start: Length, end: Length, up: Length) -> Length:
    """How much of a level line at a height is board and not opening."""
    return (end - start) - sum(
        max(0, min(frame.far(opening), end) - max(frame.at(opening), start))
        for opening in frame.openings
        if opening.sill <= up <= opening.top
    )


def _higher_than(frame: Frame, run: FaceRun, level: Length) -> tuple[Length, Length]:
    """The part of a stretch whose board reaches above a level: all of it but under a raked top."""
    start, end = run.start, run.end
    tops = [board_top(frame, run.face, place) for place in (start, end)]
    if max(tops) <= level:
        return start, start
    if min(tops) > level:
        return start, end
    wall, gap = frame.wall, frame.wall.type.head_gap
    low, high = (wall.height_at(place + frame.origin) - gap for place in (start, end))
    place = start + int((level - low) * (end - start) // (high - low))
    return (place, end) if high > low else (start, place)


def _clear_of_openings(
    frame: Frame, face: str, at: Length, rows: Sequence[tuple[Length, Length]]
) -> list[tuple[Length, Length]]:
    top = min(rows[-1][0] + rows[-1][1], int(board_top(frame, face, at) // 1)) if rows else 0
    spans = [(rows[0][0], top)] if rows and top > rows[0][0] else []
    for opening in frame.openings:
        if frame.at(opening) < at < frame.far(opening):
            spans = [
                part
                for low, high in spans
                for part in ((low, min(high, opening.sill)), (max(low, opening.top), high))
                if part[1] > part[0]
            ]
    return spans


def angles(frame: Frame, near: Neighbours) -> Iterator[Term]:
    """Inside angles at which this wall laps or is the stem, and joints with the wall in line that comes after it."""
    for run in frame.runs:
        for place, _, end in run.ends():
            if end.role == LAP:
                yield from _angle(frame, end.inside, place, end, near)
            elif end.role == STEM:
                for face in FACES:
                    yield from _angle(frame, face, place, end, near)
            elif end.role == IN_LINE and frame.index < end.other:
                yield from _in_line(frame, place, end, near)


def _angle(frame: Frame, face: str, place: Length, end: WallEnd, near: Neighbours) -> Iterator[Term]:
    height, level = _meeting(frame, face, place, end, near)
    if level:
        yield Term(TAPE_OF_LEVEL[level], "inside angle", height, (near.frames[end.other].wall.mark, height))


def _meeting(
    frame: Frame, face: str, place: Length, end: WallEnd, near: Neighbours, outside: bool = False
) -> tuple[Length, int]:
    """Where this wall's face meets the other's: the lower height of board, the higher level of finish; 0, 0 where
    either is open."""
    other = near.frames[end.other]
    other_face = end.inside
    if end.role == LAP:
        met = corner_end(other, frame.index)
        other_face = opposite(met.inside) if outside else met.inside
    other_at = end.other_at - other.origin
    if not frame.wall.type.layers(face) or not other.wall.type.layers(other_face):
        return 0, 0
    return (
        min(
            _board_height(frame, face, place, near.practice),
            _board_height(other, other_face, other_at, near.practice),
        ),
        max(near.level_of(frame, face), near.level_of(other, other_face)),
    )


def _in_line(frame: Frame, place: Length, end: WallEnd, near: Neighbours) -> Iterator[Term]:
    other = near.frames[end.other]
    same_way = near.same_way(frame.index, other.index)
    for face in FACES:
        other_face = face if same_way else opposite(face)
        if frame.wall.type.layers(face) and other.wall.type.layers(other_face):
            other_place = next(at for at, _, met in _ends(other) if met.role == IN_LINE and met.other == frame.index)
            height = min(
                _board_height(frame, face, place, near.practice),
                _board_height(other, other_face, other_place, near.practice),
            )
            level = max(near.level_of(frame, face), near.level_of(other, other_face))
            if level:
                yield Term(TAPE_OF_LEVEL[level], "in line", height, (face, other.wall.mark, height))


def _board_height(frame: Frame, face: str, at: Length, practice: FramingPractice) -> Length:
    return int(board_top(frame, face, at) // 1) - practice.floor_gap


def _outer_ends(frame: Frame) -> tuple[tuple[str, tuple[Length, int, WallEnd]], ...]:
    return (("from", frame.runs[0].ends()[0]), ("to", frame.runs[-1].ends()[1]))


def _ends(frame: Frame) -> tuple[tuple[Length, int, WallEnd], ...]:
    return tuple(end for _, end in _outer_ends(frame))


def corner_end(frame: Frame, other: int) -> WallEnd:
    """The end of a wall at which it meets `other` at a corner."""
    return next(end for _, _, end in _ends(frame) if end.other == other and end.role in (THROUGH, LAP))


def opposite(face: str) -> str:
    """The other face of a wall."""
    return RIGHT if face == LEFT else LEFT
