"""A wall drawn from its other end, its layout still measured from the same one, is the same wall in every count.

Ground: geometry. Left and right change places with the ends.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.framing.floor import BOARD, Json, door, plan, taken, wall, wall_of, wall_type

BOARDS = {"B58": BOARD, "B12": {"thickness": "1/2", "width": "48", "lengths": ["96", "120", "144"], "lay": "lying"}}
TYPES = {
    "P1": wall_type(),
    "two": wall_type(left=["B58", "B58"]),
    "two turned": wall_type(right=["B58", "B58"]),
    "mixed": wall_type(left=["B12"]),
    "mixed turned": wall_type(right=["B12"]),
}


def both_ways(length: str, kind: str, turned: str, **keys) -> list[Json]:
    """Counts of one wall as drawn and as drawn from its other end."""
    openings = [door("D1", "50", width="26 1/2"), {**door("W1", "130", width="40"), "kind": "window", "sill": "30"}]
    openings[1]["height"] = "40"
    back = [
        {**opening, "at": str(Fraction(length) - Fraction(opening["at"]) - total(opening["width"]))}
        for opening in openings
    ]
    found = []
    for ends, at, layout, own in (
        (((0, 0), (length, 0)), openings, "from", keys),
        (((length, 0), (0, 0)), back, "to", {turn(key): value for key, value in keys.items()}),
    ):
        made = wall("A", *ends, openings=at, layout_from=layout, type=kind if layout == "from" else turned, **own)
        cross = wall("B", (length, 0), (length, -100))
        found.append(wall_of(taken(plan(made, cross, types=TYPES, boards=BOARDS)), "A")["counts"])
    return found


def turn(key: str) -> str:
    return {"left_height": "right_height", "right_height": "left_height"}.get(key, key)


def total(text: str) -> Fraction:
    return sum((Fraction(part) for part in text.split()), Fraction(0))


@pytest.mark.parametrize("length", ["213", "248"])
@pytest.mark.parametrize("turned", ["P1", "two", "mixed"])
@pytest.mark.parametrize("keys", [{}, {"left_height": "100"}, {"right_height": "97"}])
def test_every_count_is_the_same(length, turned, keys):
    one, two = both_ways(length, turned, turned if turned == "P1" else f"{turned} turned", **keys)
    assert one == two
