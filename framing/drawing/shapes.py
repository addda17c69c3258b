"""A drawing as plain shapes on paper: lines, circles, letters, groups. SVG and PDF writers print the same shapes.

Everything here is in millimetres of paper, x to the right and y downwards from the upper left corner; letters are in
points. The engine's lengths stay exact until a scale puts them on paper as floats, and no count is read back from
here. Black on white alone: weights, dashes, hatching and words tell things apart, so that a photocopy loses nothing.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import NamedTuple, TypeAlias

from framing.drawing.lettering import MM_PER_POINT, span

THIN, MEDIUM, HEAVY = 0.18, 0.35, 0.6
"""The three line weights, in mm."""


class Spot(NamedTuple):
    """A place on paper, mm."""

    x: float
    y: float


NOWHERE = Spot(0.0, 0.0)
"""No move at all."""


class Box(NamedTuple):
    """A rectangle on paper, mm: left, top, right, bottom."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Box, gap: float = 0.0) -> bool:
        """Whether the two overlap, or come nearer to each other than `gap`."""
        return (
            self.left < other.right + gap
            and other.left < self.right + gap
            and self.top < other.bottom + gap
            and other.top < self.bottom + gap
        )

    def holds(self, other: Box) -> bool:
        return (
            self.left <= other.left
            and self.top <= other.top
            and other.right <= self.right
            and other.bottom <= self.bottom
        )

    def moved(self, dx: float, dy: float) -> Box:
        return Box(self.left + dx, self.top + dy, self.right + dx, self.bottom + dy)


@dataclass(frozen=True, slots=True)
class Pen:
    """A weight in mm and a dash pattern in mm; no dash is a full line."""

    width: float = THIN
    dash: tuple[float, ...] = ()


FINE_LINE, LINE, HEAVY_LINE = Pen(THIN), Pen(MEDIUM), Pen(HEAVY)
HIDDEN = Pen(THIN, (1.6, 0.9))


@dataclass(frozen=True, slots=True)
class Path:
    """Straight lines from spot to spot. `fill`: "", "white" or "black"."""

    spots: tuple[Spot, ...]
    pen: Pen | None = FINE_LINE
    is_closed: bool = False
    fill: str = ""


@dataclass(frozen=True, slots=True)
class Circle:
    middle: Spot
    radius: float
    pen: Pen | None = FINE_LINE
    fill: str = "white"


@dataclass(frozen=True, slots=True)
class Text:
    """Letters with their baseline at `at`. `turn`: degrees against the clock. `anchor`: start, middle or end."""

    at: Spot
    words: str
    size: float = 7.0
    anchor: str = "start"
    is_bold: bool = False
    turn: float = 0.0
    is_white: bool = False

    def corners(self) -> list[Spot]:
        """The four corners of the room that the letters fill, turned with them."""
        width = span(self.words, self.size, is_bold=self.is_bold)
        height = self.size * MM_PER_POINT
        left = {"start": 0.0, "middle": -width / 2, "end": -width}[self.anchor]
        top, foot = -0.76 * height, 0.22 * height
        sine, cosine = math.sin(math.radians(-self.turn)), math.cos(math.radians(-self.turn))
        upright = ((left, top), (left + width, top), (left + width, foot), (left, foot))
        return [Spot(self.at.x + x * cosine - y * sine, self.at.y + x * sine + y * cosine) for x, y in upright]

    def box(self) -> Box:
        """The upright rectangle around the letters."""
        xs, ys = zip(*self.corners(), strict=True)
        return Box(min(xs), min(ys), max(xs), max(ys))


@dataclass(frozen=True, slots=True)
class Group:
    """Shapes that are one thing. `kind` is what it is ("stud", "sheet", ...), `name` which one, said in words."""

    kind: str
    shapes: tuple[Shape, ...]
    name: str = ""
    by: Spot = NOWHERE


Shape: TypeAlias = Path | Circle | Text | Group


@dataclass(frozen=True, slots=True)
class Drawing:
    """Shapes on a piece of paper of `width` x `height` mm. `title` and `told` say what it shows to who cannot see it.

    `name`: a short name that is unlike every other drawing's of a level, for files and links.
    """

    name: str
    title: str
    told: str
    width: float
    height: float
    shapes: tuple[Shape, ...]
    scale: str = ""


@dataclass(slots=True)
class Pad:
    """Shapes in the making."""

    shapes: list[Shape] = field(default_factory=list)

    def line(self, *spots: tuple[float, float], pen: Pen = FINE_LINE) -> None:
        self.shapes.append(Path(tuple(Spot(*spot) for spot in spots), pen))

    def area(self, spots: Iterable[tuple[float, float]], pen: Pen | None = FINE_LINE, fill: str = "") -> None:
        self.shapes.append(Path(tuple(Spot(*spot) for spot in spots), pen, is_closed=True, fill=fill))

    def box(self, box: Box, pen: Pen | None = FINE_LINE, fill: str = "") -> None:
        left, top, right, bottom = box
        self.area(((left, top), (right, top), (right, bottom), (left, bottom)), pen, fill)

    def circle(self, x: float, y: float, radius: float, pen: Pen | None = FINE_LINE, fill: str = "white") -> None:
        self.shapes.append(Circle(Spot(x, y), radius, pen, fill))

    def text(
        self,
        x: float,
        y: float,
        words: str,
        size: float = 7.0,
        anchor: str = "start",
        *,
        bold: bool = False,
        turn: float = 0.0,
        white: bool = False,
    ) -> Text:
        text = Text(Spot(x, y), words, size, anchor, bold, turn, white)
        self.shapes.append(text)
        return text

    def group(self, kind: str, name: str, shapes: Iterable[Shape]) -> None:
        self.shapes.append(Group(kind, tuple(shapes), name))

    def add(self, shapes: Iterable[Shape], dx: float = 0.0, dy: float = 0.0) -> None:
        """Put shapes down, moved by `dx`, `dy`."""
        if dx or dy:
            self.shapes.append(Group("", tuple(shapes), "", Spot(dx, dy)))
        else:
            self.shapes.extend(shapes)


def walk(shapes: Sequence[Shape], dx: float = 0.0, dy: float = 0.0) -> Iterator[tuple[Shape, Spot]]:
    """Every shape that is no group, with how far the groups around it move it."""
    for shape in shapes:
        if isinstance(shape, Group):
            yield from walk(shape.shapes, dx + shape.by.x, dy + shape.by.y)
        else:
            yield shape, Spot(dx, dy)


def groups(shapes: Sequence[Shape], kind: str) -> Iterator[Group]:
    """Every group of one kind, however deep, moved to where it lies on the paper."""
    for shape in shapes:
        if isinstance(shape, Group):
            if shape.kind == kind:
                yield shape
            for inner in groups(shape.shapes, kind):
                yield replace(inner, by=Spot(inner.by.x + shape.by.x, inner.by.y + shape.by.y))


def arc(x: float, y: float, radius: float, start: float, sweep: float, steps: int = 24) -> list[tuple[float, float]]:
    """Spots along an arc about (x, y). Degrees, 0 to the right, growing with the clock on paper."""
    angles = (math.radians(start + sweep * step / steps) for step in range(steps + 1))
    return [(x + radius * math.cos(angle), y + radius * math.sin(angle)) for angle in angles]
