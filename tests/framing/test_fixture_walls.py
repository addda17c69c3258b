"""The plan files that are shown as examples give the numbers that were worked for them by hand."""

from __future__ import annotations

import json
from pathlib import Path

from framing.readers import read_plan
from framing.takeoff import takeoff
from tests.framing.floor import cautions, junctions, pieces, room, taken

WALLS = Path(__file__).resolve().parents[2] / "fixtures" / "walls"


def counted(name: str) -> dict:
    return json.loads(json.dumps(takeoff(read_plan(WALLS / name))))


def test_the_room_is_the_one_worked_by_hand():
    shown, worked = counted("room.json"), taken(room())
    assert shown["counts"] == worked["counts"]
    assert shown["levels"] == worked["levels"]
    assert shown["counts"]["board_net_sqft"] == "288.0421"


def test_the_door_corner_has_nothing_to_spare():
    # common practice, no source: tab 6, slot 5/8, stud 1 1/2, board 5/8, stud 1 1/2 = 10 1/4
    out = counted("door-corner.json")
    assert len(junctions(out, "door corner")) == 1
    assert pieces(out, "B", "bottom")[0]["length"] == "10.25"
    assert cautions(out, "short leg") == []
