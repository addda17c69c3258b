"""Elevations of a wall, true to scale, from its pieces: the steel once, and each layer of board of each face.

One drawing unit is one inch; x runs from the bottom track's start, y downwards from the wall's top. A face is drawn as
seen by someone who stands on its side: the left one therefore runs from the wall's `to` end to its `from` end.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from jobs.pages.printed import feet_inches
from jobs.selectors.wall_sheet import WallSheet

MARGIN = 14
# Letters and rings keep their size on the screen, whatever the length of the wall: in pixels.
LETTER, RING = 12, 11
WIDEST, LEAST_SCALE, MOST_SCALE = 1040, Fraction(8, 5), Fraction(16, 5)
# Flange width in 1/100 in stands before the dash of the open designator; drawn as 1 1/4 in, the width of most.
STUD_WIDTH = Fraction(5, 4)
TRACK_LEG = Fraction(5, 4)
LETTERS = {"end": "E", "corner": "C", "loose": "L", "door": "D", "jamb": "J", "cripple": "K", "backing": "B"}


@dataclass(frozen=True, slots=True)
class Shape:
    """A rectangle, or a line where width or height is 0, with a class of the style sheet."""

    kind: str
    x: str
    y: str
    width: str
    height: str
    x2: str
    y2: str


@dataclass(frozen=True, slots=True)
class Word:
    """Letters at a point; `ringed` ones stand in a circle."""

    text: str
    x: str
    y: str
    baseline: str
    anchor: str = "middle"
    ringed: bool = False


@dataclass(frozen=True, slots=True)
class Elevation:
    """One drawing: its frame, its shapes and words, and what it shows in a sentence for those who do not see it."""

    title: str
    told: str
    view: str
    width: int
    letter: str
    ring: str
    shapes: tuple[Shape, ...]
    words: tuple[Word, ...]
    letters: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where the wall lies on the paper. `flip` mirrors it for whoever looks from the left."""

    start: Fraction
    length: Fraction
    height: Fraction
    flip: bool

    @property
    def scale(self) -> Fraction:
        """Pixels an inch."""
        return min(MOST_SCALE, max(LEAST_SCALE, WIDEST / (self.length + 2 * MARGIN)))

    @property
    def letter(self) -> Fraction:
        return LETTER / self.scale

    @property
    def ring(self) -> Fraction:
        return RING / self.scale

    def x(self, at: Fraction, width: Fraction = Fraction(0)) -> Fraction:
        return self.start + self.length - at - width if self.flip else at

    def rect(self, kind: str, at: Fraction, bottom: Fraction, width: Fraction, height: Fraction) -> Shape:
        x, y = self.x(at, width), self.height - bottom - height
        return Shape(kind, _print(x), _print(y), _print(width), _print(height), _print(x + width), _print(y + height))

    def line(self, kind: str, at: Fraction, bottom: Fraction, to: Fraction, top: Fraction) -> Shape:
        x, y, x2, y2 = self.x(at), self.height - bottom, self.x(to), self.height - top
        return Shape(kind, _print(x), _print(y), "0", "0", _print(x2), _print(y2))

    def word(self, text: str, at: Fraction, bottom: Fraction, anchor: str = "middle", ringed: bool = False) -> Word:
        y = self.height - bottom
        turned = {"start": "end", "end": "start"}.get(anchor, anchor) if self.flip else anchor
        return Word(text, _print(self.x(at)), _print(y), _print(y + self.letter * Fraction(35, 100)), turned, ringed)


def _print(value: Fraction) -> str:
    return f"{round(value * 100) / 100:.2f}".rstrip("0").rstrip(".")


def elevations(sheet: WallSheet, metric: bool = False) -> tuple[Elevation, ...]:
    """The drawings there are pieces for: the steel, then the board of each face and layer."""
    say = _sayer(metric)
    found = [_steel(sheet, say)] if sheet.studs else []
    sides = sorted({(piece["face"], piece["layer"]) for piece in sheet.sheets if piece["face"] in {"left", "right"}})
    return (*found, *(_board(sheet, face, layer, say) for face, layer in sides))


