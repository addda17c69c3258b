"""Board on floors drawn at random: every face covered once, openings never, joints where they should be.

Independent measure: shapely unites the rectangles and takes the openings off; exact sums are made again in fractions
from the plan. Ground for joints: NAVEDTRA 14044 p.5-6 (6 in from an opening's edge; staggered), fire listing U419 item
5B (staggered on opposite sides).
"""

from __future__ import annotations

from collections import defaultdict
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import box
from shapely.ops import unary_union

from tests.framing.floor import (
    Json,
    cautions,
    door,
    face_of,
    level,
    plan,
    printed,
    size,
    taken,
    wall,
    wall_of,
    wall_type,
)
from tests.framing.test_plan_moves import TYPES, floors, q
from tests.framing.test_sheets_cover_once import overlap, rectangles

GAP = Fraction(1, 2)
HEIGHT = Fraction(108)
Rect = tuple[Fraction, ...]


@st.composite
def boarded(draw) -> Json:
    """Such a floor with a window and with more layers on some faces."""
    made = draw(floors())
    layers = st.sampled_from([["B58"], ["B58", "B58"]])
    made["wall_types"] = {name: {**kind, "left": draw(layers), "right": draw(layers)} for name, kind in TYPES.items()}
    made["practice"] = {"slot": "1 1/4"}
    (west,) = [one for one in made["levels"][0]["walls"] if one["mark"] == "W"]  # no other wall runs into it
    at = Fraction(draw(st.integers(20 * 8, 60 * 8)), 8)
    sill = Fraction(draw(st.integers(8 * 8, 50 * 8)), 8)
    west["openings"] = [{"mark": "W1", "kind": "window", "at": q(at), "width": "40", "height": "36", "sill": q(sill)}]
    return made


def holes(out: Json, made: Json, mark: str) -> list[Rect]:
    """Openings above the floor gap, from the plan's own figures; along the bottom track's start."""
    (drawn,) = [one for one in made["levels"][0]["walls"] if one["mark"] == mark]
    start = size(wall_of(out, mark)["track_start_in"])
    found = []
    for one in drawn.get("openings", []):
        low, sill = read(one["at"]) - start, read(one.get("sill", "0"))
        found.append((low, max(sill, GAP), low + read(one["width"]), sill + read(one["height"])))
    return found


def read(text: Any) -> Fraction:
    return sum((Fraction(part) for part in str(text).split()), Fraction(0))


@settings(max_examples=25, deadline=None)
@given(boarded())
def test_board_covers_each_face_once_and_openings_never(made):
    out = taken(made)
    for (mark, face, layer), sheets in rectangles(out).items():
        if face not in ("left", "right"):
            continue
        cut = holes(out, made, mark)
        low, high = min(s[0] for s in sheets), max(s[2] for s in sheets)
        whole = (low, GAP, high, HEIGHT)
        net = (high - low) * (HEIGHT - GAP) - sum(overlap(whole, hole) for hole in cut)
        assert face_of(out, mark, face, layer)["board_net_sqft"] == printed(net / 144)
        assert sum((s[2] - s[0]) * (s[3] - s[1]) - sum(overlap(s, hole) for hole in cut) for s in sheets) == net
        clear = unary_union([box(*map(float, s)) for s in sheets])
        for hole in cut:
            clear = clear.difference(box(*map(float, hole)))
        assert clear.area == pytest.approx(float(net), abs=1e-6), "pieces overlap, or leave bare steel"


def upright_joints(sheets: list[Rect]) -> set[Fraction]:
    """Places at which two pieces of one face meet edge to edge."""
    return {
        two[0]
        for one in sheets
        for two in sheets
        if one[2] == two[0] and one[1] < two[3] and two[1] < one[3]
    }  # fmt: skip


@settings(max_examples=25, deadline=None)
@given(boarded())
def test_no_upright_joint_is_within_6_in_of_an_openings_edge_unless_told(made):
    out = taken(made)
    told = {(c["walls"][0], c["opening"]) for c in cautions(out, "joint beside an opening")}
    for (mark, face, _), sheets in rectangles(out).items():
        if face not in ("left", "right"):
            continue
        edges = [(edge, hole) for hole in holes(out, made, mark) for edge in (hole[0], hole[2])]
        for at in upright_joints(sheets):
            near = [edge for edge, _ in edges if abs(at - edge) < 6]
            assert not near or any(whose == mark for whose, _ in told), f"{mark} {face}: joint at {at} beside {near}"


@settings(max_examples=25, deadline=None)
@given(boarded())
def test_joints_of_both_faces_and_of_layers_are_staggered_where_no_opening_crowds_them(made):
    out = taken(made)
    found: dict[tuple[str, str, int], set[Fraction]] = defaultdict(set)
    for (mark, face, layer), sheets in rectangles(out).items():
        if face in ("left", "right") and not holes(out, made, mark):
            found[mark, face, layer] = upright_joints(sheets)
    for (mark, face, layer), own in found.items():
        other = "right" if face == "left" else "left"
        assert not own & found.get((mark, other, layer), set()), f"{mark}, layer {layer}: joints back to back"
        assert not own & found.get((mark, face, layer + 1), set()), f"{mark} {face}: layers joint on joint"


@settings(max_examples=20, deadline=None)
@given(st.integers(100 * 8, 400 * 8), st.integers(1, 99), st.booleans())
def test_a_wall_drawn_in_two_changes_only_what_it_should(eighths, share, has_door):
    length = Fraction(eighths, 8)
    cut = Fraction(round(length * share / 100 * 8), 8)
    # each part needs room for its two studs, and the door's place is on one part alone
    cut = min(max(cut, Fraction(60)), length - 40)
    openings = {"openings": [door("D1", "8", width="30")]} if has_door else {}
    at_structure = {"from": "structure", "to": "structure"}
    one = plan(wall("A", (0, 0), (q(length), 0), ends=at_structure, **openings), types={"P1": wall_type()})
    two = plan(
        wall("A", (0, 0), (q(cut), 0), ends={"from": "structure", "to": "auto"}, **openings),
        wall("B", (q(cut), 0), (q(length), 0), ends={"from": "auto", "to": "structure"}),
        types={"P1": wall_type()},
    )
    whole, parts = taken(one), taken(two)
    for name in ("board_net_sqft", "track_in", "bead_in", "corners", "openings", "sealant_in", "extras"):
        assert whole["counts"][name] == parts["counts"][name], name
    # a stud more at each side of the joint, less what stood where they stand
    assert 0 <= parts["counts"]["studs"] - whole["counts"]["studs"] <= 2
    # tape over the joint of both faces, less a sheet's joint or two that now falls on it, or moved off it
    more = size(parts["counts"]["tape_in"]) - size(whole["counts"]["tape_in"])
    assert more % (HEIGHT - GAP) in (0, HEIGHT - 84, 84 - GAP)
    assert {c["kind"] for c in level(parts)["cautions"]} <= {c["kind"] for c in level(whole)["cautions"]}
