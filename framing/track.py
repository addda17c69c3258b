"""Track pieces: bottom and top rows spliced from stock, cut for their corners; head and sill tracks with bent ends.

Common practice, no source, but for the bent ends (Ontario Building Code 9.24.3.2(3)-(4)) and the pins (same,
9.24.3.1). Every corner cut stands in both rows; splices differ.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from itertools import pairwise

from framing.joints import LAP, THROUGH, WallEnd
from framing.length import Length
from framing.pieces import Cut, TrackPiece
from framing.plan import LEFT
from framing.practice import FramingPractice
from framing.runs import Frame, Run

SQUARE = Cut()
Interval = tuple[Length, Length]
_LOOKED_AHEAD = 40  # pieces


def end_cut(end: WallEnd, half: Length) -> Cut:
    """How a track's end is cut for its junction: the tab of a lapping wall reaches the other track's outer face, its
    flanges stop one slot short of it. 3 5/8 in track and 5/8 in board give flanges back 4 1/4 in.

    `half`: half of this wall's own web. At a sharp corner the inner edge of either track is snipped back along the
    other's outer face.
    """
    if end.role not in (LAP, THROUGH):
        return SQUARE
    bevel = end.beyond_square(2 * half)
    left_bevel, right_bevel = (bevel, 0) if end.inside == LEFT else (0, bevel)
    if end.role == THROUGH:
        return Cut("square", left_bevel=left_bevel, right_bevel=right_bevel) if bevel else SQUARE
    outer, inner = end.flanges_back(half)
    left, right = (inner, outer) if end.inside == LEFT else (outer, inner)
    return Cut("tab", end.tab(), left, right, left_bevel, right_bevel)


def pins(length: Length, practice: FramingPractice) -> int:
    """Pins of one piece: 2 in from each end, at most 24 in apart: ceil((L - 4)/24) + 1; a very short one has one."""
    between = length - 2 * practice.pin_from_end
    if between <= 0:
        return 1
    return -(-between // practice.pin_spacing) + 1


def track_pieces(frame: Frame, practice: FramingPractice) -> list[TrackPiece]:
    """All track of one wall: bottom, top, head and sill pieces in that order, each row by position."""
    bottom: list[TrackPiece] = []
    top: list[TrackPiece] = []
    for run in frame.runs:
        segments = floor_segments(frame, run)
        below, above = _run_splices(run, segments, _jambs(frame, run), practice)
        for start, end in segments:
            bottom += _row("bottom", start, end, [at for at in below if start < at < end], frame, run, practice)
        top += _row("top", run.start, run.end, above, frame, run, practice)
    return bottom + top + _opening_tracks(frame, practice)


def _run_splices(
    run: Run, segments: Sequence[Interval], jambs: Sequence[Length], practice: FramingPractice
) -> tuple[list[Length], list[Length]]:
    """Splices of the bottom and the top row of one run.

    They are laid from the end whose openings read first in order, so a wall drawn the other way is cut the same.
    """
    here = [at - run.start for at in jambs]
    there = sorted(run.end - at for at in jambs)
    is_turned = (there, sorted((run.end - b, run.end - a) for a, b in segments)) < (
        here,
        [(a - run.start, b - run.start) for a, b in segments],
    )

    def turn(at: Length) -> Length:
        return run.start + run.end - at if is_turned else at

    pieces = [(turn(b), turn(a)) if is_turned else (a, b) for a, b in segments]
    clear = _around([turn(at) for at in jambs], practice.splice_clear)
    below = [at for start, end in sorted(pieces) for at in splice_points(start, end, practice, clear)]
    busy = clear + _around(below, practice.splice_apart)
    above = splice_points(run.start, run.end, practice, busy)
    return sorted(map(turn, below)), sorted(map(turn, above))


def floor_segments(frame: Frame, run: Run) -> list[Interval]:
    """The stretches of a run on which bottom track lies: openings down to the floor are left out."""
    segments = []
    start = run.start
    for opening in frame.openings:
        if opening.sill or frame.far(opening) <= run.start or frame.at(opening) >= run.end:
            continue
        if frame.at(opening) > start:
            segments.append((start, frame.at(opening)))
        start = max(start, frame.far(opening))
    if start < run.end:
        segments.append((start, run.end))
    return segments


def _jambs(frame: Frame, run: Run) -> list[Length]:
    places = [place for opening in frame.openings for place in (frame.at(opening), frame.far(opening))]
    return [place for place in places if run.start <= place <= run.end]


def _around(places: Sequence[Length], clear: Length) -> tuple[Interval, ...]:
    return tuple((place - clear, place + clear) for place in places)


def splice_points(
    start: Length, end: Length, practice: FramingPractice, busy: tuple[Interval, ...]
) -> tuple[Length, ...]:
    """Where a run of track is spliced: fewest pieces, none over stock or under the shortest, no splice in a busy place.

    A run whose busy places leave no room at all is spliced clear of its ends and the shortest piece alone.
    """
    if end - start <= practice.track_stock:
        return ()
    relevant = tuple(sorted((low - start, high - start) for low, high in busy if high > start and low < end))
    for blocked in (relevant, ()):
        found = _splices(
            end - start, practice.track_stock, max(practice.splice_shortest, practice.splice_clear), blocked
        )
        if found is not None:
            return tuple(start + place for place in found)
    raise AssertionError("a run longer than stock can always be spliced where stock is twice the shortest piece")


def _splices(
    length: Length, stock: Length, shortest: Length, blocked: tuple[Interval, ...]
) -> tuple[Length, ...] | None:
    """Splices of a run from 0 to `length`, by increasing number of pieces; None where there is no way."""
    search = _Search(length, stock, shortest, blocked)
    taken: list[Length] = []
    at = 0
    while length - at > _LOOKED_AHEAD * stock:  # so long a run is cut as far on as it goes, piece by piece
        at = next(search.places_from(at), at + stock)
        taken.append(at)
    fewest = -(-(length - at) // stock)
    for pieces in range(fewest, 2 * fewest + 3):
        found = search.rest(at, pieces)
        if found is not None:
            return (*taken, *found)
    return None


class _Search:
    """One run to be spliced, with what is known of its rest from each place on."""

    def __init__(self, length: Length, stock: Length, shortest: Length, blocked: tuple[Interval, ...]) -> None:
        self.length, self.stock, self.shortest, self.blocked = length, stock, shortest, blocked
        self.lows = [low for low, _ in blocked]
        self.widest = max((high - low for low, high in blocked), default=0)
        self.known: dict[tuple[Length, int], tuple[Length, ...] | None] = {}

    def places_from(self, at: Length) -> Iterator[Length]:
        """Where the piece that starts at `at` may end: at full stock, or where a busy place begins or ends."""
        least, furthest = at + self.shortest, min(at + self.stock, self.length - self.shortest)
        near = self.blocked[bisect_left(self.lows, least - self.widest) : bisect_right(self.lows, furthest)]
        edges = {place for interval in near for place in interval if least <= place <= furthest}
        for place in sorted({furthest, *edges}, reverse=True):
            if place >= least and not any(low < place < high for low, high in near):
                yield place

    def rest(self, at: Length, pieces: int) -> tuple[Length, ...] | None:
        """Splices from `at` to the end in so many pieces at most; None where there is no way."""
        left = self.length - at
        if left <= self.stock:
            return ()
        if pieces <= 1 or left > pieces * self.stock:
            return None
        if (at, pieces) not in self.known:
            found = None
            for place in self.places_from(at):
                tail = self.rest(place, pieces - 1)
                if tail is not None:
                    found = (place, *tail)
                    break
            self.known[at, pieces] = found
        return self.known[at, pieces]


def _row(
    row: str, start: Length, end: Length, splices: Sequence[Length], frame: Frame, run: Run, practice: FramingPractice
) -> list[TrackPiece]:
    places = [start, *splices, end]
    pieces = []
    for low, high in pairwise(places):
        from_end = end_cut(run.start_end, frame.half) if low == run.start else SQUARE
        to_end = end_cut(run.end_end, frame.half) if high == run.end else SQUARE
        shared = (from_end.kind == "tab") + (to_end.kind == "tab")  # a lap's pin goes through both layers
        count = max(0, pins(high - low, practice) - shared)
        pieces.append(TrackPiece(row, low, high - low, from_end, to_end, count))
    return pieces


def _opening_tracks(frame: Frame, practice: FramingPractice) -> list[TrackPiece]:
    heads: list[TrackPiece] = []
    sills: list[TrackPiece] = []
    for opening in frame.openings:
        middle = (opening.at + opening.far) // 2
        clear = int(frame.wall.height_at(middle) // 1) - frame.wall.type.head_gap - practice.stud_short
        if clear > opening.top:
            heads += _bent("head", frame.at(opening), opening.width, practice)
        if opening.sill:
            sills += _bent("sill", frame.at(opening), opening.width, practice)
    return heads + sills


def _bent(row: str, at: Length, width: Length, practice: FramingPractice) -> list[TrackPiece]:
    """A head or sill track: the opening and a bent end at each jamb. `at` is the near jamb; a long one is spliced."""
    bend = practice.head_bend
    places = [-bend, *splice_points(-bend, width + bend, practice, ()), width + bend]
    pieces = []
    for low, high in pairwise(places):
        from_end = Cut("square", bend=bend if low == -bend else 0)
        to_end = Cut("square", bend=bend if high == width + bend else 0)
        pieces.append(TrackPiece(row, at + max(low, 0), high - low, from_end, to_end))
    return pieces
