"""The same floor turned by any angle, renamed, listed in another order, or with a wall drawn as two, counts the same.

Ground: geometry; and of a wall drawn as two in line, the plan file's rules: each part has a stud at its end and its own
layout, and everything that is measured by length or area stays.
"""

from __future__ import annotations

from copy import deepcopy
from fractions import Fraction
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from tests.framing.floor import Json, size, taken, wall_of
from tests.framing.test_plan_moves import FEW, _read, floors, moved, q, same_counts

CUT_FROM_STOCK = ("sheets", "board_bought_sqft")  # counted at the wall whose piece is cut first


@FEW
@given(floors(), st.sampled_from([(3, 4, 5), (-5, 12, 13), (8, -15, 17)]), st.booleans())
def test_turning_by_an_angle_with_whole_sides_changes_no_count(floor, sides, is_mirrored):
    # A turn by atan(4/3) and its like keeps every length rational, so the same floor must come out to the tick.
    a, b, c = sides
    unit = Fraction(1, c)

    def turn(x: Fraction, y: Fraction) -> tuple[Fraction, Fraction]:
        x = -x if is_mirrored else x
        return (a * x - b * y) * unit, (b * x + a * y) * unit

    # Thirteenths and seventeenths of an inch are no lengths: the floor is drawn c times an eighth instead.
    whole = moved(floor, lambda x, y: (_eighths(x, c), _eighths(y, c)))
    assert same_counts(whole, moved(whole, turn, mirror=is_mirrored))


def _eighths(value: Fraction, times: int) -> Fraction:
    """The nearest multiple of `times` eighths of an inch."""
    return Fraction(round(value * 8 / times) * times, 8)


@FEW
@given(floors(), st.permutations(["S", "E", "N", "W", "P", "F"]))
def test_other_marks_change_nothing(floor, marks):
    named = dict(zip("SENWPF", (f"{mark}-{mark}" for mark in marks), strict=True))
    other = deepcopy(floor)
    for wall in other["levels"][0]["walls"]:
        wall["mark"] = named[wall["mark"]]
    assert same_counts(floor, other)


@FEW
@given(floors(), st.permutations(range(6)))
def test_another_order_of_walls_without_ties_changes_no_count(floor, order):
    other = deepcopy(floor)
    walls = other["levels"][0]["walls"]
    other["levels"][0]["walls"] = [walls[place] for place in order]
    one, two = taken(floor), taken(other)
    for mark in "SENWPF":
        ours, theirs = (wall_of(out, mark)["counts"] for out in (one, two))
        for name in ours.keys() - set(CUT_FROM_STOCK):
            assert ours[name] == theirs[name], (mark, name)
    assert one["counts"] == two["counts"]
    assert {j["kind"]: None for j in one["levels"][0]["junctions"]} == {
        j["kind"]: None for j in two["levels"][0]["junctions"]
    }
    assert steel_ordered(one) == steel_ordered(two)


def steel_ordered(out: Json) -> list[Any]:
    return [(line["product"], line["count"]) for line in out["order"] if line["product"][:3].isdigit()]


@FEW
@given(floors(), st.integers(20, 28))
def test_a_wall_drawn_as_two_in_line_changes_only_studs_and_pieces(floor, fortieths):
    # P stands between two tees, so no corner of its own asks which wall is the longer.
    whole = deepcopy(floor)
    walls = whole["levels"][0]["walls"]
    (long,) = [wall for wall in walls if wall["mark"] == "P"]
    long.pop("openings", None)
    (x, low), (_, high) = (map(_read, long[end]) for end in ("from", "to"))
    middle = q(Fraction(round((low + (high - low) * fortieths / 40) * 8), 8))
    parts = deepcopy(whole)
    two = [wall for wall in parts["levels"][0]["walls"] if wall["mark"] == "P"]
    two[0]["to"] = [q(x), middle]
    parts["levels"][0]["walls"].append(two[0] | {"mark": "P2", "from": [q(x), middle], "to": long["to"]})
    one, other = taken(whole), taken(parts)
    same = ("track_in", "sealant_in", "board_net_sqft", "bead_in", "corners", "door_corners", "openings", "extras")
    for name in same:
        assert one["counts"][name] == other["counts"][name], name
    # An end stud on either side of the joint; the second part's layout may stand one stud otherwise.
    assert 0 <= other["counts"]["studs"] - one["counts"]["studs"] <= 3
    # The only new tape is at the joint, once on each face.
    assert [j["kind"] for j in other["levels"][0]["junctions"]].count("in line") == 1
    assert faces(one, "P") == faces(other, "P", "P2")


def faces(out: Json, *marks: str) -> dict[tuple[str, int], Fraction]:
    """How far each layer of each face runs, over these walls together."""
    runs: dict[tuple[str, int], Fraction] = {}
    for mark in marks:
        for face in wall_of(out, mark)["faces"]:
            key = (face["face"], face["layer"])
            runs[key] = runs.get(key, Fraction(0)) + size(face["run_in"])
    return runs