def _sayer(metric: bool) -> Callable[[Fraction], str]:
    return lambda inches: feet_inches(str(inches), metric)


def _number(value: Any) -> Fraction:
    return Fraction(str(value or 0))


def _frame(sheet: WallSheet, pieces: Sequence[dict[str, Any]], long: str, flip: bool) -> _Frame:
    track = _number(sheet.geometry.get("track_length"))
    start = min([Fraction(0), *(_number(piece["at"]) for piece in pieces)])
    end = max([track, *(_number(piece["at"]) + _number(piece[long]) for piece in pieces)])
    return _Frame(start, end - start, _number(sheet.geometry.get("height_in")), flip)


def _drawn(
    frame: _Frame, title: str, told: str, shapes: Iterable[Shape], words: Iterable[Word], above: Fraction, **more: Any
) -> Elevation:
    width = frame.length + 2 * MARGIN
    height = frame.height + MARGIN + above + 6 * frame.letter
    view = f"{_print(frame.start - MARGIN)} {_print(-MARGIN - above)} {_print(width)} {_print(height)}"
    return Elevation(
        title,
        told,
        view,
        int(width * frame.scale),
        _print(frame.letter),
        _print(frame.ring),
        tuple(shapes),
        tuple(words),
        **more,
    )


def _openings(sheet: WallSheet, frame: _Frame, say: Callable[[Fraction], str]) -> tuple[list[Shape], list[Word]]:
    """Each opening with its diagonals, its mark in a ring, its size, and where its jambs stand along the floor."""
    shapes, words = [], []
    for opening in sheet.geometry.get("openings", ()):
        at, width = _number(opening["at_in"]), _number(opening["width_in"])
        sill, height = _number(opening["sill_in"]), _number(opening["height_in"])
        shapes += [
            frame.rect("gap", at, sill, width, height),
            frame.line("thin", at, sill, at + width, sill + height),
            frame.line("thin", at, sill + height, at + width, sill),
        ]
        short = str(opening["mark"]).removeprefix(f"{sheet.mark}-")
        middle = at + width / 2
        words += [
            frame.word(short, middle, sill + height - frame.ring * Fraction(3, 2), ringed=True),
            frame.word(say(width), middle, sill + height - frame.ring * Fraction(10, 3)),
            frame.word(f"× {say(height)}", middle, sill + height - frame.ring * Fraction(14, 3)),
        ]
        # Two rows, so that the far jamb of one and the near jamb of the next do not run into each other.
        for edge, row in ((at, 1), (at + width, 2)):
            low = -frame.letter * Fraction(5, 4) * row
            words.append(frame.word(say(edge), edge + 2, low, "start"))
            shapes.append(frame.line("thin", edge, low - frame.letter / 2, edge, Fraction(0)))
    return shapes, words


def _overall(frame: _Frame, long: Fraction, said: str) -> tuple[list[Shape], list[Word]]:
    """The floor, and the length along it with a tick at each end."""
    low = -frame.letter * Fraction(7, 2)
    shapes = [
        frame.line("floor", frame.start - 6, Fraction(0), frame.start + frame.length + 6, Fraction(0)),
        frame.line("thin", Fraction(0), low, long, low),
        *(
            frame.line("thin", edge, low - frame.letter / 4, edge, low + frame.letter / 4)
            for edge in (Fraction(0), long)
        ),
    ]
    return shapes, [frame.word(said, long / 2, low - frame.letter)]


