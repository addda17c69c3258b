"""One line of steel of a model as a wall of the plan: on its floor, with its openings, exact, with a mark."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import replace

from framing.lines import Point
from framing.plan import DOOR, OPENING, WINDOW, Opening, Wall
from framing.readers.models.exact import exact, shown
from framing.readers.models.lines import Line
from framing.readers.models.values import LeftOut, ModelOpening, ModelWall, NotTaken

NEAR_FLOOR = 300.0
"""mm: a wall whose base is this near to its level's floor stands on it, with its own base as its floor."""

_EVEN = 0.5  # mm
_LONGEST_TAG = 16
_LETTERS = {DOOR: "D", WINDOW: "W", OPENING: "O"}


def standing(wall: ModelWall, left_out: list[LeftOut]) -> tuple[ModelWall, list[tuple[str, str]]]:
    """The wall as it stands on its floor, and cautions. Raises NotTaken for one that hangs above it.

    A wall that starts further below the floor is cut there: what lies below belongs to another storey's work.
    """
    notes: list[tuple[str, str]] = []
    if wall.base > NEAR_FLOOR:
        raise NotTaken(
            f"starts {shown(wall.base)} above the floor of {wall.level}: it hangs and is no partition from floor up"
        )
    if wall.base < -NEAR_FLOOR:
        cut = -wall.base
        notes.append(("below the floor", f"starts {shown(cut)} below the floor; what lies below it is not counted"))
        wall = _cut_below(wall, cut, left_out)
    openings = _as_one([_on_floor(opening, notes) for opening in wall.openings], notes)
    return replace(wall, openings=tuple(openings)), notes


def _as_one(openings: list[ModelOpening], notes: list[tuple[str, str]]) -> list[ModelOpening]:
    """Openings that overlap and together make one rectangle (a door and the light over it, one drawn in the other)
    are one. Others that overlap stay as they are, and the engine says so of the wall.
    """
    found: list[ModelOpening] = []
    for opening in sorted(openings, key=lambda one: (one.start, one.sill)):
        for place, other in enumerate(found):
            whole = _union(other, opening)
            if whole is not None:
                found[place] = whole
                notes.append(("openings joined", f"{other.id} and {opening.id} overlap and are framed as one opening"))
                break
        else:
            found.append(opening)
    return found


def _union(one: ModelOpening, two: ModelOpening) -> ModelOpening | None:
    """Both as one rectangle, where that is what they cover: one holds the other, or they share two edges and touch.

    A door's kind and hand go before those of what is around it; two doors side by side are never one.
    """
    if min(one.end, two.end) <= max(one.start, two.start):
        return None  # apart, or jamb to jamb: two openings
    whole = min(one.start, two.start), max(one.end, two.end), min(one.sill, two.sill), max(one.top, two.top)
    holds = any(_is_same((big.start, big.end, big.sill, big.top), whole) for big in (one, two))
    touches = max(one.sill, two.sill) <= min(one.top, two.top) + _EVEN
    is_over = touches and _is_same((one.start, one.end), (two.start, two.end))
    is_beside = _is_same((one.sill, one.top), (two.sill, two.top)) and not one.kind == two.kind == DOOR
    if not (holds or is_over or is_beside):
        return None
    leading = min(one, two, key=lambda opening: (opening.kind != DOOR, -opening.area))
    start, end, sill, top = whole
    return replace(leading, start=start, end=end, sill=sill, top=top)


def _is_same(one: tuple[float, ...], two: tuple[float, ...]) -> bool:
    return all(abs(a - b) <= _EVEN for a, b in zip(one, two, strict=True))


def _on_floor(opening: ModelOpening, notes: list[tuple[str, str]]) -> ModelOpening:
    """A door is framed from the floor where it stands a little above it, and as an opening where it does not."""
    if opening.sill <= _EVEN:
        return replace(opening, sill=0.0)
    if opening.kind != DOOR:
        return opening
    where = f"door {opening.id} stands {shown(opening.sill)} up"
    if opening.sill <= NEAR_FLOOR:
        notes.append(("door sill", f"{where} and is framed from the floor"))
        return replace(opening, sill=0.0)
    notes.append(("door sill", f"{where} and is framed as an opening"))
    return replace(opening, kind=OPENING)


