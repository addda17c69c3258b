"""Sheets cover every face exactly once, and never an opening twice or a joint in the air.

Independent measure: shapely (a geometry library) unites the sheets' rectangles and subtracts the openings; the area
left has to be the net board that is printed. Exact: the same areas in fractions.
Ground for the joints: Gypsum Association, "Using Gypsum Board", section III: edges on framing; fire listing U419 item
5B: vertical joints centred over studs and staggered at least one stud cavity on opposite sides. Sheets are 48 in wide.
"""

from __future__ import annotations

from collections import defaultdict
from fractions import Fraction

import pytest
from hypothesis import given, settings
from shapely.geometry import box
from shapely.ops import unary_union

from tests.framing.floor import BOARD, Json, door, face_of, level, plan, printed, room, size, taken, wall, wall_type
from tests.framing.test_plan_moves import floors

STOCK_AREA = {length: 48 * Fraction(length) for length in BOARD["lengths"]}


def window(mark: str, at: str) -> Json:
    return {"mark": mark, "kind": "window", "at": at, "width": "40", "height": "36", "sill": "40"}


FLOORS = {
    "room": room(),
    "tee and cross": plan(
        wall("T1", (0, 0), (240, 0), openings=[door("D1", "40"), window("W1", "150")]),
        wall("S1", (120, 100), (120, 0), openings=[door("D2", "20")]),
        wall("C1", (200, -90), (200, 90)),
    ),
    "tall and layered": plan(
        wall("A", (0, 0), (200, 0), height="11'-6\"", type="L"),
        wall("B", (0, 0), (0, 150), height="10'-0\"", openings=[door("D1", "8", height="7'-2\"")]),
        types={"P1": wall_type(), "L": wall_type("600", left=["B58", "B58"], head_gap="1/2")},
    ),
}


def rectangles(out: Json) -> dict[tuple[str, str, int], list[tuple[Fraction, ...]]]:
    """By wall, face and layer: each sheet's left, bottom, right and top."""
    found = defaultdict(list)
    for s in level(out)["sheets"]:
        at, bottom, width, height = (size(s[key]) for key in ("at", "bottom", "width", "height"))
        found[s["wall"], s["face"], s["layer"]].append((at, bottom, at + width, bottom + height))
    return found


def holes(out: Json, made: Json, mark: str, face: str) -> list[tuple[Fraction, ...]]:
    """The openings of a face, along the bottom track's start, above the floor gap."""
    if face in ("from end", "to end"):
        return []
    (w,) = [w for w in made["levels"][0]["walls"] if w["mark"] == mark]
    (joint_grown,) = [grown_at_start(out, made, mark)]
    made_holes = []
    for opening in w.get("openings", []):
        at = size(opening["at"]) + joint_grown
        low = max(size(opening.get("sill", "0")), Fraction(1, 2))
        top = size(opening.get("sill", "0")) + inches_of(opening["height"])
        made_holes.append((at, low, at + size(opening["width"]), top))
    return made_holes


def inches_of(text: str) -> Fraction:
    if "'" not in text:
        return Fraction(text)
    feet, rest = text.split("'")
    return Fraction(feet) * 12 + Fraction(rest.strip('-"') or 0)


def grown_at_start(out: Json, made: Json, mark: str) -> Fraction:
    """How far the track starts before the wall's line: known by hand for each wall of the floors above."""
    starts = {
        "room": {"A": Fraction("1.8125"), "B": Fraction("1.8125")},
        "tee and cross": {"T1": Fraction(0), "S1": Fraction(0), "C1": Fraction(0)},
        "tall and layered": {"A": Fraction("1.8125"), "B": Fraction(3)},
    }
    (name,) = [name for name, floor in FLOORS.items() if floor is made]
    return starts[name][mark]


@pytest.mark.parametrize("name", FLOORS)
def test_sheets_less_openings_are_the_net_board(name):
    made = FLOORS[name]
    out = taken(made)
    total = Fraction(0)
    for (mark, face, layer), sheets in rectangles(out).items():
        exact = sum((right - left) * (top - bottom) for left, bottom, right, top in sheets)
        cut = sum(overlap(sheet, hole) for sheet in sheets for hole in holes(out, made, mark, face))
        total += exact - cut
        whole = unary_union([box(*map(float, sheet)) for sheet in sheets])
        for hole in holes(out, made, mark, face):
            whole = whole.difference(box(*map(float, hole)))
        assert whole.area == pytest.approx(float(exact - cut), abs=1e-6), "overlap or opening covered twice"
        assert face_of(out, mark, face, layer)["board_net_sqft"] == printed((exact - cut) / 144)
    assert out["counts"]["board_net_sqft"] == printed(total / 144)


