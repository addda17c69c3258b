"""What can be wrong with a plan whose values could all be read: geometry, products that do not fit, marks.

Each check yields sentences; none stops at its first finding.
"""

from __future__ import annotations

from collections.abc import Iterator

from framing.joints import LAP, STEM, THROUGH, Junctions, RunIn
from framing.junctions import find_junctions
from framing.length import Length, in_words, inch, length_text
from framing.meetings import axes_of, overlaps
from framing.nearby import Nearby
from framing.plan import DOOR, Level, Mistake, Opening, Plan, Wall, place
from framing.practice import FramingPractice
from framing.runs import frame_of
from framing.studs import end_stud_at, stud_top

LEAST_STOCK = inch(12)
_MOST_ALLOWED = inch(12)
_MOST_OPENINGS = 200
_CROSSING = (THROUGH, LAP, STEM)


def plan_mistakes(plan: Plan, *, is_whole: bool = True) -> Iterator[Mistake]:
    """Every mistake of a plan, level by level. Junctions are looked at only where practice and walls are sound.

    `is_whole`: no wall is missing because it could not be read; else what the others meet cannot be told.
    """
    of_practice = list(practice_mistakes(plan.practice))
    yield from of_practice
    for level in plan.levels:
        own = [mistake for wall in level.walls for mistake in wall_mistakes(wall, level.name, plan.practice)]
        yield from own
        near = Nearby(axes_of(level.walls), plan.practice.snap)
        own_overlaps = list(_overlaps(level, near)) if not any(wall.start == wall.end for wall in level.walls) else []
        yield from own_overlaps
        if is_whole and not own and not own_overlaps and not of_practice:
            yield from _junction_mistakes(level, plan, near)


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
    for name in ("floor_gap", "slot", "bead_gap", "stud_short", "snap"):
        if getattr(practice, name) > _MOST_ALLOWED:
            yield Mistake(
                "practice",
                name,
                length_text(getattr(practice, name)),
                f"is more than {length_text(_MOST_ALLOWED)}, too much for an allowance",
                "Check the unit.",
            )