def _cut_below(wall: ModelWall, cut: float, left_out: list[LeftOut]) -> ModelWall:
    openings = []
    for opening in wall.openings:
        if opening.top - cut <= _EVEN:
            reason = f"lies below the floor of {wall.level}, where wall {wall.id} is not counted"
            left_out.append(LeftOut(opening.id, f"opening of wall {wall.id}", reason))
            continue
        openings.append(replace(opening, sill=max(0.0, opening.sill - cut), top=opening.top - cut))
    return replace(
        wall,
        base=0.0,
        height_start=wall.height_start - cut,
        height_end=wall.height_end - cut,
        openings=tuple(openings),
    )


def marks_of(lines: list[Line]) -> dict[str, str]:
    """A mark for each line, unique on its level: the element's tag where that is short and unique, else a number."""
    tags = Counter((line.wall.level, line.wall.tag) for line in lines)
    rows = Counter(line.wall.id for line in lines)
    numbers: dict[str, int] = defaultdict(int)
    given: set[tuple[str, str]] = set()
    found = {}
    for line in lines:
        level, tag = line.wall.level, line.wall.tag.strip()
        row = line.key.rpartition("/")[2] if rows[line.wall.id] > 1 else ""
        is_own = tags[level, line.wall.tag] == max(1, rows[line.wall.id])
        if tag and tag.isprintable() and len(tag) <= _LONGEST_TAG and is_own and "," not in tag:
            mark = f"{tag}-{row}" if row else tag
        else:
            mark = ""
        while not mark or (level, mark) in given:
            numbers[level] += 1
            mark = f"M-{numbers[level]:03d}"
        given.add((level, mark))
        found[line.key] = mark
    return found


def wall_of(line: Line, mark: str, *, is_imperial: bool) -> Wall:
    """The plan's wall. Raises NotTaken where a length is out of all bounds."""

    def ticks(millimetres: float) -> int:
        return exact(millimetres, is_imperial=is_imperial)

    ends = [line.point(line.low), line.point(line.high)]
    points = [Point(ticks(end.x), ticks(end.y)) for end in ends]
    heights = [ticks(line.wall.height_start), ticks(line.wall.height_end)]
    words = list(line.ends)
    openings = [_opening(line, opening) for opening in line.wall.openings]
    if line.is_reversed:
        points, heights, words, openings = points[::-1], heights[::-1], words[::-1], openings[::-1]
    numbers: dict[str, int] = defaultdict(int)
    made = []
    for opening in openings:
        numbers[opening.kind] += 1
        at, far = ticks(opening.start), ticks(opening.end)
        sill, top = ticks(opening.sill), ticks(opening.top)
        name = f"{_LETTERS[opening.kind]}{numbers[opening.kind]}"
        hinge = {"low": "near", "high": "far"}.get(opening.hinge, "")
        made.append(Opening(name, opening.kind, at, far - at, top - sill, sill, hinge, opening.swing))
    return Wall(
        mark,
        line.type,
        points[0],
        points[1],
        heights[0],
        heights[1],
        openings=tuple(made),
        ends=(words[0], words[1]),
        source_id=line.wall.id,
    )


def _opening(line: Line, opening: ModelOpening) -> ModelOpening:
    """The opening measured from the end at which the wall is walked off, with its hand as seen that way."""
    if not line.is_reversed:
        return replace(opening, start=opening.start - line.low, end=opening.end - line.low)
    hinge = {"low": "high", "high": "low"}.get(opening.hinge, "")
    swing = {"left": "right", "right": "left"}.get(opening.swing, "")
    return replace(opening, start=line.high - opening.end, end=line.high - opening.start, hinge=hinge, swing=swing)
