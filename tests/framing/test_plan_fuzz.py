"""Whatever is done to a plan file, it is read and counted, or refused with PlanMistakes: nothing else ever escapes."""

from __future__ import annotations

import json
from copy import deepcopy
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from framing.plan import PlanMistakes
from framing.readers import read_plan
from framing.takeoff import takeoff
from tests.framing.floor import Json, door, plan, room, wall

SMALL = plan(
    wall("A", (0, 0), (140, 0), ends={"to": "structure"}, left_height="8'-0\""),
    wall("B", (0, 0), (0, 96), openings=[door("D1", "30", hinge="near", swing="left")], layout_from="to"),
    wall("S", (60, 0), (60, 80), height_from="9'-0\"", height_to="10'-0\""),
    junctions=[{"walls": ["A", "B"], "through": "B"}],
    practice={"slot": "3/4", "floor_gap": "3/8"},
)
del SMALL["levels"][0]["walls"][2]["height"]

VALUES = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**9), 10**9),
    st.floats(allow_nan=True, allow_infinity=True),
    st.text(max_size=6),
    st.sampled_from(
        ["0", "-1", "1/3", "9'-0\"", "3 5/8", "1 mm", "0.0001 mm", "A", "P1", "free", "to", "left", "door"]
    ),
    st.builds(list),
    st.builds(dict),
    st.lists(st.integers(-200, 200), min_size=1, max_size=3),
)


def places(value: Any, path: tuple = ()) -> list[tuple]:
    """Every path into a JSON value."""
    found = [path]
    if isinstance(value, dict):
        for key, inner in value.items():
            found += places(inner, (*path, key))
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            found += places(inner, (*path, index))
    return found


PATHS = [path for path in places(SMALL) if path]


@st.composite
def mutated(draw) -> Json:
    made = deepcopy(SMALL)
    for _ in range(draw(st.integers(1, 3))):
        path = draw(st.sampled_from(PATHS))
        at: Any = made
        try:
            for step in path[:-1]:
                at = at[step]
            match draw(st.sampled_from(["set", "delete", "double", "rename"])):
                case "set":
                    at[path[-1]] = draw(VALUES)
                case "delete":
                    del at[path[-1]]
                case "double" if isinstance(at, list):
                    at.append(deepcopy(at[path[-1]]))
                case "rename" if isinstance(at, dict):
                    at[draw(st.text(max_size=4))] = at.pop(path[-1])
        except (KeyError, IndexError, TypeError):
            continue  # an earlier change took this place away
    return made


def read_or_refuse(text: bytes) -> bool:
    try:
        made = read_plan(text)
    except PlanMistakes as refused:
        assert refused.mistakes
        assert all(str(m).strip() for m in refused.mistakes)
        return False
    out = takeoff(made)
    assert out["counts"]
    return True


@settings(max_examples=150, deadline=None)
@given(mutated())
def test_a_changed_plan_is_counted_or_refused(made):
    assert read_or_refuse(json.dumps(made).encode()) in (True, False)


@settings(max_examples=60, deadline=None)
@given(st.binary(max_size=200))
def test_bytes_at_random_are_refused(text):
    assert read_or_refuse(text) is False


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10_000), st.integers(0, 255))
def test_one_wrong_byte_is_counted_or_refused(position, byte):
    text = bytearray(json.dumps(room()).encode())
    text[position % len(text)] = byte
    assert read_or_refuse(bytes(text)) in (True, False)


@settings(max_examples=60, deadline=None)
@given(
    at=st.integers(-10, 120),
    width=st.integers(1, 60),
    stem=st.integers(-20, 140),
    depth=st.integers(-100, 100),
    web=st.sampled_from(["162", "362", "800"]),
)
def test_doors_and_stems_anywhere_are_counted_or_refused(at, width, stem, depth, web):
    made = plan(
        wall("A", (0, 0), (120, 0), openings=[door("D1", at, width=width)]),
        wall("S", (stem, depth), (stem, 0)),
        types={"P1": {"stud": f"{web}S125-18", "track": f"{web}T125-18", "left": ["B58"], "right": ["B58"]}},
    )
    assert read_or_refuse(json.dumps(made).encode()) in (True, False)


def test_the_plan_that_is_changed_is_itself_sound():
    assert read_or_refuse(json.dumps(SMALL).encode())
