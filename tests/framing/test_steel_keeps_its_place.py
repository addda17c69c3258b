"""On any floor: no stud stands in another, every stud stands in its track, and no face is left without support.

Ground: steel takes up room (geometry); studs at most the type's spacing apart (common practice, no source).
"""

from __future__ import annotations

from collections import defaultdict
from fractions import Fraction
from itertools import pairwise

from hypothesis import given, settings

from tests.framing.floor import FLANGE, Json, level, room, size, spans, taken, wall_of
from tests.framing.test_plan_moves import floors

FEW = settings(max_examples=25, deadline=None)
HALF_FLANGE = FLANGE / 2


def by_wall(out: Json) -> dict[str, list[Json]]:
    found: dict[str, list[Json]] = defaultdict(list)
    for stud in level(out)["studs"]:
        found[stud["wall"]].append(stud)
    return found


@FEW
@given(floors())
def test_no_full_stud_stands_in_another_and_none_beyond_its_track(floor):
    out = taken(floor)
    for mark, standing in by_wall(out).items():
        full = sorted(size(s["at"]) for s in standing if s["role"] != "cripple")
        assert all(b - a >= FLANGE for a, b in pairwise(full)), f"{mark}: {full}"
        assert full[0] >= HALF_FLANGE
        assert full[-1] <= size(wall_of(out, mark)["track_length"]) - HALF_FLANGE


@FEW
@given(floors())
def test_supports_are_no_further_apart_than_the_spacing(floor):
    out = taken(floor)
    for mark, standing in by_wall(out).items():
        at = sorted({size(s["at"]) for s in standing})
        placed = {size(s["at"]) for s in standing if s["role"] not in ("layout", "cripple")}
        for a, b in pairwise(at):
            # a stud that its place asks for may stand on a mark instead of a layout stud, less than a flange beside it
            assert b - a <= 16 + (FLANGE if a in placed or b in placed else 0), f"{mark}: nothing from {a} to {b}"


@FEW
@given(floors())
def test_bottom_pieces_and_doors_make_up_the_track(floor):
    out = taken(floor)
    for w in level(out)["walls"]:
        doors = sum(
            size(o["width"])
            for drawn in floor["levels"][0]["walls"]
            if drawn["mark"] == w["mark"]
            for o in drawn.get("openings", [])
        )
        length = size(w["track_length"])
        assert sum(b - a for a, b in spans(out, w["mark"], "bottom")) == length - doors
        assert sum(b - a for a, b in spans(out, w["mark"], "top")) == length


@FEW
@given(floors())
def test_what_is_ordered_covers_what_is_counted(floor):
    out = taken(floor)
    steel = [row for row in out["order"] if row["product"].endswith("-18")]
    track = sum(size(r["stock_length"]) * r["count"] for r in steel if "T" in r["product"])
    studs = sum(size(r["stock_length"]) * r["count"] for r in steel if "S" in r["product"])
    assert track >= size(out["counts"]["track_in"])
    assert studs >= size(out["counts"]["stud_in"])
    for row in steel:
        assert row["count"] >= row["bound"] > 0
    for key, product in (
        ("pins", "track pins"),
        ("framing_screws", "framing screws"),
        ("board_screws", "board screws"),
    ):
        assert [r["count"] for r in out["order"] if r["product"] == product] == [out["counts"][key]]


def test_the_room_itself():
    out = taken(room())
    a = sorted(size(s["at"]) for s in by_wall(out)["A"])
    assert max(b - a for a, b in pairwise(a)) <= Fraction(16)
