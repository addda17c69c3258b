"""What can be wrong with one wall by itself, as far as it could be read, and with a practice.

`unread` names the keys of a wall that could not be read: what rests on them is not looked at, everything else is, so
that all mistakes of a plan are told at once.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from framing.length import Length, length_text
from framing.limits import (
    HIGHEST_WALL,
    LEAST_STOCK,
    LONGEST_WALL,
    MOST_ALLOWED,
    MOST_COURSES,
    MOST_OPENINGS,
    most_courses,
)
from framing.plan import DOOR, Mistake, Opening, Wall, place
from framing.practice import HIGHEST_FINISH, FramingPractice

LINE = frozenset({"from", "to"})
HEIGHT = frozenset({"height", "height_from", "height_to"})
TYPE = "type"


@dataclass(frozen=True, slots=True)
class Sketch:
    """A wall as far as it could be read: harmless values stand in for the keys that `unread` names."""

    wall: Wall
    unread: frozenset[str] = frozenset()

    @property
    def has_line(self) -> bool:
        """Whether it can be told where it lies."""
        return not self.unread & LINE and self.wall.start != self.wall.end


def practice_mistakes(practice: FramingPractice) -> Iterator[Mistake]:
    """Allowances that contradict each other, or that are far from any that could be built."""
    for name in ("splice_shortest", "splice_clear"):
        least = getattr(practice, name)
        if practice.track_stock < 2 * least:
            yield Mistake(
                "practice",
                "track_stock",
                length_text(practice.track_stock),
                f"is under twice {name} ({length_text(least)}), so no run could be spliced",
                f"Set a longer stock or a smaller {name}.",
            )
    for name in ("track_stock", "stud_stock", "bead_stock"):
        stock = getattr(practice, name)
        for length in (stock,) if isinstance(stock, int) else stock:
            if length < LEAST_STOCK:
                yield Mistake(
                    "practice",
                    name,
                    length_text(length),
                    f"is shorter than any stock ({length_text(LEAST_STOCK)} at least)",
                    "Check the unit.",
                )
    if practice.finish_level > HIGHEST_FINISH:
        yield Mistake(
            "practice",
            "finish_level",
            str(practice.finish_level),
            f"is above the highest level of finish ({HIGHEST_FINISH})",
            "Write 0 to 5.",
        )
    for name in ("floor_gap", "slot", "bead_gap", "stud_short", "snap"):
        if getattr(practice, name) > MOST_ALLOWED:
            yield Mistake(
                "practice",
                name,
                length_text(getattr(practice, name)),
                f"is more than {length_text(MOST_ALLOWED)}, too much for an allowance",
                "Check the unit.",
            )


def wall_mistakes(sketch: Sketch, level: str, practice: FramingPractice) -> Iterator[Mistake]:
    """What is wrong with one wall by itself."""
    wall, unread = sketch.wall, sketch.unread
    if not unread & LINE:
        yield from _line_mistakes(wall, level)
    if not unread & HEIGHT and wall.highest > HIGHEST_WALL:
        yield Mistake(
            place(level, wall.mark),
            "height",
            length_text(wall.highest),
            f"is more than the {length_text(HIGHEST_WALL)} that a wall may be high here",
            "Check the unit, or draw it as walls above one another, each on its own level.",
        )
    elif not unread & HEIGHT and TYPE not in unread:
        yield from _height_mistakes(wall, level, practice)
    if TYPE not in unread and wall.type.stud.web != wall.type.track.web:
        yield Mistake(
            place(level, wall.mark),
            f"type {wall.type.name},",
            f"stud {wall.type.stud.designator} and track {wall.type.track.designator}",
            "differ in web",
            "Give stud and track the same web.",
        )
    yield from _opening_mistakes(sketch, level)


def _line_mistakes(wall: Wall, level: str) -> Iterator[Mistake]:
    where = place(level, wall.mark)
    line = line_shown(wall)
    if wall.start == wall.end:
        yield Mistake(where, "from, to", line, "leave a wall of no length", "Move one end.")
        return
    if wall.length > LONGEST_WALL:
        yield Mistake(
            where,
            "from, to",
            line,
            f"make a wall of {length_text(wall.length)}, over the {length_text(LONGEST_WALL)} that one may have",
            "Check the unit, or draw it as several walls in line.",
        )
    for extra in wall.extras:
        if extra.at < 0 or extra.at > wall.length:
            yield Mistake(
                where,
                f"extra {extra.kind}, at",
                length_text(extra.at),
                f"is not on the wall ({length_text(wall.length)} long)",
                "Move it.",
            )


def _height_mistakes(wall: Wall, level: str, practice: FramingPractice) -> Iterator[Mistake]:
    where = place(level, wall.mark)
    stud_top = wall.highest - wall.type.head_gap - practice.stud_short
    longest = max(practice.stud_stock)
    if stud_top > longest:
        yield Mistake(
            where,
            "height",
            length_text(wall.highest),
            f"needs a stud of {length_text(stud_top)}, and the longest stud in stock is {length_text(longest)}",
            "Lower the wall or add a length to practice.stud_stock.",
        )
    lowest = min(wall.height_from, wall.height_to)
    if lowest - wall.type.head_gap - practice.stud_short <= practice.floor_gap:
        yield Mistake(where, "height", length_text(lowest), "leaves no stud", "Raise it.")
    if most_courses(wall) > MOST_COURSES:
        yield Mistake(
            where,
            "height",
            length_text(wall.highest),
            f"takes {most_courses(wall)} rows of board one above another, more than {MOST_COURSES}",
            "Stock longer sheets, or let them stand.",
        )
    for face, own in (("left_height", wall.left_height), ("right_height", wall.right_height)):
        if own is not None and own <= wall.type.head_gap + practice.floor_gap:
            yield Mistake(
                where,
                face,
                length_text(own),
                f"leaves no board between the floor gap ({length_text(practice.floor_gap)}) and the head gap "
                f"({length_text(wall.type.head_gap)})",
                "Raise it, or give the wall a type whose face is open.",
            )
        if own is not None and own > wall.highest:
            yield Mistake(
                where,
                face,
                length_text(own),
                f"is above the wall's height of {length_text(wall.highest)}",
                "Lower the face or raise the wall.",
            )


def _opening_mistakes(sketch: Sketch, level: str) -> Iterator[Mistake]:
    wall = sketch.wall
    if len(wall.openings) > MOST_OPENINGS:
        yield Mistake(
            place(level, wall.mark),
            "openings",
            str(len(wall.openings)),
            f"are more than {MOST_OPENINGS} in one wall",
            "Check the list, or draw the wall as several in line.",
        )
    for opening in wall.openings:
        where = place(level, wall.mark, opening.mark)
        if opening.at < 0:
            yield Mistake(where, "at", length_text(opening.at), "lies before the wall's start", "Move it.")
        past = opening.far - wall.length
        if sketch.has_line and past > 0:
            yield Mistake(
                where,
                "at",
                f"{length_text(opening.at)} with width {length_text(opening.width)}",
                f"ends {length_text(past)} past the wall ({length_text(wall.length)})",
                "Move it or lengthen the wall.",
            )
        if opening.kind == DOOR and opening.sill:
            yield Mistake(
                where,
                "sill",
                length_text(opening.sill),
                "lifts a door off the floor",
                "Set it to 0 or the kind to window.",
            )
        yield from _above_the_wall(sketch, opening, where)
    yield from _over_one_another(wall, level)


def _above_the_wall(sketch: Sketch, opening: Opening, where: str) -> Iterator[Mistake]:
    wall = sketch.wall
    if sketch.unread & HEIGHT or not (sketch.has_line or wall.is_level_topped):
        return
    lowest: Length = wall.highest
    if not wall.is_level_topped:
        ends = (max(0, opening.at), min(wall.length, opening.far))
        lowest = int(min(wall.height_at(end) for end in ends))
    room = lowest - wall.type.head_gap
    if opening.top > room:
        yield Mistake(
            where,
            "height",
            f"{length_text(opening.height)} over a sill of {length_text(opening.sill)}",
            f"reaches {length_text(opening.top)}, above the wall's top there ({length_text(room)})",
            "Lower the opening or raise the wall.",
        )


def _over_one_another(wall: Wall, level: str) -> Iterator[Mistake]:
    widest: Opening | None = None
    for opening in sorted(wall.openings, key=lambda one: one.at):
        if widest is not None and opening.at < widest.far:
            yield Mistake(
                place(level, wall.mark, opening.mark),
                "at",
                length_text(opening.at),
                f"lies over opening {widest.mark}, which ends at {length_text(widest.far)}",
                "Move one of them.",
            )
        if widest is None or opening.far > widest.far:
            widest = opening


def line_shown(wall: Wall) -> str:
    """Both ends of a wall's line, for a sentence."""
    one, two = (", ".join(length_text(part) for part in point) for point in (wall.start, wall.end))
    return f"({one}) to ({two})"
