"""A true layout of sheets: where each rectangle of board hangs on a face, joints on studs and staggered.

Rules, each by name: joints on studs (common practice, no source); no vertical joint within 6 in of an opening's edge
(NAVEDTRA 14044 p.5-6); joints staggered between the two faces and between layers (same page; fire listing U419
item 5B asks for one stud space). Among layouts that keep them, the one with the fewest pieces, then the most full
widths, is taken.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from itertools import pairwise

from framing.board import board_top
from framing.length import Length
from framing.pieces import FaceRun, Sheet, Stud
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


def joint_places(frame: Frame, studs: Iterable[Stud], practice: FramingPractice) -> list[Length]:
    """Middles of studs on which a vertical joint may fall: none within `joint_from_opening` of an opening's edge."""
    clear = practice.joint_from_opening
    edges = [place for opening in frame.openings for place in (frame.at(opening), frame.far(opening))]
    places = sorted({stud.at for stud in studs})
    return [place for place in places if all(abs(place - edge) >= clear for edge in edges)]


def joints(
    start: Length, end: Length, widest: Length, places: Sequence[Length], avoid: frozenset[Length]
) -> list[Length]:
    """Vertical joints of one stretch: fewest joints on `avoid`, then fewest pieces, then most full widths.

    `places` are the studs that may carry a joint, in order. Where they leave a gap wider than a sheet, joints fall at
    full widths: `unsupported` finds them.
    """
    inner = list(places[bisect_right(places, start) : bisect_left(places, end)])
    inner = _bridge(start, end, inner, widest)
    nodes = [start, *inner, end]
    best: list[tuple[int, int, int, int]] = [(0, 0, 0, -1)]  # clashes, pieces, cut widths, node before
    low = 0
    for index in range(1, len(nodes)):
        while nodes[index] - nodes[low] > widest:
            low += 1
        clash = int(nodes[index] in avoid and index < len(nodes) - 1)
        choices = (
            (best[k][0] + clash, best[k][1] + 1, best[k][2] + (nodes[index] - nodes[k] != widest), k)
            for k in range(low, index)
        )
        best.append(min(choices))
    found: list[Length] = []
    at = best[-1][3]
    while at > 0:
        found.append(nodes[at])
        at = best[at][3]
    return found[::-1]


def _bridge(start: Length, end: Length, inner: list[Length], widest: Length) -> list[Length]:
    nodes = [start, *inner, end]
    if all(b - a <= widest for a, b in pairwise(nodes)):
        return inner
    found: list[Length] = []
    before = start
    for place in [*inner, end]:
        while place - before > widest:
            before += widest
            found.append(before)
        if place != end:
            found.append(place)
        before = place
    return found


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
    """One rectangle, trimmed where an opening takes its whole height, split where one takes its whole width."""
    for opening in frame.openings:
        start, end = frame.at(opening), frame.far(opening)
        if end <= low or start >= high or opening.top <= bottom or opening.sill >= top:
            continue
        if opening.sill <= bottom and opening.top >= top:
            parts = [(low, start), (end, high)]
            return [sheet for part in parts if part[1] > part[0] for sheet in _strip(frame, run, *part, bottom, top)]
        if opening.is_floor_length and opening.top < top and _has_leg(run, low, high, start, end):
            tiles = [(low, high, opening.top, top), (low, start, bottom, opening.top), (end, high, bottom, opening.top)]
            return [
                Sheet(run.face, run.layer, run.board, left, foot, right - left, head - foot)
                for left, right, foot, head in tiles
                if right > left
            ]
        if start <= low and end >= high:
            return [
                Sheet(run.face, run.layer, run.board, low, part[0], high - low, part[1] - part[0])
                for part in ((bottom, opening.sill), (opening.top, top))
                if part[1] > part[0]
            ]
    return [Sheet(run.face, run.layer, run.board, low, bottom, high - low, top - bottom)]


def _has_leg(run: FaceRun, low: Length, high: Length, start: Length, end: Length) -> bool:
    """Whether a rectangle holds the strip between a door corner and its door, from `start` to `end`.

    The leg is hung by itself, under the piece over the door.
    """
    at_start = run.legs[0] and low == run.start and low < start < high
    return at_start or (run.legs[1] and high == run.end and low < end < high)


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
