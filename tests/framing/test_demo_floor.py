"""The demo floor's plan file is what its script writes, and its tight corners are seen."""

from __future__ import annotations

import json
from fractions import Fraction

from fixtures.demo.floor import PLAN_FILE, plan_text
from framing.length import TICKS_PER_INCH, parse_length
from framing.readers import read_plan
from framing.takeoff import takeoff
from tests.framing.floor import cautions, size


def test_the_plan_file_is_what_the_script_writes():
    assert PLAN_FILE.read_text() == plan_text()


def test_the_floor_has_every_kind_of_joint_and_tells_its_one_short_leg():
    out = json.loads(json.dumps(takeoff(read_plan(PLAN_FILE))))
    (floor,) = out["levels"]
    assert len(floor["walls"]) == 48
    kinds = {j["kind"] for j in floor["junctions"]}
    assert kinds == {"corner", "door corner", "tee", "cross", "in line", "free end", "structure"}
    # drawn 2 1/2 in clear of the crossing steel; 1 1/4 in flanges need 3 3/4
    (caution,) = cautions(out, "short leg")
    assert (caution["opening"], size(caution["by"])) == ("W-42-D1", Fraction(5, 4))
    assert cautions(out, "door beside a tee") == []
    # the drawn ones: W-34, W-40, W-42 and W-43 have their doors beside a corner
    assert out["counts"]["door_corners"] == 4
    assert {w["type"] for w in floor["walls"]} == {"P1", "P2", "P3"}


def ends_met(walls: list[dict], mine: dict, point: tuple[Fraction, Fraction]) -> tuple[str, dict | None]:
    """What the end of a wall meets, found anew from the drawn lines: a corner, a tee, a wall in line, or nothing."""
    meets: tuple[str, dict | None] = ("nothing", None)
    for other in walls:
        if other is mine:
            continue
        (ax, ay), (bx, by) = other["line"]
        on_line = min(ax, bx) <= point[0] <= max(ax, bx) and min(ay, by) <= point[1] <= max(ay, by)
        if not on_line:
            continue
        same_way = (ax == bx) == (mine["line"][0][0] == mine["line"][1][0])
        if same_way:
            meets = ("in line", other) if meets[0] == "nothing" else meets
        else:
            meets = ("corner" if point in other["line"] else "tee", other)
    return meets


def test_every_wall_of_the_floor_is_as_long_as_its_two_ends_make_it():
    # corner: half the other's width more. Tee: half the through wall's width and the slot less (5/8; 1 1/4 for W-41,
    # which meets the two boards of W-17). Structure, free and in line: as drawn. W-31, longer than W-28, runs through
    # their cross, so W-28 stops one slot short on both sides: 3 5/8 + 2 x 5/8 less. Common practice, no source.
    half = {"P1": Fraction("1.8125"), "P2": Fraction(3), "P3": Fraction("1.8125")}
    drawn = json.loads(PLAN_FILE.read_text())["levels"][0]["walls"]
    walls = [
        {
            **w,
            "line": [tuple(Fraction(parse_length(part), TICKS_PER_INCH) for part in w[end]) for end in ("from", "to")],
        }
        for w in drawn
    ]
    out = json.loads(json.dumps(takeoff(read_plan(PLAN_FILE))))
    counted = {w["mark"]: size(w["track_length"]) for w in out["levels"][0]["walls"]}
    for w in walls:
        (ax, ay), (bx, by) = w["line"]
        length = abs(bx - ax) + abs(by - ay) - (Fraction("4.875") if w["mark"] == "W-28" else 0)
        for end, point in zip(("from", "to"), w["line"], strict=True):
            if w.get("ends", {}).get(end) == "structure":
                continue
            kind, other = ends_met(walls, w, point)
            if kind == "corner":
                length += half[other["type"]]
            elif kind == "tee":
                slot = Fraction("1.25") if (w["mark"], other["mark"]) == ("W-41", "W-17") else Fraction("0.625")
                length -= half[other["type"]] + slot
        assert counted[w["mark"]] == length, w["mark"]
