"""Moving, turning, mirroring or reversing a plan changes no steel and no board.

Ground: geometry. Each property holds for any floor; the floors here are rooms drawn at random, with doors and stubs.
"""

from __future__ import annotations

from copy import deepcopy
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.framing.floor import Json, door, plan, size, taken, wall, wall_type

TYPES = {"P1": wall_type(), "P6": wall_type("600")}
FEW = settings(max_examples=15, deadline=None)


def q(value: Any) -> str:
    """An exact length in inches, as a plan file says it."""
    whole, rest = divmod(Fraction(value), 1)
    return f"{whole} {rest}" if rest else str(whole)


@st.composite
def floors(draw) -> Json:
    """A room of four walls, a partition across it (two tees), a stub with a free end, doors in some of them."""
    width = Fraction(draw(st.integers(150 * 8, 400 * 8)), 8)
    depth = Fraction(draw(st.integers(120 * 8, 300 * 8)), 8)
    if width == depth:
        width += 10
    cut = Fraction(draw(st.integers(60 * 8, int(width - 60) * 8)), 8)
    stub = Fraction(draw(st.integers(30 * 8, int(depth - 40) * 8)), 8)
    types = draw(st.tuples(*[st.sampled_from(["P1", "P6"])] * 6))
    doors = draw(st.tuples(*[st.integers(0, 2)] * 2))
    beside = Fraction(draw(st.integers(4 * 8, 40 * 8)), 8) + 6
    across_at = Fraction(draw(st.integers(4 * 8, int(depth / 3) * 8)), 8) + 6
    lines = {
        "S": ((0, 0), (width, 0)),
        "E": ((width, 0), (width, depth)),
        "N": ((width, depth), (0, depth)),
        "W": ((0, depth), (0, 0)),
        "P": ((cut, 0), (cut, depth)),
        "F": ((cut / 2, 0), (cut / 2, stub)),
    }
    made = [
        wall(mark, tuple(map(q, a)), tuple(map(q, b)), type=kind)
        for (mark, (a, b)), kind in zip(lines.items(), types, strict=True)
    ]
    if doors[0]:
        made[1]["openings"] = [door("D1", q(beside))]
    if doors[1]:
        made[4]["openings"] = [door("D2", q(across_at))]
    return plan(*made, types=TYPES)


def moved(floor: Json, move, *, mirror: bool = False) -> Json:
    """The same floor with every end moved by `move(x, y)`."""
    out = deepcopy(floor)
    for w in out["levels"][0]["walls"]:
        for end in ("from", "to"):
            x, y = map(_read, w[end])
            w[end] = [_text(v) for v in move(x, y)]
        if mirror:
            for opening in w.get("openings", []):
                if "swing" in opening:
                    opening["swing"] = {"left": "right", "right": "left"}[opening["swing"]]
    return out


def _text(value: Fraction) -> str:
    return f"-{q(-value)}" if value < 0 else q(value)


@FEW
@given(floors(), st.integers(-5000, 5000), st.integers(-5000, 5000))
def test_translation_changes_no_count(floor, dx, dy):
    shift = moved(floor, lambda x, y: (x + Fraction(dx, 64), y + Fraction(dy, 64)))
    assert same_counts(floor, shift)


@FEW
@given(floors(), st.integers(1, 3))
def test_turning_by_right_angles_changes_no_count(floor, turns):
    turned = floor
    for _ in range(turns):
        turned = moved(turned, lambda x, y: (-y, x))
    assert same_counts(floor, turned)


@FEW
@given(floors())
def test_mirroring_changes_no_count(floor):
    assert same_counts(floor, moved(floor, lambda x, y: (-x, y), mirror=True))


def same_counts(a: Json, b: Json) -> bool:
    one, other = taken(a), taken(b)
    assert [w["counts"] for w in one["levels"][0]["walls"]] == [w["counts"] for w in other["levels"][0]["walls"]]
    assert one["counts"] == other["counts"]
    assert one["order"] == other["order"]
    return True


@FEW
@given(floors(), st.sampled_from(["S", "E", "N", "W", "P", "F"]))
def test_reversing_a_wall_changes_no_track_pin_or_net_board(floor, mark):
    turned = deepcopy(floor)
    (w,) = [w for w in turned["levels"][0]["walls"] if w["mark"] == mark]
    w["from"], w["to"] = w["to"], w["from"]
    length = sum(abs(_read(a) - _read(b)) for a, b in zip(w["from"], w["to"], strict=True))
    for opening in w.get("openings", []):
        opening["at"] = q(length - _read(opening["at"]) - _read(opening["width"]))
    one, other = taken(floor), taken(turned)
    for key in ("track_in", "pins", "board_net_sqft", "sealant_in", "corners", "door_corners", "openings"):
        if key in one["counts"]:
            assert one["counts"][key] == other["counts"][key], key
    lengths = [
        sorted((p["wall"], p["row"], size(p["length"])) for p in out["levels"][0]["track_pieces"])
        for out in (one, other)
    ]
    assert lengths[0] == lengths[1]


def _read(text: Any) -> Fraction:
    plain = str(text)
    value = sum((Fraction(part) for part in plain.removeprefix("-").split()), Fraction(0))
    return -value if plain.startswith("-") else value


def test_the_same_floor_in_millimetres_counts_the_same():
    inch = plan(wall("A", (0, 0), (120, 0)), wall("B", (0, 0), (0, 96)))
    metric = plan(
        wall("A", (0, 0), (3048, 0), height="2743.2 mm"),
        wall("B", (0, 0), (0, "2438.4 mm"), height="2.7432 m"),
        unit="mm",
    )
    assert same_counts(inch, metric)


@pytest.mark.parametrize("order", [("A", "B"), ("B", "A")])
def test_the_order_of_listing_decides_only_between_equals(order):
    lines = {"A": ((0, 0), (120, 0)), "B": ((0, 0), (0, 96))}
    listed = taken(plan(*(wall(mark, *lines[mark]) for mark in order)))
    assert [j["through"] for j in listed["levels"][0]["junctions"] if j["kind"] == "corner"] == ["A"]
    even = {"A": ((0, 0), (96, 0)), "B": ((0, 0), (0, 96))}
    listed = taken(plan(*(wall(mark, *even[mark]) for mark in order)))
    assert [j["through"] for j in listed["levels"][0]["junctions"] if j["kind"] == "corner"] == [order[0]]
