"""A true layout of sheets: where each rectangle of board hangs on a face, joints on studs and staggered.

Rules, each by name: joints on studs (common practice, no source); no vertical joint within 6 in of an opening's edge
(NAVEDTRA 14044 p.5-6); joints staggered between the two faces and between layers (same page; fire listing U419
item 5B asks for one stud space). Among layouts that keep them, the one with the fewest pieces, then the most full
widths, is taken.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from framing.board import board_top
from framing.length import Length, in_words
from framing.pieces import Caution, FaceRun, Sheet, Stud
from framing.plan import Opening
from framing.practice import FramingPractice
from framing.products import Board
from framing.runs import Frame

Course = tuple[Length, Length]


def courses(board: Board, bottom: Length, top: Length) -> list[Course]:
    """Heights of the rows of sheets from the floor up: (bottom, height) of each."""
    step = max(board.lengths) if board.lay == "standing" else board.width
    found = []
    while bottom < top:
        height = min(step, top - bottom)
        found.append((bottom, height))
        bottom += height
    return found


@dataclass(frozen=True, slots=True)
class JointPlaces:
    """Middles of a wall's studs, in order: `clear` of every opening's edge, and `near` one, where none should be, each
    with how much too near it is. `least`: a stud's flange; a strip narrower than that is not cut where there is a
    choice.
    """

    clear: Sequence[Length]
    near: Mapping[Length, Length]
    least: Length = 0


def joint_places(frame: Frame, studs: Iterable[Stud], practice: FramingPractice) -> JointPlaces:
    """Studs on which a vertical joint may fall: those within `joint_from_opening` of an opening's edge only at need."""
    edges = [place for opening in frame.openings for place in (frame.at(opening), frame.far(opening))]
    clear: list[Length] = []
    near: dict[Length, Length] = {}
    for place in sorted({stud.at for stud in studs}):
        short = max((practice.joint_from_opening - abs(place - edge) for edge in edges), default=0)
        if short > 0:
            near[place] = short
        else:
            clear.append(place)
    return JointPlaces(clear, near, frame.wall.type.stud.flange)


def joints(
    start: Length, end: Length, widest: Length, places: JointPlaces, avoid: frozenset[Length], *, from_end: bool = False
) -> list[Length]:
    """Vertical joints of one stretch: fewest joints where none should be, those as far off an opening's edge as can be,
    then fewest on `avoid`, then fewest pieces, then most full widths; of equal ones that which reads first from the
    start, or from the end.

    Where the clear studs leave a gap wider than a sheet, a joint falls on a stud near an opening or an end of the
    stretch; where those leave one too, at a full width without a stud. `joint_cautions` tells of both.
    """
    if from_end:
        turned = JointPlaces(
            [-at for at in reversed(places.clear)],
            {-at: short for at, short in reversed([*places.near.items()])},
            places.least,
        )
        return sorted(-at for at in joints(-end, -start, widest, turned, frozenset(-at for at in avoid)))
    nodes, ill = _nodes(start, end, widest, places)
    best = [(0, 0, 0, 0, 0, 0)]
    # joints where none should be, how much too near, clashes, pieces, cut widths, the node itself
    before = [0]
    low = 0
    for index in range(1, len(nodes)):
        place = nodes[index]
        while place - nodes[low] > widest:
            low += 1
        chosen = min(best[low:index])
        if place - nodes[low] == widest:  # of all nodes in reach only the furthest can be a full width away
            ill_at, short_at, clashes, pieces, cut, _ = best[low]
            chosen = min(chosen, (ill_at, short_at, clashes, pieces, cut - 1, low))
        ill_at, short_at, clashes, pieces, cut, node = chosen
        is_joint = index < len(nodes) - 1
        bad, short = ill.get(place, (0, 0)) if is_joint else (0, 0)
        clash = place in avoid and is_joint
        best.append((ill_at + bad, short_at + short, clashes + clash, pieces + 1, cut + 1, index))
        before.append(node)
    found: list[Length] = []
    at = before[-1]
    while at > 0:
        found.append(nodes[at])
        at = before[at]
    return found[::-1]


def _nodes(
    start: Length, end: Length, widest: Length, places: JointPlaces
) -> tuple[list[Length], dict[Length, tuple[int, Length]]]:
    """Places that joints of one stretch may fall on, its ends included; and of those where none should be, how ill it
    is: a stud near an end 1, near an opening 1 and by how much, none at all 2."""
    inner = _between(places.clear, start, end)
    at_ends = [at for at in inner if at - start < places.least or end - at < places.least]
    kept = [at for at in inner if start + places.least <= at <= end - places.least]
    ill: dict[Length, tuple[int, Length]] = {}
    for low, high in list(pairwise([start, *kept, end])):
        if high - low > widest:
            near = {at: places.near[at] for at in places.near if low < at < high}
            spare = sorted([*near, *(at for at in at_ends if low < at < high)])
            stops = ([low, *sorted(near), high], [low, *spare, high])
            air = [at for row in stops for one, two in pairwise(row) for at in range(one + widest, two, widest)]
            ill |= {at: (1, near.get(at, 0)) for at in spare} | dict.fromkeys(air, (2, 0))
    return sorted({start, end, *kept, *ill}), ill