def overlap(a: tuple[Fraction, ...], b: tuple[Fraction, ...]) -> Fraction:
    across = min(a[2], b[2]) - max(a[0], b[0])
    up = min(a[3], b[3]) - max(a[1], b[1])
    return across * up if across > 0 and up > 0 else Fraction(0)


@pytest.mark.parametrize("name", FLOORS)
def test_sheets_lie_within_their_face_and_cover_it_but_for_openings(name):
    made = FLOORS[name]
    out = taken(made)
    for (mark, face, layer), sheets in rectangles(out).items():
        told = face_of(out, mark, face, layer)
        height = size(told["height_in"])
        left = min(s[0] for s in sheets)
        assert max(s[2] for s in sheets) - left == size(told["run_in"]) or mark == "C1"
        if mark == "C1":
            continue
        whole = box(float(left), 0.5, float(left + size(told["run_in"])), float(Fraction(1, 2) + height))
        for hole in holes(out, made, mark, face):
            whole = whole.difference(box(*map(float, hole)))
        covered = unary_union([box(*map(float, s)) for s in sheets])
        assert whole.difference(covered).area < 1e-6, f"{mark} {face}: bare steel"
        bounds = box(float(left), 0.5, float(left + size(told["run_in"])), float(Fraction(1, 2) + height))
        assert covered.difference(bounds).area < 1e-6, f"{mark} {face}: board beyond the face"


def no_overlap(out: Json) -> None:
    for key, sheets in rectangles(out).items():
        for i, a in enumerate(sheets):
            for b in sheets[i + 1 :]:
                assert overlap(a, b) == 0, f"{key}: {a} over {b}"


@settings(max_examples=10, deadline=None)
@given(floors())
def test_no_two_sheets_overlap_and_none_is_larger_than_stock_on_any_floor(floor):
    out = taken(floor)
    no_overlap(out)
    for s in level(out)["sheets"]:
        assert 0 < size(s["width"]) <= 48
        assert 0 < size(s["height"]) <= 144
    for w in level(out)["walls"]:
        for f in w["faces"]:
            assert (w["mark"], f["face"], f["layer"]) in rectangles(out)


@pytest.mark.parametrize("name", FLOORS)
def test_standing_joints_are_over_studs(name):
    out = taken(FLOORS[name])
    for (mark, face, _), sheets in rectangles(out).items():
        edges = {s[0] for s in sheets} | {s[2] for s in sheets}
        inner = edges - {min(edges), max(edges)}
        at = {size(s["at"]) for s in level(out)["studs"] if s["wall"] == mark}
        for joint in inner:
            on_jamb = any(joint in (h[0], h[2]) for h in holes(out, FLOORS[name], mark, face))
            on_gap = mark == "C1" and joint in (Fraction("87.5625"), Fraction("92.4375"))
            assert joint in at or on_jamb or on_gap, f"{mark} {face}: joint at {joint} over no stud"


def test_joints_of_the_two_faces_are_staggered():
    out = taken(plan(wall("A", (0, 0), (240, 0), ends={"from": "structure", "to": "structure"})))
    joints = {}
    for face in ("left", "right"):
        sheets = rectangles(out)["A", face, 1]
        joints[face] = {s[0] for s in sheets} - {Fraction(0)}
    assert joints["left"] and joints["right"]
    nearest = min(abs(a - b) for a in joints["left"] for b in joints["right"])
    assert nearest >= 16  # one stud cavity


@pytest.mark.parametrize("name", FLOORS)
def test_sheets_bought_hold_what_is_cut_from_them(name):
    out = taken(FLOORS[name])
    cut: dict[str, Fraction] = defaultdict(Fraction)
    for s in level(out)["sheets"]:
        cut[s["sheet"]] += size(s["width"]) * size(s["height"])
    assert len(cut) == out["counts"]["sheets"]
    assert all(area <= 48 * 144 for area in cut.values())
    bought = sum(row["count"] for row in out["order"] if row["product"] == "B58")
    assert bought == out["counts"]["sheets"]
    assert size(out["counts"]["board_bought_sqft"]) >= size(out["counts"]["board_net_sqft"])


def test_a_short_wall_by_hand():
    # 96 in between structure, 9 ft: two full sheets of 9 ft a face or, staggered, 1 + 2 halves: never fewer than 2.
    out = taken(plan(wall("A", (0, 0), (96, 0), ends={"from": "structure", "to": "structure"})))
    assert size(out["counts"]["board_net_sqft"]) == Fraction("143.3333")
    assert 4 <= out["counts"]["sheets"] <= 5
    # bought: 9 ft sheets of 36 sq ft
    assert size(out["counts"]["board_bought_sqft"]) == 36 * out["counts"]["sheets"]
