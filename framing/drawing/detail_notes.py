"""The words beside a detail: where it applies, how track is cut, which studs stand where, the order of hanging."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from framing.drawing.detail_figures import backs, cut_here
from framing.drawing.drawn import DrawnLevel
from framing.drawing.lettering import MM_PER_POINT, listed, say, say_inches, wrap
from framing.drawing.marks import ring, ring_size
from framing.drawing.meeting_parts import PAST, Met, Part
from framing.drawing.shapes import LINE, Circle, Pad, Path, Pen, Spot
from framing.drawing.steel_view import ROLE_LETTERS, ROLE_WORDS
from framing.joints import AT_STRUCTURE, CORNER, CROSS, DOOR_CORNER, FREE_END, IN_LINE, LAP, STEM, TEE
from framing.length import Length

TITLES = {
    CORNER: "Corner",
    DOOR_CORNER: "Door corner",
    TEE: "Tee",
    CROSS: "Cross",
    IN_LINE: "Walls in line",
    FREE_END: "Free end",
    AT_STRUCTURE: "End at existing structure",
}
_SIZE, _LEAD = 7.0, 7.0 * MM_PER_POINT * 1.28


def title_of(met: Met) -> str:
    """`Corner`, `Tee, 60 degrees`."""
    angle = angle_of(met)
    square = angle is None or abs(angle - 90) < 0.05
    return TITLES[met.junction.kind] + ("" if square else f", {f'{angle:.1f}'.removesuffix('.0')} degrees")


def angle_of(met: Met) -> float | None:
    """Degrees between the two walls, both walked away from where they meet; None for one wall or two in line."""
    if met.junction.kind in (IN_LINE, FREE_END, AT_STRUCTURE):
        return None
    (ax, ay), (bx, by) = met.parts[0].away(), met.parts[1].away()
    return math.degrees(math.acos(max(-1.0, min(1.0, ax * bx + ay * by))))


class Notes:
    """Lines set below one another in a column."""

    def __init__(self, x: float, y: float, width: float) -> None:
        self.pad = Pad()
        self.x, self.y, self.width = x, y, width

    def heading(self, words: str) -> None:
        self.y += 1.6 + _LEAD
        self.pad.text(self.x, self.y, words, _SIZE, bold=True)

    def text(self, words: str, indent: float = 0.0) -> None:
        for line in wrap(words, self.width - indent, _SIZE):
            self.y += _LEAD
            self.pad.text(self.x + indent, self.y, line, _SIZE)

    def ringed(self, mark: str, words: str) -> None:
        """Words behind a mark in a ring."""
        wide, high = ring_size(mark, _SIZE)
        self.y += 0.9
        self.pad.add(ring(self.x + wide, self.y + _LEAD - 0.9, mark, _SIZE))
        self.text(words, max(5.4, 2 * wide + 1.2))
        self.y += max(0.0, high - 1.2)


def notes_of(met: Met, level: DrawnLevel, same: Sequence[Met], other_hand: Sequence[Met], notes: Notes) -> None:
    """Write all that a detail says beside its figure."""
    _where(met, same, other_hand, notes)
    _cuts(met, level, notes)
    _studs(met, level, notes)
    _order(met, notes)
    _fasten(met, level, notes)
    if any(part.wall.wall.type.fire_rated for part in met.parts):
        notes.heading("Fire-rated")
        notes.text("The listed design of the assembly comes before this drawing, joints and fasteners included.")


def _where(met: Met, same: Sequence[Met], other_hand: Sequence[Met], notes: Notes) -> None:
    notes.text(
        f"Drawn for {_walls(met)}." + (f" Runs through: {met.junction.through}." if met.junction.through else "")
    )
    notes.text(f"{met.junction.because[:1].upper()}{met.junction.because[1:]}.")
    if same:
        notes.text(f"Also at {listed(_walls(one) for one in same)}.")
    if other_hand:
        notes.text(f"Other hand (seen in a mirror) at {listed(_walls(one) for one in other_hand)}.")


def _walls(met: Met) -> str:
    return " + ".join(met.junction.walls)


def _cuts(met: Met, level: DrawnLevel, notes: Notes) -> None:
    notes.heading("Track, both rows")
    for part in met.parts:
        notes.text(f"{part.wall.mark}, {part.wall.wall.type.track.designator}: {cut_words(part, level.is_metric)}.")
    if any(part.role == LAP for part in met.parts):
        notes.text("The tab lies under the other track at the floor and over it at the ceiling.")


def cut_words(part: Part, is_metric: bool) -> str:
    """How a track's end is cut, in words."""

    def told(length: Length) -> str:
        return say(length, is_metric=is_metric)

    if part.role == PAST:
        return "runs on"
    cut = cut_here(part)
    if cut is None:
        return "square end" if part.track else "no bottom track here"
    bevel = max(cut.left_bevel, cut.right_bevel)
    side = "left" if cut.left_bevel > cut.right_bevel else "right"
    snipped = f", {side} edge snipped back {told(bevel)}" if bevel else ""
    if cut.kind == "tab" and part.end is not None:
        outer, inner = backs(cut, part.end.inside)
        back = f"flanges back {told(outer)}"
        if outer != inner:
            back = f"left flange back {told(cut.left_back)}, right flange back {told(cut.right_back)}"
        return f"tab {told(cut.tab)}, {back}{snipped}"
    if part.role == STEM and part.end is not None:
        return f"square end, one slot ({told(part.end.slot)}) off the other wall's steel"
    return f"square end{snipped}"


