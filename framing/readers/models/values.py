"""What a building model or a drawing says of its walls, before any of it becomes a plan.

The readers of models fill these values and `plan` makes a plan of them. Lengths are millimetres as doubles, for
that is what models hold; `exact` makes exact lengths of them, in one place. Along a wall `u` runs in its
direction from its own origin, `v` to its left, heights upward from its own base.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from framing.pieces import Caution
from framing.plan import Plan


class NotTaken(Exception):
    """Why one element cannot be taken: the middle of a sentence that starts with the element."""


def printable(text: object, most: int = 120) -> str:
    """A file's own word as it can be shown: on one line, without control characters, not too long."""
    return "".join(letter if letter.isprintable() else "\ufffd" for letter in str(text))[:most]


def damage(error: Exception) -> str:
    """What went wrong in a damaged file, in words for a sentence."""
    if isinstance(error, AttributeError | TypeError | LookupError):
        return "a value is missing or of the wrong kind"
    if isinstance(error, ArithmeticError):
        return "a number is out of all bounds"
    if isinstance(error, RecursionError):
        return "it is nested too deeply"
    return printable(" ".join(str(error).split())) or "it cannot be followed"


def damaged_file(name: str, errors: Sequence[str]) -> tuple[Caution, ...]:
    """One caution for all that a parser complained of and read on."""
    if not errors:
        return ()
    number = "1 error" if len(errors) == 1 else f"{len(errors)} errors"
    text = (
        f"{name}: the file has {number} of its own (the first: {printable(errors[0], 160)}). What they hide is not "
        "counted and cannot be listed. Save it again at its source."
    )
    return (Caution("damaged file", text, ()),)


class Vec(NamedTuple):
    """A point or a direction of the plan, mm."""

    x: float
    y: float


@dataclass(frozen=True, slots=True)
class LeftOut:
    """An element that was not taken: its id in the file, what it is, and why."""

    id: str
    what: str
    reason: str


@dataclass(frozen=True, slots=True)
class ModelLayer:
    """One layer of a wall: `middle` is its v; `start` and `end` the u of the body's ends on that line."""

    name: str
    thickness: float
    middle: float
    start: float
    end: float


@dataclass(frozen=True, slots=True)
class ModelOpening:
    """An opening in a wall: `start` to `end` along u, `sill` to `top` above the wall's base.

    `hinge` is "low" or "high" u where the model tells; `swing` "left" or "right".
    """

    id: str
    kind: str
    start: float
    end: float
    sill: float
    top: float
    hinge: str = ""
    swing: str = ""

    @property
    def area(self) -> float:
        return (self.end - self.start) * (self.top - self.sill)


@dataclass(frozen=True, slots=True)
class Stated:
    """Quantities that the file itself states of a wall, mm and mm², and the set they come from."""

    length: float | None = None
    height: float | None = None
    width: float | None = None
    net_area: float | None = None
    source: str = ""


@dataclass(frozen=True, slots=True)
class ModelJoint:
    """The file's own word that a wall's end (0 low u, 1 high u) meets another wall."""

    end: int
    other: str


@dataclass(frozen=True, slots=True)
class ModelWall:
    """One straight wall. `origin` and `direction` (a unit vector) place u and v; `right` < `left` are its faces' v.

    `base` is above the floor of `level`; `height_start` and `height_end` differ where the top is raked.
    `storey` is the level that the file puts the wall in, if another.
    """

    id: str
    what: str
    tag: str
    type_name: str
    flags: tuple[str, ...]
    level: str
    origin: Vec
    direction: Vec
    start: float
    end: float
    right: float
    left: float
    base: float
    height_start: float
    height_end: float
    layers: tuple[ModelLayer, ...] = ()
    openings: tuple[ModelOpening, ...] = ()
    joints: tuple[ModelJoint, ...] = ()
    stated: Stated = Stated()
    materials: tuple[str, ...] = ()
    fire_rated: bool = False
    notes: tuple[tuple[str, str], ...] = ()
    """Cautions about this wall as (kind, sentence's middle)."""

    @property
    def length(self) -> float:
        return self.end - self.start

    @property
    def thickness(self) -> float:
        return self.left - self.right

    @property
    def height(self) -> float:
        return max(self.height_start, self.height_end)

    @property
    def net_area(self) -> float:
        """One side's area less the openings, mm²."""
        gross = self.length * (self.height_start + self.height_end) / 2
        return gross - sum(opening.area for opening in self.openings)

    @property
    def whole(self) -> ModelLayer:
        """The whole wall as one layer, for walls without layers of their own."""
        return ModelLayer("", self.thickness, (self.left + self.right) / 2, self.start, self.end)

    def layer(self, number: int) -> ModelLayer:
        """Layer by its number from 1; 0 is the whole wall."""
        return self.whole if number == 0 else self.layers[number - 1]

    def at(self, u: float, v: float) -> Vec:
        d = self.direction
        return Vec(self.origin.x + d.x * u - d.y * v, self.origin.y + d.y * u + d.x * v)

    def along(self, point: Vec) -> float:
        return (point.x - self.origin.x) * self.direction.x + (point.y - self.origin.y) * self.direction.y

    def beside(self, point: Vec) -> float:
        return (point.y - self.origin.y) * self.direction.x - (point.x - self.origin.x) * self.direction.y


@dataclass(frozen=True, slots=True)
class ModelLevel:
    """A level's name and the height of its floor, mm, in the file's own system."""

    name: str
    floor: float


@dataclass(frozen=True, slots=True)
class Model:
    """Everything that a reader of models found in one file."""

    name: str
    kind: str  # "IFC2X3", "IFC4", "DXF R2018" ...
    unit: str  # as the file says it
    is_imperial: bool
    levels: tuple[ModelLevel, ...]
    walls: tuple[ModelWall, ...]
    elements: int
    """How many elements the file calls walls, taken or not."""

    left_out: tuple[LeftOut, ...] = ()
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True)
class Source:
    """What the file says of one wall of the plan: its id there, what it states, what its own geometry measures."""

    id: str
    stated: Stated
    length: float
    height: float
    width: float
    net_area: float


@dataclass(frozen=True, slots=True)
class Imported:
    """A model as a plan. `sources` by (level, mark); cautions by level name, "" for the whole file."""

    plan: Plan
    kind: str
    unit: str
    types_from: str
    elements: int
    left_out: tuple[LeftOut, ...]
    sources: dict[tuple[str, str], Source] = field(default_factory=dict)
    cautions: dict[str, tuple[Caution, ...]] = field(default_factory=dict)


def unit_vector(x: float, y: float) -> Vec:
    """Direction of (x, y). Raises NotTaken where there is none."""
    size = math.hypot(x, y)
    if not size > 0 or not math.isfinite(size):
        raise NotTaken("has no direction in plan")
    return Vec(x / size, y / size)
