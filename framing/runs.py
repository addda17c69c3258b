"""A wall's runs of steel: from end to end, broken where a crossing wall interrupts it.

From here on positions are measured from the start of the wall's bottom track at its `from` end: `at` on the drawn line
is `at - frame.origin`.
"""

from __future__ import annotations

from dataclasses import dataclass

from framing.joints import LAP, STEM, THROUGH, Junctions, WallEnd
from framing.length import Length
from framing.plan import Opening, Wall


@dataclass(frozen=True, slots=True)
class Run:
    """One unbroken run of track, `start` to `end`, with how each end is joined."""

    start: Length
    end: Length
    start_end: WallEnd
    end_end: WallEnd

    @property
    def length(self) -> Length:
        return self.end - self.start

    def ends(self) -> tuple[tuple[Length, int, WallEnd], tuple[Length, int, WallEnd]]:
        """Both ends as (position, +1 or -1 towards the inside, how it is joined)."""
        return ((self.start, 1, self.start_end), (self.end, -1, self.end_end))


@dataclass(frozen=True, slots=True)
class Frame:
    """A wall with its runs. `origin`: where its track starts on the drawn line (negative past a corner's centre)."""

    index: int
    wall: Wall
    origin: Length
    runs: tuple[Run, ...]
    openings: tuple[Opening, ...]

    @property
    def end(self) -> Length:
        return self.runs[-1].end

    @property
    def half(self) -> Length:
        return self.wall.type.stud.web // 2

    @property
    def track_length(self) -> Length:
        return sum(run.length for run in self.runs)

    def at(self, opening: Opening) -> Length:
        return opening.at - self.origin

    def far(self, opening: Opening) -> Length:
        return opening.far - self.origin


def frame_of(index: int, wall: Wall, joined: Junctions) -> Frame:
    """Runs of one wall. Common practice, no source: both tracks of a corner reach the outer corner; a stem and the
    two halves of an interrupted wall stop one slot short of the through wall's steel.
    """
    first, last = joined.ends[index]
    half = wall.type.stud.web // 2
    starts = [(_reach(first, -1, half), first)]
    ends = []
    for gap in joined.gaps.get(index, ()):
        ends.append((_reach(gap.before, 1, half), gap.before))
        starts.append((_reach(gap.after, -1, half), gap.after))
    ends.append((_reach(last, 1, half), last))
    origin = starts[0][0]
    runs = tuple(
        Run(start - origin, end - origin, start_end, end_end)
        for (start, start_end), (end, end_end) in zip(starts, ends, strict=True)
    )
    return Frame(index, wall, origin, runs, tuple(sorted(wall.openings, key=lambda opening: opening.at)))


def _reach(end: WallEnd, outward: int, half: Length) -> Length:
    """Where the track ends on the drawn line; `outward` is -1 at the start, +1 at the end."""
    if end.role in (THROUGH, LAP):
        return end.at + outward * end.outward(half)
    if end.role == STEM:
        return end.at - outward * end.stop(half)
    return end.at
