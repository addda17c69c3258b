"""Which of two walls runs through. Where walls cross, those in line count as one wall, however they are listed.

Common practice, no source: at a corner the longer wall runs through. At a crossing a wall drawn in one runs through
those that end at it; else the longer wall; else the one listed first. A plan's own word comes before all of these.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from framing.length import in_words
from framing.plan import Mistake, Wall, place

Side = tuple[int, ...]
"""One wall, or the two in line that meet at the crossing, by number."""


def longer_because(one: Wall, two: Wall) -> str:
    """Why the longer of two walls runs through a corner; `one` is listed first."""
    if one.length == two.length:
        return f"walls {one.mark} and {two.mark} are equally long: the one listed first, {one.mark}, runs through"
    longer, shorter = (one, two) if one.length > two.length else (two, one)
    return (
        f"wall {longer.mark} ({in_words(longer.length)}) is longer than wall {shorter.mark} "
        f"({in_words(shorter.length)}), so it runs through"
    )


def through_of_cross(walls: Sequence[Wall], one: Side, two: Side, chosen: int | None) -> tuple[Side, str]:
    """The side that runs through, and why. `chosen`: the wall that the plan itself runs through."""
    if chosen is not None:
        return one if chosen in one else two, f"the plan says that wall {walls[chosen].mark} runs through"
    if len(one) != len(two):
        through = min(one, two, key=len)
        mark = walls[through[0]].mark
        return through, f"wall {mark} is drawn in one and the others end at it, so it runs through"
    lengths = [sum(walls[index].length for index in side) for side in (one, two)]
    if lengths[0] == lengths[1]:
        through = min(one, two)
        mark = walls[through[0]].mark
        return through, f"the crossing walls are equally long: the one listed first, {mark}, runs through"
    through = one if lengths[0] > lengths[1] else two
    mark = walls[through[0]].mark
    return through, f"wall {mark} is the longer at the crossing, so it runs through and the other stops at the slots"


def rules_of_cross(
    walls: Sequence[Wall], one: Side, two: Side, rules: Mapping[frozenset[str], str]
) -> list[tuple[frozenset[str], int]]:
    """The plan's own words on a crossing: the rule's two marks, and the number of the wall that it runs through."""
    found = []
    for first in one:
        for second in two:
            key = frozenset((walls[first].mark, walls[second].mark))
            if key in rules:
                found.append((key, first if rules[key] == walls[first].mark else second))
    return found


def contradicted(level: str, walls: Sequence[Wall], one: Side, two: Side, chosen: Iterable[int]) -> Mistake | None:
    """The mistake of a plan that runs both walls of one crossing through."""
    named = sorted(set(chosen))
    if all(index in one for index in named) or all(index in two for index in named):
        return None
    return Mistake(
        place(level),
        "junctions",
        " and ".join(walls[index].mark for index in named),
        "are both said to run through at one crossing",
        "Keep the word for one of them.",
    )
