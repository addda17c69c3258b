"""How walls are joined, as values: each end of a wall, each meeting of a level, and what a junction asks of its tracks.

A junction's own lengths (how far a track runs past the crossing, how long its tab is, how far its flanges are cut back)
are worked out here from the angle and the widths of the two walls, for every angle by the same formulas.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

from framing.length import Length
from framing.lines import SQUARE, Point, Turn
from framing.pieces import Caution
from framing.plan import Mistake

CORNER, DOOR_CORNER, TEE, CROSS, IN_LINE = "corner", "door corner", "tee", "cross", "in line"
FREE_END, AT_STRUCTURE = "free end", "structure"
THROUGH, LAP, STEM = "through", "lap", "stem"


class Junction(NamedTuple):
    """One meeting as printed. `through` is the mark of the wall whose track runs through, if one does."""

    kind: str
    walls: tuple[str, ...]
    at: Point
    because: str
    through: str | None = None


class WallEnd(NamedTuple):
    """How one end of a wall is joined.

    `role`: through, lap, stem, in line, free end or structure. `at`: the crossing centre line, or the line's own
    end. `half`: half of the other wall's web. `inside`: the face that looks into the corner or, for a stem,
    the face of the through wall that it meets. `other_at`: the meeting along the other wall's drawn line. `turn`: the
    angle between the two walls, both walked away from where they meet (for a stem: the through wall either way).
    """

    role: str
    at: Length
    other: int = -1
    half: Length = 0
    slot: Length = 0
    inside: str = ""
    other_at: Length = 0
    turn: Turn = SQUARE
    is_door_corner: bool = False

    def outward(self, half: Length) -> Length:
        """How far the track of a wall of this `half` web runs past the crossing: to where the outer faces meet."""
        return self.turn.over_sin(self.half) + self.turn.cot(half)

    def stop(self, half: Length) -> Length:
        """How far short of the crossing a stem's square cut stays, so that neither flange passes the slot."""
        return self.turn.over_sin(self.half + self.slot) + abs(self.turn.cot(half))

    def face_of_steel(self, half: Length) -> Length:
        """From the crossing to the other wall's nearer steel face, at this wall's edge that reaches it first."""
        return self.turn.over_sin(self.half) + abs(self.turn.cot(half))

    def tab(self) -> Length:
        """The other track's width, measured along this wall."""
        return self.turn.over_sin(2 * self.half)

    def flanges_back(self, half: Length) -> tuple[Length, Length]:
        """How far a lapping wall's outer and inner flanges are cut back from the track's end: tab and slot."""
        outer = self.turn.over_sin(2 * self.half + self.slot)
        return outer, outer + self.turn.cot(2 * half)

    def beyond_square(self, width: Length) -> Length:
        """How far in from the outer corner a square end of this width clears the other wall's outer face."""
        return max(0, self.turn.cot(width))


@dataclass(frozen=True, slots=True)
class Gap:
    """Where a crossing wall interrupts this one: its two halves end there as stems, `before` and `after`."""

    at: Length
    reach: Length
    before: WallEnd
    after: WallEnd


class RunIn(NamedTuple):
    """Another wall's steel meets wall `wall` at `at`, `reach` to either side along it."""

    wall: int
    at: Length
    reach: Length
    other: int


class Slot(NamedTuple):
    lapping: str
    through: str
    layers: Length


@dataclass(slots=True)
class Junctions:
    """All meetings of one level. `ends[i]` are wall i's two ends; `gaps[i]` where it is interrupted."""

    ends: list[tuple[WallEnd, WallEnd]] = field(default_factory=list)
    gaps: dict[int, list[Gap]] = field(default_factory=dict)
    found: list[Junction] = field(default_factory=list)
    run_ins: list[RunIn] = field(default_factory=list)
    slots: list[Slot] = field(default_factory=list)
    cautions: list[Caution] = field(default_factory=list)
    mistakes: list[Mistake] = field(default_factory=list)
