"""What is drawn: walls with their pieces, as the engine counted them.

One shape for both sources: `level_drawn` takes the engine's own values, `framing.drawing.read_back` the printed
take-off. Lengths stay whole ticks; `at` is measured along the wall from the bottom track's start at its `from` end.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from framing.board import CAPS, FACES
from framing.count import LevelCount
from framing.described import FASTENING
from framing.drawing.stocked import NOTHING, Stocked
from framing.finish import finish_of
from framing.joints import Junction
from framing.length import Length
from framing.lines import Axis, Point
from framing.meetings import axes_of
from framing.pieces import Caution, Sheet, Stud, TrackPiece
from framing.plan import LEFT, RIGHT, Opening, Plan, Wall
from framing.practice import FramingPractice
from framing.products import Board
from framing.runs import Frame
from framing.stock_printed import level_stock

ROW_LETTERS = {"bottom": "B", "top": "T", "head": "H", "sill": "S"}


@dataclass(frozen=True, slots=True)
class DrawnWall:
    """A wall with its pieces. `axis` is its centre line; `finish` the levels of its left and right face, if known."""

    frame: Frame
    axis: Axis
    studs: tuple[Stud, ...]
    track: tuple[TrackPiece, ...]
    sheets: tuple[Sheet, ...]
    stud_stock: Length
    finish: Mapping[str, int] = field(default_factory=dict)

    @property
    def wall(self) -> Wall:
        return self.frame.wall

    @property
    def mark(self) -> str:
        return self.frame.wall.mark

    @property
    def half(self) -> Length:
        return self.frame.half

    @property
    def end(self) -> Length:
        return self.frame.end

    def point(self, at: Length, beside: Length = 0) -> Point:
        """The place in the plan, `beside` to the left of the wall's centre line."""
        return self.axis.point(at + self.frame.origin, beside)

    def height_at(self, at: Length) -> Fraction | Length:
        return self.wall.height_at(at + self.frame.origin)

    def board_top(self, face: str, at: Length) -> Fraction | Length:
        """Top of a face's board, from the floor."""
        return self.wall.face_height_at(face, at + self.frame.origin) - self.wall.type.head_gap

    def layers(self, face: str) -> tuple[Board, ...]:
        """Board layers of a face, or of a free end's cap, from the steel outward."""
        kind = self.wall.type
        if face in CAPS:
            return kind.left if len(kind.left) >= len(kind.right) else kind.right
        return kind.layers(face)

    def depth(self, face: str, layer: int | None = None) -> tuple[Length, Length]:
        """How far a layer's inner and outer face lie from the steel; all layers together where none is named."""
        boards = self.layers(face)
        inner = sum(board.thickness for board in boards[: 0 if layer is None else layer - 1])
        return inner, sum(board.thickness for board in boards[:layer])

    def beside(self, face: str, layer: int | None = None) -> tuple[Length, Length]:
        """A layer's inner and outer face, to the left of the centre line (negative: right)."""
        inner, outer = (self.half + depth for depth in self.depth(face, layer))
        return (inner, outer) if face == LEFT else (-inner, -outer)

    def from_origin(self, at: Length) -> Length:
        """A place as a tape reads it that is hooked where the stud layout starts."""
        return at if self.wall.layout_from == "from" else self.end - at

    def opening_of(self, piece: TrackPiece) -> Opening | None:
        """The opening that a head or sill track belongs to."""
        if piece.row not in ("head", "sill"):
            return None
        frame = self.frame
        return next((one for one in frame.openings if frame.at(one) <= piece.at <= frame.far(one)), None)

    def named_track(self) -> list[tuple[str, TrackPiece]]:
        """Every piece of track with its name on the cut card: B1, B2, T1, ... row by row."""
        numbers: dict[str, int] = defaultdict(int)
        found = []
        for piece in self.track:
            numbers[piece.row] += 1
            found.append((f"{ROW_LETTERS[piece.row]}{numbers[piece.row]}", piece))
        return found

    def faces(self) -> list[tuple[str, int]]:
        """(face, layer) of every face that bears board: left, right, then the caps."""
        order = (LEFT, RIGHT, *CAPS)
        found = {(sheet.face, sheet.layer) for sheet in self.sheets}
        return sorted(found, key=lambda item: (order.index(item[0]), item[1]))

    def sheets_of(self, face: str, layer: int) -> list[Sheet]:
        return [sheet for sheet in self.sheets if (sheet.face, sheet.layer) == (face, layer)]


@dataclass(frozen=True, slots=True)
class HangRule:
    """Sheets that go up before `step`, and why."""

    step: int
    after: tuple[int, ...]
    because: str


@dataclass(frozen=True, slots=True)
class DrawnLevel:
    """A level's walls, how they meet, the order of hanging, and what a person must look at."""

    plan: str
    name: str
    is_metric: bool
    walls: tuple[DrawnWall, ...]
    junctions: tuple[Junction, ...]
    rules: tuple[HangRule, ...]
    cautions: tuple[Caution, ...]
    fastening: Mapping[str, Length]
    stocked: Stocked = NOTHING

    def wall(self, mark: str) -> DrawnWall:
        return next(wall for wall in self.walls if wall.mark == mark)

    def opened(self) -> dict[int, int]:
        """At which step each stock sheet is taken from the pile: that of the first of its pieces to be hung."""
        found: dict[int, int] = {}
        for wall in self.walls:
            for sheet in wall.sheets:
                found[sheet.stock] = min(sheet.step, found.get(sheet.stock, sheet.step))
        return found

    def rules_of(self, wall: DrawnWall) -> list[HangRule]:
        steps = {sheet.step for sheet in wall.sheets}
        return [rule for rule in self.rules if rule.step in steps]

    def cautions_of(self, wall: DrawnWall) -> list[Caution]:
        return [caution for caution in self.cautions if wall.mark in caution.walls]


def level_drawn(
    plan: Plan, level: LevelCount, also: Sequence[Caution] = (), *, levels: Sequence[LevelCount] = ()
) -> DrawnLevel:
    """A counted level as it is drawn. `also`: cautions from outside of the count, as of the model that was read.

    `levels`: all levels of the plan, which are bought for together; without them this one is taken for all.
    """
    axes = axes_of([count.wall for count in level.walls])
    walls = tuple(
        DrawnWall(
            count.frame,
            axes[index],
            tuple(count.studs),
            tuple(count.track),
            tuple(count.sheets),
            count.stud_stock,
            {face: finish_of(count.wall, face, plan.practice) for face in FACES if count.wall.type.layers(face)},
        )
        for index, count in enumerate(level.walls)
    )
    return DrawnLevel(
        plan.name,
        level.name,
        plan.length_unit == "mm",
        walls,
        tuple(level.joined.found),
        _rules(level),
        (*level.cautions, *also),
        fastening(plan.practice),
        Stocked(level_stock(level, levels or (level,), plan.practice)),
    )


def fastening(practice: FramingPractice) -> dict[str, Length]:
    return {name: getattr(practice, name) for name in FASTENING}


def _rules(level: LevelCount) -> tuple[HangRule, ...]:
    before: dict[tuple[int, str], list[int]] = defaultdict(list)
    for rule in level.hanging.kept:
        before[level.hanging.steps[rule.then], rule.because].append(level.hanging.steps[rule.first])
    return tuple(HangRule(step, tuple(sorted(first)), because) for (step, because), first in sorted(before.items()))
