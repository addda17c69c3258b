"""What a count is made of: quantities that keep their reasons, steel and board pieces, cautions.

Lengths in ticks. `at` of a stud, track piece or sheet is measured along the wall's line from the bottom track's start
at the wall's `from` end.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from framing.length import Length


@dataclass(frozen=True, slots=True)
class Because:
    """One term of a count: the rule in words, its source, the term in figures."""

    rule: str
    source: str
    term: str


@dataclass(frozen=True, slots=True)
class Caution:
    """Something a person must look at. `by`: its size where it has one."""

    kind: str
    sentence: str
    walls: tuple[str, ...]
    opening: str = ""
    by: Length | None = None


@dataclass(frozen=True, slots=True)
class Cut:
    """How one end of a track piece is cut: square, or to a tab with the flanges cut back; `bend` for a bent end.

    `left_back`, `right_back`: how far each flange is cut back (the two differ at an oblique corner). `left_bevel`,
    `right_bevel`: how far that edge of the end itself is snipped back so as not to stand out past the other's face.
    """

    kind: str = "square"
    tab: Length = 0
    left_back: Length = 0
    right_back: Length = 0
    left_bevel: Length = 0
    right_bevel: Length = 0
    bend: Length = 0


@dataclass(frozen=True, slots=True)
class TrackPiece:
    row: str  # bottom, top, head, sill
    at: Length
    length: Length
    from_end: Cut
    to_end: Cut
    pins: int = 0


@dataclass(frozen=True, slots=True)
class Stud:
    """`bottom`: where it starts above the floor (0, or an opening's head). `opens`: the end of the wall, "from" or
    "to", to which its open side looks; its web looks to the other.
    """

    at: Length
    role: str
    length: Length
    bottom: Length
    opens: str


@dataclass(frozen=True, slots=True)
class FaceRun:
    """One stretch of one layer of one face, from `start` to `end` along the wall from the track's start.

    `legs`: whether its start, its end is the leg of a door corner. `corner_studs`: how high the corner stud of a wall
    that it laps stands behind its start, its end, outside of the corner; 0 where none does.
    """

    face: str
    layer: int
    board: str
    start: Length
    end: Length
    legs: tuple[bool, bool] = (False, False)
    corner_studs: tuple[Length, Length] = (0, 0)


@dataclass(slots=True)
class Sheet:
    """A rectangle of board as hung. `stock` is filled when sheets are cut: number of the stock sheet; of that
    sheet's pieces one, the largest, is counted as its start (`is_first_cut`), and one is hung first.
    """

    face: str
    layer: int
    board: str
    at: Length
    bottom: Length
    width: Length
    height: Length
    screws: int = 0
    stock: int = 0
    step: int = 0
    is_first_cut: bool = False
    is_first_hung: bool = False


@dataclass(slots=True)
class Counts:
    """The counts of a wall, a level or a plan. Lengths in ticks, areas in square ticks, exact."""

    track: Length = 0
    studs: int = 0
    stud_length: Length = 0
    sheets: int = 0
    board_net: Fraction | int = 0
    board_high: Fraction | int = 0
    board_bought: Fraction | int = 0
    board_screws: int = 0
    framing_screws: int = 0
    pins: int = 0
    sealant: Length = 0
    bead: Length = 0
    tape: Length = 0
    tape_1: Length = 0
    tape_2: Length = 0
    tape_3: Length = 0
    tape_4: Length = 0
    tape_5: Length = 0
    skim: Fraction | int = 0
    corners: int = 0
    door_corners: int = 0
    openings: int = 0
    over_opening_pieces: int = 0
    extras: int = 0

    def add(self, other: Counts) -> None:
        """Add another count to this one, measure by measure."""
        for name in MEASURES:
            setattr(self, name, getattr(self, name) + getattr(other, name))

    @classmethod
    def total(cls, parts: Iterable[Counts]) -> Counts:
        whole = cls()
        for part in parts:
            whole.add(part)
        return whole


MEASURES = tuple(Counts.__dataclass_fields__)
TAPE_OF_LEVEL = ("", "tape_1", "tape_2", "tape_3", "tape_4", "tape_5")
"""The measure of tape by its level of finish; together they are `tape`. Level 0 has none."""
PART_OF = dict.fromkeys(TAPE_OF_LEVEL[1:], "tape")
