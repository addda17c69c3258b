"""The demo floor's plan file is what its script writes, and its tight corners are seen."""

from __future__ import annotations

import json
from fractions import Fraction

from fixtures.demo.floor import PLAN_FILE, plan_text
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