def wall_mistakes(wall: Wall, level: str, practice: FramingPractice) -> Iterator[Mistake]:
    """What is wrong with one wall by itself."""
    where = place(level, wall.mark)
    line = f"({_point(wall.start)}) to ({_point(wall.end)})"
    if wall.start == wall.end:
        yield Mistake(where, "from, to", line, "leave a wall of no length", "Move one end.")
        return
    if wall.type.stud.web != wall.type.track.web:
        yield Mistake(
            where,
            f"type {wall.type.name},",
            f"stud {wall.type.stud.designator} and track {wall.type.track.designator}",
            "differ in web",
            "Give stud and track the same web.",
        )
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
    if min(wall.height_from, wall.height_to) - wall.type.head_gap - practice.stud_short <= practice.floor_gap:
        yield Mistake(
            where, "height", length_text(min(wall.height_from, wall.height_to)), "leaves no stud", "Raise it."
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
    if len(wall.openings) > _MOST_OPENINGS:
        yield Mistake(
            where,
            "openings",
            str(len(wall.openings)),
            f"are more than {_MOST_OPENINGS} in one wall",
            "Check the list, or draw the wall as several in line.",
        )
    yield from _opening_mistakes(wall, level)
    for extra in wall.extras:
        if extra.at < 0 or extra.at > wall.length:
            yield Mistake(
                where,
                f"extra {extra.kind}, at",
                length_text(extra.at),
                f"is not on the wall ({length_text(wall.length)} long)",
                "Move it.",
            )


def _opening_mistakes(wall: Wall, level: str) -> Iterator[Mistake]:
    for opening in wall.openings:
        where = place(level, wall.mark, opening.mark)
        if opening.at < 0:
            yield Mistake(where, "at", length_text(opening.at), "lies before the wall's start", "Move it.")
        past = opening.far - wall.length
        if past > 0:
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
        lowest = min(wall.height_at(max(0, opening.at)), wall.height_at(min(wall.length, opening.far)))
        room = int(lowest) - wall.type.head_gap
        if opening.top > room:
            yield Mistake(
                where,
                "height",
                f"{length_text(opening.height)} over a sill of {length_text(opening.sill)}",
                f"reaches {length_text(opening.top)}, above the wall's top there ({length_text(room)})",
                "Lower the opening or raise the wall.",
            )
    ordered = sorted(wall.openings, key=lambda opening: opening.at)
    widest: Opening | None = None
    for opening in ordered:
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


def _overlaps(level: Level, near: Nearby) -> Iterator[Mistake]:
    """Walls that lie on one another, or side by side with their steel in one another."""
    for first, second, shared, aside in overlaps(near):
        one, two = level.walls[first], level.walls[second]
        line = "on the same line" if not aside else f"{length_text(aside)} off its centre line"
        yield Mistake(
            place(level.name, two.mark),
            "from, to",
            f"({_point(two.start)}) to ({_point(two.end)})",
            f"overlaps wall {one.mark} {line} by {length_text(shared)}",
            "Shorten, move or remove one of them.",
        )


def _junction_mistakes(level: Level, plan: Plan, near: Nearby) -> Iterator[Mistake]:
    joined = find_junctions(level, plan.practice, near)
    yield from joined.mistakes
    if not joined.mistakes:
        yield from _short_runs(level, joined)
        yield from _raked_studs(level, joined, plan.practice)
    yield from _openings_at_walls(level, joined)
    if "slot" in plan.set_by_plan:
        yield from _narrow_slots(level, joined, plan.practice.slot)


def _short_runs(level: Level, joined: Junctions) -> Iterator[Mistake]:
    """Walls with too little steel left between their junctions for a stud at each end."""
    for index, wall in enumerate(level.walls):
        flange = wall.type.stud.flange
        frame = frame_of(index, wall, joined)
        for run in frame.runs:
            apart = end_stud_at(frame, run, False) - end_stud_at(frame, run, True)
            if apart < flange:
                yield Mistake(
                    place(level.name, wall.mark),
                    "from, to",
                    f"({_point(wall.start)}) to ({_point(wall.end)})",
                    f"leave {in_words(max(0, apart + flange))} between its ends for two studs of {length_text(flange)}",
                    "Lengthen the wall, or leave it out and frame it as part of the other.",
                )


def _raked_studs(level: Level, joined: Junctions, practice: FramingPractice) -> Iterator[Mistake]:
    """A raked wall's stud at a corner stands beyond the drawn line, where the top has risen, or fallen, further."""
    longest = max(practice.stud_stock)
    for index, wall in enumerate(level.walls):
        if wall.is_level_topped:
            continue
        frame = frame_of(index, wall, joined)
        ends = (end_stud_at(frame, frame.runs[0], True), end_stud_at(frame, frame.runs[-1], False))
        tops = [stud_top(frame, at, practice) for at in ends]
        if max(tops) > longest:
            yield Mistake(
                place(level.name, wall.mark),
                "height_from, height_to",
                f"{length_text(wall.height_from)} to {length_text(wall.height_to)}",
                f"needs a stud of {in_words(max(tops))} at its corner, and the longest stud in stock is "
                f"{length_text(longest)}",
                "Lower the wall or add a length to practice.stud_stock.",
            )
        if min(tops) <= practice.floor_gap:
            yield Mistake(
                place(level.name, wall.mark),
                "height_from, height_to",
                f"{length_text(wall.height_from)} to {length_text(wall.height_to)}",
                "leaves no stud at its corner",
                "Raise it.",
            )


def _openings_at_walls(level: Level, joined: Junctions) -> Iterator[Mistake]:
    """An opening where another wall's steel runs in, along the wall or at its ends."""
    places = list(joined.run_ins)
    for index, (wall, ends) in enumerate(zip(level.walls, joined.ends, strict=True)):
        half = wall.type.stud.web // 2
        places += [RunIn(index, end.at, end.face_of_steel(half), end.other) for end in ends if end.role in _CROSSING]
    for index, along, reach, other in dict.fromkeys(places):
        wall = level.walls[index]
        for opening in wall.openings:
            if opening.at < along + reach and opening.far > along - reach:
                yield Mistake(
                    place(level.name, wall.mark, opening.mark),
                    "at",
                    f"{length_text(opening.at)} with width {length_text(opening.width)}",
                    f"lies where the steel of wall {level.walls[other].mark} runs in, from {in_words(along - reach)} "
                    f"to {in_words(along + reach)}",
                    "Move the opening or the wall.",
                )


def _narrow_slots(level: Level, joined: Junctions, slot: Length) -> Iterator[Mistake]:
    for name, through, layers in joined.slots:
        if slot < layers:
            yield Mistake(
                place(level.name, name),
                "practice.slot",
                length_text(slot),
                f"is smaller than the board of wall {through} that must pass it ({length_text(layers)})",
                f"Set the slot to {length_text(layers)} or more, or leave it out.",
            )


def _point(point: tuple[Length, Length]) -> str:
    return ", ".join(length_text(part) for part in point)
