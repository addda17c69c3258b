"""Screws by real contact: every piece of board against every stud line and track that it touches.

Spacings and edge distance are the practice's (NAVEDTRA 14044 p.5-8; 2018 IRC Table R702.3.6 note d for the edge
distance). A screw where a stud stands in a track belongs to the track's row and is not counted on the stud line, so a
4 x 8 sheet on studs at 16 in takes 4 + 4 into the tracks and 7 on each of 4 lines: 36, as spacing alone gives.
A deflection head takes no screws.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from typing import NamedTuple

from framing.board import board_top
from framing.length import Length
from framing.pieces import FaceRun, Sheet, Stud
from framing.practice import FramingPractice
from framing.runs import Frame
from framing.track import floor_segments


def row_of_screws(length: Length, spacing: Length, from_edge: Length) -> int:
    """Screws in a straight row: one `from_edge` from each end and none further apart than `spacing`."""
    between = length - 2 * from_edge
    if between <= 0:
        return 1 if length > 0 else 0
    return -(-between // spacing) + 1


class _Line(NamedTuple):
    """A stud as a line of screws: from `foot` up to `reach`; `has_head`: its upper end stands in a track that takes a
    row of its own."""

    at: Length
    foot: Length
    reach: Length
    has_head: bool


class SheetScrews:
    """Counts screws of the pieces of one wall; what they all share is worked out once."""

    def __init__(self, frame: Frame, studs: Sequence[Stud], practice: FramingPractice) -> None:
        self.frame = frame
        self.practice = practice
        self.floor = [segment for run in frame.runs for segment in floor_segments(frame, run)]
        self.ceiling = [(run.start, run.end) for run in frame.runs] if not frame.wall.type.head_gap else []
        self.places = [stud.at for stud in studs]
        self.lines = [
            _Line(
                stud.at,
                stud.bottom,
                stud.bottom + stud.length + practice.stud_short,
                bool(self.ceiling) or (stud.role == "cripple" and stud.bottom == 0),
            )
            for stud in studs
        ]
        self.openings = [(frame.at(one), frame.far(one), one.sill, one.top) for one in frame.openings]

    def on_studs(self, sheet: Sheet, run: FaceRun) -> tuple[int, int]:
        """(screws, stud lines) of one piece on the studs behind it.

        End spacing on the line nearest a run's end, edge spacing on a joint, field spacing between. Outside of a corner
        that line is the corner stud of the wall that is lapped. The ends of a line that lie in a track whose own row of
        screws is counted are left to that row.
        """
        practice, edge = self.practice, 2 * self.practice.screw_from_edge
        low, high = sheet.at, sheet.at + sheet.width
        bottom, top = sheet.bottom, sheet.bottom + sheet.height
        behind = self.lines[bisect_left(self.places, low) : bisect_right(self.places, high)]
        end_from, end_to = low - 1, high + 1  # lines up to the one and from the other stand at the run's ends
        if low == run.start:
            end_from = low if run.corner_studs[0] or not behind else behind[0].at
        if high == run.end:
            end_to = high if run.corner_studs[1] or not behind else behind[-1].at
        behind += [
            _Line(at, 0, reach, bool(self.ceiling))
            for at, edge, reach in zip((low, high), (run.start, run.end), run.corner_studs, strict=True)
            if at == edge and reach
        ]
        stands_on_floor = bottom == practice.floor_gap
        screws = lines = 0
        for at, foot, reach, has_head in behind:
            contact = (top if top < reach else reach) - (bottom if bottom > foot else foot)
            if contact <= 0:
                continue
            lines += 1
            if at <= end_from or at >= end_to:
                spacing = practice.screw_end_edge
            else:
                spacing = practice.screw_edge if at in (low, high) else practice.screw_field
            count = -((edge - contact) // spacing) + 1 if contact > edge else 1
            count -= (foot >= bottom or (stands_on_floor and not foot)) + (has_head and top >= reach)
            if count > 0:
                screws += count
        return screws, lines

    def on_tracks(self, sheet: Sheet) -> int:
        """Screws into bottom, top, head and sill tracks: four along 48 in."""
        low, high = sheet.at, sheet.at + sheet.width
        bottom, top = sheet.bottom, sheet.bottom + sheet.height
        total = 0
        if bottom == self.practice.floor_gap:
            total += self._along(self.floor, low, high)
        if self.ceiling and self._reaches_ceiling(sheet, top):
            total += self._along(self.ceiling, low, high)
        for start, end, sill, head in self.openings:
            if start < high and end > low:
                rows = (bottom <= head < top) + (sill > 0 and bottom < sill <= top)
                if rows:
                    total += rows * self._along(((start, end),), low, high)
        return total

    def _reaches_ceiling(self, sheet: Sheet, top: Length) -> bool:
        middle = sheet.at + sheet.width // 2
        if top < int(self.frame.wall.height_at(middle + self.frame.origin) // 1):
            return False
        return top >= int(board_top(self.frame, sheet.face, middle) // 1)

    def _along(self, segments: Sequence[tuple[Length, Length]], low: Length, high: Length) -> int:
        spacing, from_edge = self.practice.track_screw_spacing, self.practice.screw_from_edge
        total = 0
        for start, end in segments:
            contact = (end if end < high else high) - (start if start > low else low)
            if contact > 0:
                total += row_of_screws(contact, spacing, from_edge)
        return total


def cap_screws(height: Length, practice: FramingPractice) -> int:
    """A cap is fastened to the end stud's web in two rows at the end spacing."""
    return 2 * row_of_screws(height, practice.screw_end_edge, practice.screw_from_edge)


def stud_ends_fastened(frame: Frame, studs: Sequence[Stud]) -> dict[str, int]:
    """Stud ends that are screwed to track, by role: both ends, but none into a deflection head."""
    found: dict[str, int] = {}
    for stud in studs:
        is_sill_cripple = stud.role == "cripple" and stud.bottom == 0
        ends = 1 if frame.wall.type.head_gap and not is_sill_cripple else 2
        found[stud.role] = found.get(stud.role, 0) + ends
    return found
