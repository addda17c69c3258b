"""A level is hung room by room: insides before backs, small rooms before those around them, and never in a ring.

Ground: common practice, no source. That what is printed can be followed is checked by graphlib (standard library): the
rules of a level, read from the print alone, have no cycle, and the steps keep each of them.
"""

from __future__ import annotations

from collections import defaultdict
from graphlib import TopologicalSorter
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from framing.precedence import Before, in_order
from tests.framing.floor import Json, cautions, door, level, plan, sheets, size, taken, wall
from tests.framing.test_plan_moves import floors
from tests.framing.test_rooms import CLOSET


def kept(out: Json) -> None:
    graph: dict[int, set[int]] = defaultdict(set)
    for rule in level(out)["hanging"]:
        assert rule["because"]
        assert all(step < rule["step"] for step in rule["after"])
        graph[rule["step"]].update(rule["after"])
    order = list(TopologicalSorter(graph).static_order())  # raises CycleError on a ring
    steps = {sheet["step"] for sheet in level(out)["sheets"]}
    assert set(order) <= steps == set(range(1, len(steps) + 1))


@settings(max_examples=25, deadline=None)
@given(floors())
def test_no_floor_has_rules_that_run_in_a_ring(floor):
    kept(taken(floor))


def test_the_two_rings_of_a_small_room_are_opened_at_one_place_each():
    corners = [(0, 0), (40, 0), (40, 40), (0, 40)]
    rooms = []
    for copy in range(3):  # three rooms apart, each a ring of its own
        moved = [(x + 200 * copy, y) for x, y in corners]
        rooms += [wall(f"{mark}{copy}", moved[i], moved[(i + 1) % 4]) for i, mark in enumerate("ABCD")]
    rules = [
        {"walls": [f"{'ABCD'[i]}{copy}", f"{'ABCD'[(i + 1) % 4]}{copy}"], "through": f"{'ABCD'[i]}{copy}"}
        for copy in range(3)
        for i in range(4)
    ]
    out = taken(plan(*rooms, junctions=rules))
    kept(out)
    # inside each board ties the next; outside each is a flat side at one corner and a flange side at the other
    assert len(cautions(out, "left loose")) == 3
    assert len(cautions(out, "out of order")) == 3


def steps_of(out: Json, mark: str, face: str, low: float, high: float) -> list[int]:
    own = sheets(out, mark, face)
    return [s["step"] for s in own if size(s["at"]) >= low and size(s["at"]) + size(s["width"]) <= high]


def test_the_closet_is_closed_before_the_room_around_it_and_that_before_the_outside():
    out = taken(CLOSET)
    for mark in ("C1", "C2"):
        inner = [s["step"] for s in sheets(out, mark, "left")]
        outer = [s["step"] for s in sheets(out, mark, "right")]
        assert max(inner) < min(outer), mark
    for mark in ("S", "E", "N", "W"):
        inside = [s["step"] for s in sheets(out, mark, "left")]
        behind = [s["step"] for s in sheets(out, mark, "right")]
        assert max(inside) < min(behind), mark
    why = {rule["because"] for rule in level(out)["hanging"]}
    numbers = {room["room"] for room in level(out)["rooms"]}
    assert {f"the inside of room {number} is closed before the back of its walls" for number in numbers} <= why


def test_a_room_is_hung_in_one_go_where_corners_allow_it():
    # Two rooms side by side, drawn in turns: A and B share wall M.
    made = plan(
        wall("S1", (0, 0), (120, 0)),
        wall("S2", (120, 0), (264, 0)),
        wall("N1", (0, 100), (120, 100)),
        wall("N2", (120, 100), (264, 100)),
        wall("W", (0, 0), (0, 100)),
        wall("M", (120, 0), (120, 100), openings=[door("D1", "40")]),
        wall("E", (264, 0), (264, 100)),
    )
    out = taken(made)
    kept(out)
    rooms = level(out)["rooms"]
    assert len(rooms) == 2
    small = min(rooms, key=lambda room: size(room["area_sqft"]))
    faces = {(part["wall"], part["face"]) for part in small["faces"]}
    assert faces == {("S1", "left"), ("M", "left"), ("N1", "right"), ("W", "right")}
    inside = [s["step"] for s in level(out)["sheets"] if (s["wall"], s["face"]) in faces]
    # of the other room only what ties this one's corners may come between
    assert len(inside) >= (max(inside) - min(inside) + 1) * 0.6


@st.composite
def rings(draw) -> tuple[int, list[tuple[int, int]]]:
    size = draw(st.integers(2, 12))
    number = st.integers(0, size - 1)
    return size, draw(st.lists(st.tuples(number, number).filter(lambda pair: pair[0] != pair[1]), max_size=40))


@settings(max_examples=200, deadline=None)
@given(rings())
def test_an_order_is_found_whatever_the_rules_and_keeps_all_it_says_it_keeps(made):
    many, pairs = made
    rules = [Before(first, then, "because") for first, then in dict.fromkeys(pairs)]
    order = in_order([(number,) for number in range(many)], rules)
    assert sorted(order.steps) == list(range(1, many + 1))
    for rule in rules:
        assert (order.steps[rule.first] < order.steps[rule.then]) or rule in order.broken
    graph: dict[int, set[int]] = {number: set() for number in range(many)}
    for rule in rules:
        graph[rule.then].add(rule.first)
    ring = has_ring(graph)
    assert bool(order.broken) == ring


def has_ring(graph: dict[int, set[int]]) -> bool:
    from graphlib import CycleError

    try:
        list(TopologicalSorter(graph).static_order())
    except CycleError:
        return True
    return False


def test_what_no_ring_holds_keeps_its_rules():
    # 0 and 1 wait for each other; 2 waits for 1, and nothing asks for that to be broken, however much 2 is wished for.
    rules = [Before(0, 1, "a"), Before(1, 0, "b"), Before(1, 2, "c", is_tie=True)]
    order = in_order([(5,), (6,), (0,)], rules)
    assert rules[2] not in order.broken
    assert order.steps[1] < order.steps[2]
    assert all(one != two for one, two in pairwise(sorted(order.steps)))
