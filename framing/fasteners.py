"""Screws by real contact: every piece of board against every stud line and track that it touches.

Spacings and edge distance are the practice's (NAVEDTRA 14044 p.5-8; 2018 IRC Table R702.3.6 note d for the edge
distance). A screw where a stud stands in a track belongs to the track's row and is not counted on the stud line, so a
4 x 8 sheet on studs at 16 in takes 4 + 4 into the tracks and 7 on each of 4 lines: 36, as spacing alone gives.
A deflection head takes no screws.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence

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


class SheetScrews:
    """Counts screws of the pieces of one wall; what they all share is worked out once."""

    def __init__(self, frame: Frame, studs: Sequence[Stud], practice: FramingPractice) -> None:
        self.frame = frame
        self.practice = practice
        self.studs = studs
        self.places = [stud.at for stud in studs]
        self.floor = [segment for run in frame.runs for segment in floor_segments(frame, run)]
        self.ceiling = [(run.start, run.end) for run in frame.runs] if not frame.wall.type.head_gap else []

    def on_studs(self, sheet: Sheet, run: FaceRun) -> tuple[int, int]:
        """(screws, stud lines) of one piece on the studs behind it."""
        practice = self.practice
        screws = lines = 0
        low, high = sheet.at, sheet.at + sheet.width
        top = sheet.bottom + sheet.height
        for place in range(bisect_left(self.places, low), bisect_right(self.places, high)):
            stud = self.studs[place]
            stud_top = stud.bottom + stud.length
            contact = min(top, stud_top + practice.stud_short) - max(sheet.bottom, stud.bottom)
            if contact <= 0:
                continue
            count = row_of_screws(contact, self._spacing(stud.at, low, high, run), practice.screw_from_edge)
            count -= self._shared_with_tracks(sheet, stud, top)
            screws += max(0, count)
            lines += 1
        return screws, lines

    def _spacing(self, at: Length, low: Length, high: Length, run: FaceRun) -> Length:
        """End spacing on the line nearest a run's end, edge spacing on a joint, field spacing between."""
        flange = self.frame.wall.type.stud.flange
        if (low == run.start and at - low <= flange) or (high == run.end and high - at <= flange):
            return self.practice.screw_end_edge
        return self.practice.screw_edge if at in (low, high) else self.practice.screw_field

    def _shared_with_tracks(self, sheet: Sheet, stud: Stud, top: Length) -> int:
        """Ends of a stud line that lie in a track whose own row of screws is counted."""
        foot = stud.bottom >= sheet.bottom or (stud.bottom == 0 and sheet.bottom == self.practice.floor_gap)
        reaches = stud.bottom + stud.length + self.practice.stud_short
        is_sill_cripple = stud.role == "cripple" and stud.bottom == 0
        head = top >= reaches and (is_sill_cripple or bool(self.ceiling))
        return int(foot) + int(head)

    def on_tracks(self, sheet: Sheet) -> int:
        """Screws into bottom, top, head and sill tracks: four along 48 in."""
        practice = self.practice
        low, high = sheet.at, sheet.at + sheet.width
        top = sheet.bottom + sheet.height
        total = 0
        if sheet.bottom == practice.floor_gap:
            total += self._along(self.floor, low, high, practice.track_screw_spacing)
        if self.ceiling and top >= int(board_top(self.frame, sheet.face, low + sheet.width // 2) // 1):
            wall_top = self.frame.wall.height_at(low + sheet.width // 2 + self.frame.origin)
            if top >= int(wall_top // 1):
                total += self._along(self.ceiling, low, high, practice.track_screw_spacing)
        for opening in self.frame.openings:
            segment = [(self.frame.at(opening), self.frame.far(opening))]
            if sheet.bottom <= opening.top < top:
                total += self._along(segment, low, high, practice.track_screw_spacing)
            if opening.sill and sheet.bottom < opening.sill <= top:
                total += self._along(segment, low, high, practice.track_screw_spacing)
        return total

    def _along(self, segments: Sequence[tuple[Length, Length]], low: Length, high: Length, spacing: Length) -> int:
        total = 0
        for start, end in segments:
            contact = min(end, high) - max(start, low)
            if contact > 0:
                total += row_of_screws(contact, spacing, self.practice.screw_from_edge)
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
