"""What can be wrong with a plan whose values could all be read: geometry, products that do not fit, marks, sheer size.

Each check yields sentences; none stops at its first finding.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from framing.joints import LAP, STEM, THROUGH, Junctions, RunIn
from framing.junctions import find_junctions
from framing.length import Length, in_words, length_text
from framing.limits import HIGHEST_WALL, LONGEST_WALL, MOST_PIECES, pieces_about
from framing.meetings import axes_of, overlaps
from framing.nearby import Crowded, Nearby
from framing.plan import Level, Mistake, Plan, Wall, place
from framing.practice import FramingPractice
from framing.runs import frame_of
from framing.studs import end_stud_at, stud_top
from framing.wall_checks import TYPE, Sketch, line_shown, practice_mistakes, wall_mistakes

_CROSSING = (THROUGH, LAP, STEM)


def plan_mistakes(plan: Plan, sketched: Sequence[Sequence[Sketch]] = (), *, is_whole: bool = True) -> Iterator[Mistake]:
    """Every mistake of a plan, level by level. Junctions are looked at only where practice and walls are sound.

    `sketched`: for each level, the walls of which not everything could be read. `is_whole`: nothing else is missing
    either; else what the walls meet cannot be told.
    """
    of_practice = list(practice_mistakes(plan.practice))
    yield from of_practice
    too_large = _too_large(plan, sketched)
    if too_large is not None:
        yield too_large
    for number, level in enumerate(plan.levels):
        partly = sketched[number] if number < len(sketched) else ()
        sketches = [*(Sketch(wall) for wall in level.walls), *partly]
        own = [mistake for sketch in sketches for mistake in wall_mistakes(sketch, level.name, plan.practice)]
        yield from own
        if too_large is not None:
            continue
        walls = tuple(sketch.wall for sketch in sketches if sketch.has_line and sketch.wall.length <= LONGEST_WALL)
        try:
            near = Nearby(axes_of(walls), plan.practice.snap)
        except Crowded as crowded:
            yield _crowded(level.name, walls[crowded.index], crowded.near)
            continue
        own_overlaps = list(_overlaps(level.name, walls, near))
        yield from own_overlaps
        if is_whole and not partly and not own and not own_overlaps and not of_practice:
            yield from _junction_mistakes(level, plan, near)


def _too_large(plan: Plan, sketched: Sequence[Sequence[Sketch]]) -> Mistake | None:
    """A plan that would take too many pieces, with the first level that goes beyond."""
    pieces = 0
    for number, level in enumerate(plan.levels):
        partly = sketched[number] if number < len(sketched) else ()
        known = [sketch.wall for sketch in partly if TYPE not in sketch.unread and sketch.has_line]
        within = (one for one in (*level.walls, *known) if one.length <= LONGEST_WALL and one.highest <= HIGHEST_WALL)
        pieces += sum(pieces_about(wall, plan.practice) for wall in within) + len(partly)
        if pieces > MOST_PIECES:
            return Mistake(
                place(level.name),
                "",
                "",
                f"brings the plan to about {pieces:,} pieces, more than {MOST_PIECES:,}",
                "Check lengths and spacings, or split the plan into several.",
            )
    return None


def _crowded(level: str, wall: Wall, near: int) -> Mistake:
    return Mistake(
        place(level, wall.mark),
        "from, to",
        line_shown(wall),
        f"lies near {near} other walls, on a level that holds most of its walls many times over",
        "Remove the copies.",
    )


def _overlaps(level: str, walls: Sequence[Wall], near: Nearby) -> Iterator[Mistake]:
    """Walls that lie on one another, or side by side with their steel in one another."""
    for first, second, shared, aside in overlaps(near):
        one, two = walls[first], walls[second]
        line = "on the same line" if not aside else f"{length_text(aside)} off its centre line"
        yield Mistake(
            place(level, two.mark),
            "from, to",
            line_shown(two),
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
                    line_shown(wall),
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
