"""What can be wrong with a plan whose values could all be read: geometry, products that do not fit, marks.

Each check yields sentences; none stops at its first finding.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from framing.junctions import Junctions, find_junctions
from framing.length import Length, length_text
from framing.plan import DOOR, Level, Mistake, Opening, Plan, PlanMistakes, Wall, place
from framing.practice import FramingPractice
from framing.runs import frame_of
from framing.studs import end_stud_at


def validated(plan: Plan, source: str = "") -> Plan:
    """Return the plan itself, or raise PlanMistakes with everything found."""
    found = list(plan_mistakes(plan))
    if found:
        raise PlanMistakes(found, source)
    return plan


def plan_mistakes(plan: Plan, *, is_whole: bool = True) -> Iterator[Mistake]:
    """Every mistake of a plan, level by level. Junctions are looked at only where the walls themselves are sound.

    `is_whole`: no wall is missing because it could not be read; else what the others meet cannot be told.
    """
    yield from practice_mistakes(plan.practice)
    for level in plan.levels:
        own = [mistake for wall in level.walls for mistake in wall_mistakes(wall, level.name, plan.practice)]
        yield from own
        own_overlaps = list(_overlaps(level))
        yield from own_overlaps
        if is_whole and not own and not own_overlaps:
            yield from _junction_mistakes(level, plan)


def practice_mistakes(practice: FramingPractice) -> Iterator[Mistake]:
    """Allowances that contradict each other."""
    if practice.track_stock < 2 * practice.splice_shortest:
        yield Mistake(
            "practice",
            "track_stock",
            length_text(practice.track_stock),
            f"is under twice splice_shortest ({length_text(practice.splice_shortest)}), so no run could be spliced",
            "Set a longer stock or a shorter piece.",
        )


def wall_mistakes(wall: Wall, level: str, practice: FramingPractice) -> Iterator[Mistake]:
    """What is wrong with one wall by itself."""
    where = place(level, wall.mark)
    line = f"({_point(wall.start)}) to ({_point(wall.end)})"
    if wall.start == wall.end:
        yield Mistake(where, "from, to", line, "leave a wall of no length", "Move one end.")
        return
    if wall.start.x != wall.end.x and wall.start.y != wall.end.y:
        yield Mistake(
            where,
            "from, to",
            line,
            "run neither along x nor along y, and walls at a slant are not computed in this version",
            "Draw the wall square to the others, or leave it out and count it by hand.",
        )
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
        if own is not None and own > wall.highest:
            yield Mistake(
                where,
                face,
                length_text(own),
                f"is above the wall's height of {length_text(wall.highest)}",
                "Lower the face or raise the wall.",
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


def _overlaps(level: Level) -> Iterator[Mistake]:
    """Walls that lie on one another along the same line."""
    rows: dict[tuple[bool, Length], list[tuple[Length, Length, Wall]]] = {}
    for wall in level.walls:
        dx, dy = wall.direction
        if (dx != 0) == (dy != 0):
            continue
        along_x = dx != 0
        low, high = sorted((wall.start.x, wall.end.x) if along_x else (wall.start.y, wall.end.y))
        rows.setdefault((along_x, wall.start.y if along_x else wall.start.x), []).append((low, high, wall))
    for row in rows.values():
        row.sort(key=lambda item: (item[0], item[1], item[2].mark))
        furthest = row[0]
        for _, item in pairwise(row):
            over = min(furthest[1], item[1]) - item[0]
            if over > 0:
                yield Mistake(
                    place(level.name, item[2].mark),
                    "from, to",
                    f"({_point(item[2].start)}) to ({_point(item[2].end)})",
                    f"overlaps wall {furthest[2].mark} on the same line by {length_text(over)}",
                    "Shorten or remove one of them.",
                )
            if item[1] > furthest[1]:
                furthest = item


def _junction_mistakes(level: Level, plan: Plan) -> Iterator[Mistake]:
    joined = find_junctions(level, plan.practice)
    yield from joined.mistakes
    if not joined.mistakes:
        yield from _short_runs(level, joined)
    yield from _openings_at_walls(level, joined)
    if "slot" in plan.set_by_plan:
        yield from _narrow_slots(level, joined, plan.practice.slot)


def _short_runs(level: Level, joined: Junctions) -> Iterator[Mistake]:
    """Walls with too little steel left between their junctions for a stud at each end."""
    for index, wall in enumerate(level.walls):
        flange = wall.type.stud.flange
        for run in frame_of(index, wall, joined).runs:
            room = end_stud_at(run, False, flange) - end_stud_at(run, True, flange)
            if room < flange:
                yield Mistake(
                    place(level.name, wall.mark),
                    "from, to",
                    f"({_point(wall.start)}) to ({_point(wall.end)})",
                    f"leave {length_text(room + flange)} between its ends for two studs of {length_text(flange)}",
                    "Lengthen the wall, or leave it out and frame it as part of the other.",
                )


def _openings_at_walls(level: Level, joined: Junctions) -> Iterator[Mistake]:
    """An opening where another wall's steel runs in."""
    for index, along, half, other in joined.run_ins:
        wall = level.walls[index]
        for opening in wall.openings:
            if opening.at < along + half and opening.far > along - half:
                yield Mistake(
                    place(level.name, wall.mark, opening.mark),
                    "at",
                    f"{length_text(opening.at)} with width {length_text(opening.width)}",
                    f"lies where wall {level.walls[other].mark} runs in at {length_text(along)}",
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
