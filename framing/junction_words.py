"""What is said of junctions: the mistakes that stop a plan, and the cautions that stand beside its counts."""

from __future__ import annotations

from framing.length import Length, in_words, length_text
from framing.lines import Point
from framing.pieces import Caution
from framing.plan import Mistake, Wall, place


def _shown(point: Point) -> str:
    return f"({', '.join(length_text(part) for part in point)})"


def too_sharp(level: str, one: Wall, two: Wall) -> Mistake:
    """Two walls meet at less than 30 degrees."""
    return Mistake(
        place(level, two.mark),
        "from, to",
        f"{_shown(two.start)} to {_shown(two.end)}",
        f"meets wall {one.mark} at less than 30 degrees, where tracks cannot lap",
        "Turn one of the walls, or end it short of the other with a free end.",
    )


def meets_two(level: str, wall: Wall, field: str, at: Point, one: Wall, two: Wall) -> Mistake:
    """One place of a wall meets two walls that are not in line."""
    return Mistake(
        place(level, wall.mark),
        field,
        _shown(at),
        f"meets wall {one.mark} and wall {two.mark} at once",
        "Move the walls apart, or end this wall at one of them.",
    )


def unused_rule(level: str, marks: tuple[str, ...]) -> Mistake:
    """A plan's word on a junction that is none."""
    return Mistake(
        place(level),
        "junctions",
        " and ".join(marks),
        "do not meet at a corner or a cross",
        "Remove the junction or correct its marks.",
    )


def through_at_door(level: str, chosen: Wall, other: Wall) -> Caution:
    """A plan that runs the leg of a door corner through."""
    return Caution(
        "through at a door",
        f"{level}, walls {chosen.mark} and {other.mark}: the plan runs wall {chosen.mark} through although a door "
        "stands beside this corner in it. The leg beside the door should lap: its loose stud must stand in the leg. "
        "Check the junction.",
        (chosen.mark, other.mark),
    )


def snapped(level: str, one: Wall, two: Wall, gap: Length) -> Caution:
    """Ends drawn a little off the line that they are joined to."""
    return Caution(
        "snapped",
        f"{level}, walls {one.mark} and {two.mark}: drawn {in_words(gap)} off each other's line and joined. Check the "
        "drawing.",
        (one.mark, two.mark),
        by=gap,
    )


def near_miss(level: str, wall: Wall, end: int, other: Wall, clear: Length) -> Caution:
    """A free end close to another wall: a slip of the drawing, or a word of the plan that stands in the way."""
    where = f"{level}, wall {wall.mark}: its {('from', 'to')[end]} end"
    told = (
        f"{where} stops {in_words(clear)} from the steel of wall {other.mark} and is taken as free. Draw it on to that "
        "wall's line, or set this end to free."
        if clear
        else f"{where} touches wall {other.mark} but is not joined to it and is taken as free, for the plan says how "
        f"wall {other.mark} ends there. Set this end to free or structure too, or leave out that word."
    )
    return Caution("near miss", told, (wall.mark, other.mark), by=clear)
