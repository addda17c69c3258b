"""The plan as frozen values: walls, openings, levels. What is wrong with a plan is said all at once, in sentences.

Points and lengths are whole ticks (`framing.length`). A wall's line runs from `start` to `end`; left and right are
as seen walking that way.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from framing.length import Length
from framing.lines import Point, root_times
from framing.practice import FramingPractice
from framing.products import Board, Section

LEFT, RIGHT = "left", "right"
AUTO, FREE, STRUCTURE = "auto", "free", "structure"
DOOR, WINDOW, OPENING = "door", "window", "opening"
EXTRA_KINDS = ("backing", "box", "cut-out")


@dataclass(frozen=True, slots=True)
class WallType:
    """A partition type. `left` and `right`: board layers of each face from the steel outward."""

    name: str
    stud: Section
    track: Section
    spacing: Length
    left: tuple[Board, ...]
    right: tuple[Board, ...]
    head_gap: Length = 0
    fire_rated: bool = False
    insulated: bool = False

    def layers(self, face: str) -> tuple[Board, ...]:
        return self.left if face == LEFT else self.right


@dataclass(frozen=True, slots=True)
class Opening:
    """A rough opening. `at` is along the wall's line from its start to the near edge; `sill` from the floor."""

    mark: str
    kind: str
    at: Length
    width: Length
    height: Length
    sill: Length = 0
    hinge: str = ""
    swing: str = ""

    @property
    def far(self) -> Length:
        return self.at + self.width

    @property
    def top(self) -> Length:
        return self.sill + self.height

    @property
    def is_floor_length(self) -> bool:
        return not self.sill


@dataclass(frozen=True, slots=True)
class Extra:
    """Backing, a box or a cut-out: counted and paid apart."""

    kind: str
    at: Length
    bottom: Length
    width: Length
    height: Length
    count: int = 1


@dataclass(frozen=True, slots=True)
class Wall:
    """One partition. `line` says which line of the steel `start` and `end` lie on: centre, left or right face.

    A height or level of finish of one face that is None is the wall's own or the practice's.
    """

    mark: str
    type: WallType
    start: Point
    end: Point
    height_from: Length
    height_to: Length
    line: str = "centre"
    left_height: Length | None = None
    right_height: Length | None = None
    layout_from: str = "from"
    openings: tuple[Opening, ...] = ()
    extras: tuple[Extra, ...] = ()
    ends: tuple[str, str] = (AUTO, AUTO)
    source_id: str = ""
    left_finish: int | None = None
    right_finish: int | None = None

    @property
    def length(self) -> Length:
        """Length of the drawn line: exact along x, y and wherever the root is whole, else to 1/1024 in."""
        dx, dy = self.end.x - self.start.x, self.end.y - self.start.y
        return root_times(1, dx * dx + dy * dy, 1) if dx and dy else abs(dx + dy)

    @property
    def is_level_topped(self) -> bool:
        return self.height_from == self.height_to

    @property
    def highest(self) -> Length:
        return max(self.height_from, self.height_to)

    def height_at(self, along: Length) -> Fraction | Length:
        """Height of the wall at a place along its line, ticks from the floor, exact (raked tops run straight)."""
        if self.height_from == self.height_to:
            return self.height_from
        return self.height_from + Fraction((self.height_to - self.height_from) * along, self.length)

    def own_height(self, face: str) -> Length | None:
        """The height that a face has of its own, where it stops below the wall's top."""
        return self.left_height if face == LEFT else self.right_height

    def face_height_at(self, face: str, along: Length) -> Fraction | Length:
        """Height to which a face is boarded, before the head gap, exact."""
        own = self.own_height(face)
        height = self.height_at(along)
        return height if own is None else min(height, own)


@dataclass(frozen=True, slots=True)
class ThroughRule:
    """A plan's own word on which wall's track runs through a junction."""

    walls: tuple[str, ...]
    through: str


@dataclass(frozen=True, slots=True, weakref_slot=True)
class Level:
    name: str
    walls: tuple[Wall, ...]
    junctions: tuple[ThroughRule, ...] = ()


@dataclass(frozen=True, slots=True)
class Plan:
    name: str
    length_unit: str
    levels: tuple[Level, ...]
    practice: FramingPractice
    set_by_plan: frozenset[str] = frozenset()
    """Names of the practice's fields that the plan itself set."""


@dataclass(frozen=True, slots=True)
class Mistake:
    """One thing wrong with a plan: where it is, which field, the value, the reason, and what to do next."""

    where: str
    field: str
    value: str
    reason: str
    next_step: str

    def __str__(self) -> str:
        field = f"{self.field} " if self.field else ""
        value = f"{self.value} " if self.value else ""
        head = f"{self.where}: " if self.where else ""
        return f"{head}{field}{value}{self.reason}. {self.next_step}"


class PlanMistakes(Exception):
    """Everything that is wrong with a plan, at once. `mistakes` are sentences, `details` the same in parts."""

    def __init__(self, details: Iterable[Mistake], source: str = "") -> None:
        self.details = tuple(details)
        self.source = source
        prefix = f"{source}: " if source else ""
        self.mistakes = tuple(f"{prefix}{mistake}" for mistake in self.details)
        super().__init__("\n".join(self.mistakes))


def place(level: str, wall: str = "", opening: str = "") -> str:
    """The words that say where in a plan something is: `Level 2, wall B, opening D1`."""
    parts = [level]
    if wall:
        parts.append(f"wall {wall}")
    if opening:
        parts.append(f"opening {opening}")
    return ", ".join(parts)