def _between(places: Sequence[Length], low: Length, high: Length) -> list[Length]:
    return list(places[bisect_right(places, low) : bisect_left(places, high)])


def joint_cautions(
    level: str, frame: Frame, run: FaceRun, cuts: Iterable[Length], places: JointPlaces
) -> Iterator[Caution]:
    """Joints of one stretch that no stud carries, or that stand nearer to an opening's edge than they should."""
    clear, near = set(places.clear), set(places.near)
    for at in cuts:
        if at in clear or _is_open(frame, run, at):
            continue
        where = (
            f"{level}, wall {frame.wall.mark}: the joint {in_words(at)} along its {run.face} face, layer {run.layer},"
        )
        if at not in near:
            told = f"{where} has no stud behind it. Set one there, or measure the layout from the wall's other end."
            yield Caution("joint without a stud", told, (frame.wall.mark,))
            continue
        edges = [(abs(at - edge), one.mark) for one in frame.openings for edge in (frame.at(one), frame.far(one))]
        by, mark = min(edges)
        told = (
            f"{where} is {in_words(by)} from an edge of opening {mark}, for no stud further off is within a sheet's "
            "width. Add a stud, or measure the layout from the wall's other end."
        )
        yield Caution("joint beside an opening", told, (frame.wall.mark,), mark, by)


def _is_open(frame: Frame, run: FaceRun, at: Length) -> bool:
    """Whether an opening leaves no board at a place, so that no joint is to be made there."""
    return any(
        frame.at(opening) < at < frame.far(opening)
        and opening.is_floor_length
        and opening.top >= board_top(frame, run.face, at)
        for opening in frame.openings
    )


def lay_sheets(
    frame: Frame, run: FaceRun, board: Board, cuts: Sequence[Length], practice: FramingPractice
) -> list[Sheet]:
    """Rectangles of one stretch between its joints, course by course; strips wholly in an opening's width are split."""
    found = []
    edges = [run.start, *cuts, run.end]
    level_top = frame.wall.is_level_topped
    top = _top(frame, run.face, run.start, run.end)
    for bottom, height in courses(board, practice.floor_gap, top):
        for low, high in pairwise(edges):
            upper = min(bottom + height, top if level_top else _top(frame, run.face, low, high))
            if upper > bottom:
                found += _strip(frame, run, low, high, bottom, upper)
    return found


def _top(frame: Frame, face: str, start: Length, end: Length) -> Length:
    tops = (board_top(frame, face, start), board_top(frame, face, end))
    return -int(-max(tops) // 1)


def _strip(frame: Frame, run: FaceRun, low: Length, high: Length, bottom: Length, top: Length) -> list[Sheet]:
    """One rectangle, trimmed where an opening takes its whole height, split where one takes its whole width.

    The strip between a door corner and its door, the leg, is hung by itself, under the piece over the door; of two such
    doors in one rectangle that piece starts at the lower head.
    """
    met = [
        opening
        for opening in frame.openings
        if frame.far(opening) > low and frame.at(opening) < high and opening.top > bottom and opening.sill < top
    ]
    for opening in met:
        if opening.sill <= bottom and opening.top >= top:
            return _beside(frame, run, opening, low, high, bottom, top)
    door = min(_leg_doors(frame, run, met, low, high), key=lambda opening: opening.top, default=None)
    if door and door.top < top:
        over = Sheet(run.face, run.layer, run.board, low, door.top, high - low, top - door.top)
        return [over, *_beside(frame, run, door, low, high, bottom, door.top)]
    parts = [(bottom, top)]
    if met and frame.at(met[0]) <= low and frame.far(met[0]) >= high:
        parts = [part for part in ((bottom, met[0].sill), (met[0].top, top)) if part[1] > part[0]]
    return [Sheet(run.face, run.layer, run.board, low, foot, high - low, head - foot) for foot, head in parts]


def _beside(
    frame: Frame, run: FaceRun, opening: Opening, low: Length, high: Length, bottom: Length, top: Length
) -> list[Sheet]:
    """What is left of a rectangle on either side of an opening that takes its whole height."""
    parts = ((low, frame.at(opening)), (frame.far(opening), high))
    return [sheet for start, end in parts if end > start for sheet in _strip(frame, run, start, end, bottom, top)]


def _leg_doors(frame: Frame, run: FaceRun, met: Sequence[Opening], low: Length, high: Length) -> Iterator[Opening]:
    """Of the openings in a rectangle the doors beside a door corner, with a leg of board between."""
    if met and met[0].is_floor_length and run.legs[0] and low == run.start < frame.at(met[0]):
        yield met[0]
    if met and met[-1].is_floor_length and run.legs[1] and frame.far(met[-1]) < high == run.end:
        yield met[-1]


def pieces_over_openings(frame: Frame, sheets: Iterable[Sheet]) -> int:
    """How many pieces of board pass over an opening's head, whole or in part; courses above those are not counted."""
    return sum(
        1
        for sheet in sheets
        if any(
            sheet.at < frame.far(opening)
            and sheet.at + sheet.width > frame.at(opening)
            and sheet.bottom <= opening.top < sheet.bottom + sheet.height
            for opening in frame.openings
        )
    )
