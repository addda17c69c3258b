"""The details of a level: one drawing for all junctions that are made alike."""

from __future__ import annotations

from dataclasses import dataclass

from framing.drawing.detail import FIGURE, HEAD, NOTES, detail_figure, head
from framing.drawing.detail_notes import Notes, notes_of, title_of
from framing.drawing.drawn import DrawnLevel
from framing.drawing.meeting_parts import Met, key_of, meetings_of
from framing.drawing.shapes import Drawing, Group, Pad

_BETWEEN = 6.0


@dataclass(frozen=True, slots=True)
class Detail:
    """One detail: its number on the plan (0: on none), the junction it is drawn for, and the others made alike."""

    number: int
    drawn: Met
    same: tuple[Met, ...]
    other_hand: tuple[Met, ...]

    @property
    def all(self) -> tuple[Met, ...]:
        return (self.drawn, *self.same, *self.other_hand)


def details_of(level: DrawnLevel) -> list[Detail]:
    """Every junction of the level in exactly one detail, in the order in which they first appear."""
    alike: dict[object, list[tuple[Met, int]]] = {}
    for met in meetings_of(level):
        key, hand = key_of(met)
        alike.setdefault(key, []).append((met, hand))
    found = []
    for number, own in enumerate(alike.values(), 1):
        drawn, hand = own[0]
        same = tuple(met for met, other in own[1:] if other == hand)
        other_hand = tuple(met for met, other in own[1:] if other != hand)
        found.append(Detail(number, drawn, same, other_hand))
    return found


def detail_drawing(detail: Detail, level: DrawnLevel) -> Drawing:
    """The figure of a detail with its words beside it."""
    met = detail.drawn
    shapes, height, scale = detail_figure(met, level)
    pad = Pad()
    width = FIGURE + _BETWEEN + NOTES
    title = title_of(met)
    walls = " and ".join(met.junction.walls)
    called = f"Detail {detail.number}: {title}" if detail.number else f"{title}: {walls}"
    head(pad, str(detail.number or ""), title if detail.number else called, scale, width, is_metric=level.is_metric)
    pad.add([Group("figure", tuple(shapes))], 0.0, HEAD)
    notes = Notes(FIGURE + _BETWEEN, HEAD, NOTES)
    notes_of(met, level, detail.same, detail.other_hand, notes)
    pad.add(notes.pad.shapes)
    told = (
        f"{called}, seen from above, {scale.words}, drawn for {walls}. "
        f"{met.junction.because[:1].upper()}{met.junction.because[1:]}."
    )
    bottom = max(HEAD + height, notes.y + 3)
    name = f"detail-{detail.number}" if detail.number else f"detail-at-{met.number}"
    return Drawing(name, called, told, width, bottom, tuple(pad.shapes), scale.words)