def _studs(met: Met, level: DrawnLevel, notes: Notes) -> None:
    own = [(part, stud) for part in met.parts for stud in part.studs]
    if not own:
        return
    notes.heading("Studs")
    for part, stud in own:
        off = stud.at - part.place if part.inward >= 0 else part.place - stud.at
        where = f"middle {say(abs(off), is_metric=level.is_metric)} from the end of {part.wall.mark}'s track"
        if part.role == PAST:
            where = f"in wall {part.wall.mark}"
        last = ", screwed to the tracks last" if stud.role == "loose" else ""
        kind = f"{ROLE_WORDS[stud.role]} {part.wall.wall.type.stud.designator}"
        notes.ringed(ROLE_LETTERS[stud.role], f"{kind}, {where}, open side to its wall's {stud.opens} end{last}.")


def _order(met: Met, notes: Notes) -> None:
    if not met.ranks:
        return
    notes.heading("Order of hanging")
    for rank in sorted(set(met.ranks.values())):
        pieces = [words for part in met.parts for words in _hung(met, part, rank)]
        why = [
            f"after {listed(str(one) for one in before)}: {because}"
            for number, before, because in met.reasons
            if number == rank
        ]
        reason = f", {'; '.join(why)}" if why else ""
        if pieces:
            notes.ringed(str(rank), f"{listed(dict.fromkeys(pieces))}{reason}.")


def _hung(met: Met, part: Part, rank: int) -> Iterable[str]:
    at_floor = {step for _, _, _, steps in part.boards() for step in steps}
    for sheet in part.sheets():
        if met.ranks.get(sheet.step, 0) != rank:
            continue
        several = f", layer {sheet.layer}" if len(part.wall.layers(sheet.face)) > 1 else ""
        above = "" if sheet.step in at_floor else ", the piece above"
        yield f"{part.wall.mark} {sheet.face} face{several}{above}"


def _fasten(met: Met, level: DrawnLevel, notes: Notes) -> None:
    told = {name: say_inches(length, is_metric=level.is_metric) for name, length in level.fastening.items()}
    notes.heading("Fasteners")
    is_tied = any(part.role in (LAP, STEM) for part in met.parts)
    tie = f"; into the loose stud from behind, every {told.get('loose_stud_screw', '')}" if is_tied else ""
    angle = angle_of(met)
    if is_tied and angle is not None and abs(angle - 90) >= 0.05:
        tie += "; at this slant the board lies against one edge of it only"
    symbols: list[tuple[Sequence[Path | Circle], str]] = []
    if any(part.studs for part in met.parts):
        line, bar = Pen(LINE.width), Pen(0.5)
        symbols.append(
            (
                (Path((Spot(0.6, 0), Spot(4, 0)), line), Path((Spot(0.6, -0.9), Spot(0.6, 0.9)), bar)),
                f"board to stud, every {told.get('screw_end_edge', '')} here{tie}.",
            )
        )
        ends = "; the loose stud last, once board holds it" if is_tied else ""
        symbols.append(
            (
                (Path((Spot(0.6, 0), Spot(3.4, 0)), bar), Circle(Spot(3.4, 0), 0.35, None, "black")),
                f"stud to track, both rows, a screw through each flange{ends}.",
            )
        )
    lap = "; at the lap one pin holds both tracks" if any(part.role == LAP for part in met.parts) else ""
    ring_pen = Pen(0.25)
    cross = (
        Circle(Spot(2, 0), 1.0, ring_pen, "white"),
        Path((Spot(1, 0), Spot(3, 0)), ring_pen),
        Path((Spot(2, -1), Spot(2, 1)), ring_pen),
    )
    symbols.append((cross, f"pin, {told.get('pin_from_end', '')} from the end of a piece{lap}."))
    for shapes, words in symbols:
        notes.pad.add(shapes, notes.x, notes.y + _LEAD - 0.9)
        notes.text(words, 5.6)
        notes.y += 0.5
