"""Cut cards: each piece of track as a strip to scale, flattened, with its cuts measured from its `from` end.

A strip is seen from above as the piece lies in the wall, its `from` end at the left and its left flange at the top.
What is cut away is hatched.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from framing.drawing.drawn import DrawnLevel, DrawnWall
from framing.drawing.hatch import hatched
from framing.drawing.lettering import MM_PER_POINT, clipped, say, say_inches, span
from framing.drawing.marks import dimension, ring, ring_size, spread
from framing.drawing.paper import Scale, fitting, scale_bar
from framing.drawing.places import flange_back, pins_of, shared_pins
from framing.drawing.shapes import FINE_LINE, HIDDEN, LINE, Box, Drawing, Pad, Pen
from framing.joints import AT_STRUCTURE, FREE_END, IN_LINE, LAP, STEM, THROUGH, WallEnd
from framing.length import Length
from framing.pieces import Cut, TrackPiece
from framing.plan import LEFT, RIGHT

_LABEL = 34.0
_SIZE = 6.5
_ROW_WORDS = {"bottom": "bottom track", "top": "top track", "head": "head track", "sill": "sill track"}


def card_scale(level: DrawnLevel, width: float) -> Scale:
    """One scale for all cards of a level: that of its longest piece."""
    pieces = [piece for wall in level.walls for piece in wall.track]
    longest = max((piece.length for piece in pieces), default=1)
    return fitting(longest, 1, (width - _LABEL - 4, 1000.0), is_metric=level.is_metric, largest=8)


def cut_card(wall: DrawnWall, name: str, piece: TrackPiece, level: DrawnLevel, width: float, scale: Scale) -> Drawing:
    """The card of one piece, `width` mm wide."""
    card = _Card(wall, name, piece, level, scale)
    pad = Pad()
    bottom = card.draw(pad)
    pad.line((0, bottom + 1.6), (width, bottom + 1.6), pen=Pen(0.12))
    return Drawing(
        f"{wall.mark}-{name}",
        f"Wall {wall.mark}: {name}",
        card.told(),
        width,
        bottom + 2.4,
        tuple(pad.shapes),
        scale.words,
    )


def cards_head(scale: Scale, width: float, *, is_metric: bool) -> Drawing:
    """What all cards have in common: how they are seen, and the scale."""
    pad = Pad()
    pad.text(0, 4.2, "Cut cards", 8.5, bold=True)
    left = scale_bar(pad, width, 4.2, scale, is_metric=is_metric)
    said = pad.text(left - 2.5, 4.2, scale.words, _SIZE, "end")
    words = (
        "flattened, as seen from above in the wall, from end at the left; L left flange, R right flange; "
        "hatched: cut away; figures from the from end"
    )
    pad.text(17, 4.2, clipped(words, said.box().left - 20, _SIZE), _SIZE)
    return Drawing("cards-head", "Cut cards", words, width, 6.4, tuple(pad.shapes), scale.words)


@dataclass(frozen=True, slots=True)
class _Card:
    wall: DrawnWall
    name: str
    piece: TrackPiece
    level: DrawnLevel
    scale: Scale

    def told(self) -> str:
        ends = "; ".join(f"{end} end {words}" for end, words in zip(("from", "to"), self.ends(), strict=True))
        length = self.say(self.piece.length)
        return f"Wall {self.wall.mark}, {_ROW_WORDS[self.piece.row]} {self.name}, {length} long: {ends}."

    def say(self, length: Length) -> str:
        return say(length, is_metric=self.level.is_metric)

    def tape(self, length: Length) -> str:
        return say_inches(length, is_metric=self.level.is_metric)

    def x(self, at: Length) -> float:
        return _LABEL + self.scale.mm(at)

    def draw(self, pad: Pad) -> float:
        """Label, end words, strip, figures. Returns the y under all of them."""
        web, flange = self.scale.mm(self.wall.wall.type.track.web), self.scale.mm(self.wall.wall.type.track.flange)
        left_marks, right_marks = self.marks(LEFT), self.marks(RIGHT)
        top = 4.2 + (4.4 if left_marks != right_marks and left_marks else 0.0)
        bands = (top, top + flange, top + flange + web, top + 2 * flange + web)
        self._ends(pad)
        pad.group("strip", self.told(), self._strip(bands).shapes)
        if top > 4.2:
            _marks(pad, [(self.x(at), self.tape(at)) for at in left_marks], bands[0], above=True)
        y = bands[3]
        if right_marks:
            _marks(pad, [(self.x(at), self.tape(at)) for at in right_marks], y, above=False)
            y += 4.6
        y += 3.4
        length = self.piece.length
        words = (
            self.say(length) if self.tape(length) == self.say(length) else f"{self.say(length)}  ({self.tape(length)})"
        )
        dimension(pad, self.x(0), self.x(length), y, words)
        return max(y + 1.0, self._label(pad, words))

    def _label(self, pad: Pad, length: str) -> float:
        wide, high = ring_size(self.wall.mark, 7.5)
        y = high + 0.4
        pad.add(ring(wide, y, self.wall.mark, 7.5, LINE))
        pad.text(2 * wide + 1.6, y + 1.2, self.name, 10, bold=True)
        for words in (_ROW_WORDS[self.piece.row], self.wall.wall.type.track.designator, length):
            y += _SIZE * MM_PER_POINT * 1.35 + (1.6 if words == _ROW_WORDS[self.piece.row] else 0.0)
            pad.text(0, y + 1.2, words, _SIZE, bold=words == length)
        return y + 1.6

    def marks(self, side: str) -> list[Length]:
        """Where one flange is cut, and both where a piece is bent, from the `from` end."""
        low, high = flange_back(self.piece.from_end, side), self.piece.length - flange_back(self.piece.to_end, side)
        found = [low or self.piece.from_end.bend, high - (self.piece.to_end.bend if high == self.piece.length else 0)]
        return sorted({at for at in found if 0 < at < self.piece.length})

    def _strip(self, bands: Sequence[float]) -> Pad:
        pad = Pad()
        length = self.piece.length
        for side, low, high in ((LEFT, bands[0], bands[1]), (RIGHT, bands[2], bands[3])):
            start, end = flange_back(self.piece.from_end, side), length - flange_back(self.piece.to_end, side)
            pad.box(Box(self.x(start), low, self.x(end), high), LINE)
            for first, last in ((0, start), (end, length)):
                if last > first:
                    _waste(pad, Box(self.x(first), low, self.x(last), high))
            pad.text(self.x(start) + 0.9, (low + high) / 2 + 0.6, side[0].upper(), 4.5)
        left, right = bands[1], bands[2]
        from_end, to_end = self.piece.from_end, self.piece.to_end
        corners = [
            (self.x(from_end.left_bevel), left),
            (self.x(length - to_end.left_bevel), left),
            (self.x(length - to_end.right_bevel), right),
            (self.x(from_end.right_bevel), right),
        ]
        pad.area(corners, LINE)
        for at, cut in ((0, from_end), (length, to_end)):
            self._bevel(pad, at, cut, left, right)
            if cut.bend:
                x = self.x(cut.bend if at == 0 else length - cut.bend)
                pad.line((x, bands[0]), (x, bands[1]), pen=LINE)
                pad.line((x, left), (x, right), pen=HIDDEN)
                pad.line((x, bands[2]), (x, bands[3]), pen=LINE)
        if self.piece.row in ("bottom", "top"):
            from_pin = self.level.fastening.get("pin_from_end", 0)
            for place in pins_of(self.piece, from_pin, shared_pins(self.piece)):
                x, y = self.x(place), (left + right) / 2
                pad.line((x - 0.7, y), (x + 0.7, y))
                pad.line((x, y - 0.7), (x, y + 0.7))
        return pad

    def _bevel(self, pad: Pad, at: Length, cut: Cut, left: float, right: float) -> None:
        """The corner of the web that is snipped away."""
        sign = 1 if at == 0 else -1
        for bevel, y, other in ((cut.left_bevel, left, right), (cut.right_bevel, right, left)):
            if bevel:
                corners = [(self.x(at), y), (self.x(at + sign * bevel), y), (self.x(at), other)]
                pad.area(corners, HIDDEN)
                pad.add(hatched(corners, 45, 1.2))

    def ends(self) -> tuple[str, str]:
        """What is at each end, and how it is cut, in words."""
        row = [(name, piece) for name, piece in self.wall.named_track() if piece.row == self.piece.row]
        before = {piece.at + piece.length: name for name, piece in row}
        after = {piece.at: name for name, piece in row}
        start, end = self.piece.at, self.piece.at + self.piece.length
        return (
            self._end(self.piece.from_end, start, before.get(start, "")),
            self._end(self.piece.to_end, end, after.get(end, "")),
        )

    def _end(self, cut: Cut, at: Length, beside: str) -> str:
        if cut.bend:
            way = "down" if self.piece.row == "sill" else "up"
            return f"cut both flanges, bend web {way} {self.tape(cut.bend)}"
        if self.piece.row in ("head", "sill"):
            return f"square, butts {beside}" if beside else "square"
        frame = self.wall.frame
        joined = next((end for run in frame.runs for place, _, end in run.ends() if place == at), None)
        if joined is None:
            if beside:
                return f"square, splice to {beside}"
            jambs = (one.mark for one in frame.openings if at in (frame.at(one), frame.far(one)))
            return f"square, at {next(jambs, 'an opening')}"
        return self._joined(cut, joined)

    def _joined(self, cut: Cut, joined: WallEnd) -> str:
        other = self.level.walls[joined.other].mark if joined.other >= 0 else "the other wall"
        bevel = max(cut.left_bevel, cut.right_bevel)
        side = "left" if cut.left_bevel > cut.right_bevel else "right"
        snipped = f", {side} edge snipped back {self.tape(bevel)}" if bevel else ""
        if joined.role == LAP:
            lies = "under" if self.piece.row == "bottom" else "over"
            back = f"flanges back {self.tape(cut.left_back)}"
            if cut.left_back != cut.right_back:
                back = f"flanges back L {self.tape(cut.left_back)}, R {self.tape(cut.right_back)}"
            return f"tab {self.tape(cut.tab)} {lies} {other}, {back}{snipped}"
        words = {
            THROUGH: f"square, corner with {other}",
            STEM: f"square, one slot off {other}",
            IN_LINE: f"square, in line with {other}",
            FREE_END: "square, free end",
            AT_STRUCTURE: "square, at existing structure",
        }
        return words.get(joined.role, "square") + snipped

    def _ends(self, pad: Pad) -> None:
        """The two ends in words above the strip; the second on a line of its own ends where the card does."""
        start, end = (clipped(words, 100, _SIZE) for words in self.ends())
        right = max(self.x(self.piece.length), self.x(0) + span(start, _SIZE) + span(end, _SIZE) + 6)
        pad.text(self.x(0), 2.6, start, _SIZE)
        pad.text(right, 2.6, end, _SIZE, "end")


def _waste(pad: Pad, box: Box) -> None:
    pad.box(box, HIDDEN)
    corners = [(box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom)]
    pad.add(hatched(corners, 45, 1.2))


def _marks(pad: Pad, marks: Sequence[tuple[float, str]], y: float, *, above: bool) -> None:
    """Figures with a stroke to their places, moved apart where they would touch."""
    sign = -1 if above else 1
    widest = max(span(words, _SIZE) for _, words in marks)
    places = spread([x for x, _ in marks], widest + 1.2, _LABEL, 1000.0)
    for (x, words), place in zip(marks, places, strict=True):
        pad.line((x, y), (x, y + sign * 0.8), (place, y + sign * 1.8), pen=FINE_LINE)
        pad.text(place, y + (-2.2 if above else 4.0), words, _SIZE, "middle")