def _steel(sheet: WallSheet, say: Callable[[Fraction], str]) -> Elevation:
    frame = _frame(sheet, sheet.track, "length", flip=False)
    track = _number(sheet.geometry.get("track_length"))
    gaps, gap_words = _openings(sheet, frame, say)
    lines, line_words = _overall(frame, track, f"bottom track {say(track)}")
    shapes = [*gaps]
    for stud in sheet.studs:
        kind = "stud dashed" if stud["role"] == "loose" else "stud"
        at, length = _number(stud["at"]) - STUD_WIDTH / 2, _number(stud["length"])
        shapes.append(frame.rect(kind, at, _number(stud.get("bottom")), STUD_WIDTH, length))
    for piece in sheet.track:
        if piece["row"] in {"bottom", "top"}:
            bottom = Fraction(0) if piece["row"] == "bottom" else frame.height - TRACK_LEG
            shapes.append(frame.rect("track", _number(piece["at"]), bottom, _number(piece["length"]), TRACK_LEG))
    rings, above = _stud_letters(sheet.studs, frame)
    used = [(LETTERS[role], role) for role in LETTERS if any(stud["role"] == role for stud in sheet.studs)]
    size = f"track {say(track)} long, {say(frame.height)} high"
    told = f"Elevation of the steel of wall {sheet.mark}: {len(sheet.studs)} studs, {size}."
    return _drawn(
        frame,
        "Steel, seen from the right face",
        told,
        [*shapes, *lines],
        [*gap_words, *line_words, *rings],
        above,
        letters=tuple(used),
    )


def _stud_letters(studs: Sequence[dict[str, Any]], frame: _Frame) -> tuple[list[Word], Fraction]:
    """A ringed letter over studs that are no layout studs or cripples, moved up where two touch; the room it takes."""
    lettered = (stud for stud in studs if stud["role"] in LETTERS and stud["role"] != "cripple")
    marked = sorted((_number(stud["at"]), LETTERS[stud["role"]]) for stud in lettered)
    step = 2 * frame.ring + 1
    last: list[Fraction] = []
    words = []
    for at, letter in marked:
        row = next((nth for nth, before in enumerate(last) if at - before > step), len(last))
        last[row : row + 1] = [at]
        words.append(frame.word(letter, at, frame.height + frame.ring + 2 + row * step, ringed=True))
    return words, max(Fraction(0), len(last) * step + 3 - MARGIN)


def _board(sheet: WallSheet, face: str, layer: int, say: Callable[[Fraction], str]) -> Elevation:
    pieces = [piece for piece in sheet.sheets if (piece["face"], piece["layer"]) == (face, layer)]
    frame = _frame(sheet, pieces, "width", flip=face == "left")
    shapes = [
        frame.line(
            "hidden",
            _number(stud["at"]),
            _number(stud.get("bottom")),
            _number(stud["at"]),
            _number(stud.get("bottom")) + _number(stud["length"]),
        )
        for stud in sheet.studs
        if stud["role"] != "cripple"
    ]
    shapes += [
        frame.rect("board", *(_number(piece[part]) for part in ("at", "bottom", "width", "height"))) for piece in pieces
    ]
    gaps, gap_words = _openings(sheet, frame, say)
    track = _number(sheet.geometry.get("track_length"))
    lines, line_words = _overall(frame, track, f"bottom track {say(track)}")
    # Ringed numbers are those of the stock sheets: equal numbers are cut from one sheet.
    words = [
        frame.word(
            str(piece["sheet"]), _number(piece["at"]) + _number(piece["width"]) / 2, _above_doors(piece), ringed=True
        )
        for piece in pieces
        if min(_number(piece["width"]), _number(piece["height"])) > 2 * frame.ring
    ]
    ends = (
        "to end at the left, from end at the right" if face == "left" else "from end at the left, to end at the right"
    )
    told = f"Board of wall {sheet.mark}, {face} face, layer {layer}, in elevation: {len(pieces)} pieces; {ends}."
    return _drawn(
        frame,
        f"Board, {face} face, layer {layer}",
        told,
        [*shapes, *gaps, *lines],
        [*gap_words, *line_words, *words],
        Fraction(0),
    )


def _above_doors(piece: dict[str, Any]) -> Fraction:
    """Where a piece's number stands: near its top, clear of the openings; in the middle of a low piece."""
    height = _number(piece["height"])
    return _number(piece["bottom"]) + height * (Fraction(9, 10) if height > 60 else Fraction(1, 2))
