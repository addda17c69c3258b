"""Board lands on the open edge of a stud's flange first, from the end to which the layout studs open.

Ground: application standards for board on steel framing, GA-216 and ASTM C840 (from memory, the text was not read):
flanges point one way, and the leading edge is attached to the open edge first.
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings

from framing.practice import SOURCES
from tests.framing.floor import Json, level, plan, sheets, size, taken, wall
from tests.framing.test_plan_moves import floors

ALONE = {"from": "structure", "to": "structure"}


@pytest.mark.parametrize("origin", ["from", "to"])
def test_a_wall_is_hung_from_the_end_to_which_its_studs_open(origin):
    out = taken(plan(wall("A", (0, 0), (300, 0), ends=ALONE, layout_from=origin)))
    assert {s["opens"] for s in level(out)["studs"] if s["role"] == "layout"} == {origin}
    for face in ("left", "right"):
        steps = [s["step"] for s in sheets(out, "A", face)]
        assert steps == sorted(steps, reverse=origin == "to")


def joints(out: Json) -> list[tuple[str, int, int]]:
    """(open end of the stud at the joint, step before it, step after it) of the upright joints of layers on steel."""
    found = []
    opens = {(s["wall"], size(s["at"])): s["opens"] for s in level(out)["studs"]}
    own = [s for s in level(out)["sheets"] if s["layer"] == 1 and s["face"] in ("left", "right")]
    for two in own:
        key = (two["wall"], size(two["at"]))
        for one in own if key in opens else ():
            is_next = (one["wall"], one["face"]) == (two["wall"], two["face"])
            if is_next and size(one["at"]) + size(one["width"]) == key[1] and share(one, two):
                found.append((opens[key], one["step"], two["step"]))
    return found


def share(one: Json, two: Json) -> bool:
    low, high = (size(s["bottom"]) for s in (one, two))
    return low < high + size(two["height"]) and high < low + size(one["height"])


@settings(max_examples=20, deadline=None)
@given(floors())
def test_most_joints_of_any_floor_keep_it_and_those_that_do_say_so(floor):
    out = taken(floor)
    said = {
        (after, rule["step"])
        for rule in level(out)["hanging"]
        if "open half of the stud first (GA-216)" in rule["because"]
        for after in rule["after"]
    }
    found = joints(out)
    right = {(one, two) if opens == "from" else (two, one) for opens, one, two in found}
    assert said == {(first, then) for first, then in right if first < then}
    # corners come before it: the board that ties a loose stud goes up first wherever it hangs
    assert len(said) >= len(right) * 0.6


def test_a_firm_that_starts_mid_wall_may():
    out = taken(plan(wall("A", (0, 0), (300, 0), ends=ALONE), practice={"open_edge_first": False}))
    own = sheets(out, "A", "left")
    first = min(own, key=lambda s: s["step"])
    assert size(first["width"]) == 48
    assert size(first["at"]) > 0 and size(first["at"]) + 48 < 300
    assert not any("open half" in rule["because"] for rule in level(out)["hanging"])


def test_the_rule_names_its_ground():
    assert "GA-216" in SOURCES["open_edge_first"] and "from memory" in SOURCES["open_edge_first"]
