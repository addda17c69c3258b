"""Openings beside corners, tees and ends: is there room for the studs that must stand between?

Common practice, no source. A door corner's leg holds slot, loose stud, a board's space and the door stud, clear of
the crossing wall's steel; beside a tee the stem holds slot and one stud flange; in the wall that runs through a corner
an opening stays clear of the other's board.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from framing.joints import LAP, STEM, THROUGH, WallEnd
from framing.length import Length, in_words, length_text
from framing.pieces import Caution
from framing.plan import DOOR, LEFT, RIGHT, Opening, Wall, place
from framing.practice import FramingPractice
from framing.runs import Frame


def leg_needs(wall: Wall, slot: Length) -> Length:
    """Clear length of a door corner's leg beyond the crossing steel: two stud flanges, the slot and one board."""
    boards = wall.type.left + wall.type.right
    return 2 * wall.type.stud.flange + slot + max((board.thickness for board in boards), default=0)


def opening_cautions(level: str, frame: Frame, walls: tuple[Wall, ...], practice: FramingPractice) -> Iterator[Caution]:
    """Every opening of one wall that leaves too little room for its studs, with the missing inches and the cure."""
    for run in frame.runs:
        inside = [
            opening for opening in frame.openings if frame.far(opening) > run.start and frame.at(opening) < run.end
        ]
        if not inside:
            continue
        for which, opening in ((0, inside[0]), (1, inside[-1])):
            yield from _at_end(level, frame, run.ends()[which], which, opening, walls, practice)
    flange = frame.wall.type.stud.flange
    for near, far in pairwise(frame.openings):
        short = near.far + 2 * flange - far.at
        if short > 0:
            yield Caution(
                "openings close together",
                f"{place(level, frame.wall.mark, far.mark)}: stands {length_text(far.at - near.far)} from opening "
                f"{near.mark}, and two jamb studs need {length_text(2 * flange)}. Move one by {length_text(short)} "
                "or frame them as one opening.",
                (frame.wall.mark,),
                far.mark,
                short,
            )


def _at_end(
    level: str,
    frame: Frame,
    run_end: tuple[Length, int, WallEnd],
    which: int,
    opening: Opening,
    walls: tuple[Wall, ...],
    practice: FramingPractice,
) -> Iterator[Caution]:
    track_end, _, end = run_end
    flange, half = frame.wall.type.stud.flange, frame.half
    jamb = frame.at(opening) if which == 0 else frame.far(opening)
    from_track = (jamb - track_end) * (1 if which == 0 else -1)
    if end.role == LAP:
        need = leg_needs(frame.wall, end.slot)
        clear = from_track - max(end.flanges_back(half)) + end.slot
        kind = "short leg" if opening.kind == DOOR else "opening beside a corner"
        words = "two stud flanges, the slot and a board"
    elif end.role == STEM:
        clear, need = from_track + end.slot, end.slot + flange
        kind = "door beside a tee" if opening.kind == DOOR else "opening beside a tee"
        words = "the slot and one stud flange"
    elif end.role == THROUGH:
        clear = from_track - end.outward(half) - end.face_of_steel(half)
        need = _board_in_corner(which, walls[end.other], end)
        kind, words = "opening beside a corner", f"the board of wall {walls[end.other].mark}"
        if 2 * flange - from_track > need - clear:
            clear, need, words = from_track, 2 * flange, "two stud flanges from the outer corner"
    else:
        clear, need = from_track, 2 * flange
        kind, words = "opening beside an end", "two stud flanges"
    short = need - clear
    if short <= 0:
        if end.role == STEM and from_track < 2 * flange:
            yield _one_stud_for_two(level, frame.wall, opening, from_track, walls[end.other])
        return
    beside = f" of wall {walls[end.other].mark}" if end.role in (LAP, STEM, THROUGH) else ""
    what = "the crossing steel" + beside if beside else "the wall's end"
    yield Caution(
        kind,
        f"{place(level, frame.wall.mark, opening.mark)}: {in_words(clear)} clear of {what}, where {in_words(need)} is "
        f"needed ({words}): short by {in_words(short)}. {_cure(frame.wall, opening, short if which == 0 else -short)}",
        (frame.wall.mark,) if not beside else (frame.wall.mark, walls[end.other].mark),
        opening.mark,
        short,
    )


def _one_stud_for_two(level: str, wall: Wall, opening: Opening, room: Length, through: Wall) -> Caution:
    flange = wall.type.stud.flange
    return Caution(
        "one stud for two",
        f"{place(level, wall.mark, opening.mark)}: the {in_words(room)} of track between it and the slot at wall "
        f"{through.mark} hold one stud of {length_text(flange)}: the loose stud serves the jamb too, and one is "
        f"counted. For a stud of its own move the opening by {in_words(2 * flange - room)}.",
        (wall.mark, through.mark),
        opening.mark,
        2 * flange - room,
    )


def _board_in_corner(which: int, lapping: Wall, end: WallEnd) -> Length:
    """The lapping wall's board that butts the through wall's inside face, measured along the through wall."""
    is_its_end = 2 * end.other_at > lapping.length
    looks_left = (end.inside == LEFT) == (is_its_end == (which == 0))
    layers = lapping.type.layers(LEFT if looks_left else RIGHT)
    return end.turn.over_sin(sum(board.thickness for board in layers))


def _cure(wall: Wall, opening: Opening, by: Length) -> str:
    moved = opening.at + by
    if moved < 0 or moved + opening.width > wall.length:
        return "Narrow the opening or lengthen the wall."
    return f"Move the opening to {in_words(moved)} from the wall's start, or narrow it."
