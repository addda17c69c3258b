"""Walls a second: a level counted whole, against a loop that only divides lengths and multiplies areas."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

from framing.count import count_level
from framing.plan import Plan
from framing.readers import read_plan
from framing.takeoff import takeoff
from tests.bench.harness import Figure

DEMO = Path(__file__).parents[2] / "fixtures" / "demo" / "plan.json"
COPIES = 10


def figures() -> list[Figure]:
    plain = "a loop that divides lengths by spacings and multiplies areas"
    return [
        Figure("take-off of a floor", "walls", _pieces, None, "", 2000, "at least"),
        Figure("take-off of a floor, against plain counts", "walls", _pieces, _plain, plain, 0.001, "at least"),
        Figure("take-off of a floor, with reasons", "walls", _printed, None, "", 500, "at least"),
        Figure("reading a plan file", "walls", _read, None, "", 2000, "at least"),
    ]  # fmt: skip


@cache
def _text() -> bytes:
    """The demo floor several times over, side by side, as one level."""
    made = json.loads(DEMO.read_text())
    level = made["levels"][0]
    walls, rules = level["walls"], level.get("junctions", [])
    level["walls"] = [_moved(wall, copy) for copy in range(COPIES) for wall in walls]
    level["junctions"] = [
        {"walls": [f"{mark}/{copy}" for mark in rule["walls"]], "through": f"{rule['through']}/{copy}"}
        for copy in range(COPIES)
        for rule in rules
    ]
    made["levels"] = [level]
    return json.dumps(made).encode()


def _moved(wall: dict, copy: int) -> dict:
    from framing.length import inch, length_text, parse_length

    def shifted(point: list) -> list:
        return [length_text(parse_length(point[0]) + copy * inch(12 * 1000)), point[1]]

    return wall | {"mark": f"{wall['mark']}/{copy}", "from": shifted(wall["from"]), "to": shifted(wall["to"])}


@cache
def _plan() -> Plan:
    return read_plan(_text())


def _read() -> int:
    return len(read_plan(_text()).levels[0].walls)


def _pieces() -> int:
    plan = _plan()
    return len(count_level(plan.levels[0], plan.practice).walls)


def _printed() -> int:
    return len(takeoff(_plan(), explain=True)["levels"][0]["walls"])


def _plain() -> int:
    walls = _plan().levels[0].walls
    studs = area = 0
    for wall in walls:
        studs += wall.length // wall.type.spacing + 1 + 2 * len(wall.openings)
        solid = wall.length * wall.highest - sum(opening.width * opening.height for opening in wall.openings)
        area += solid * (len(wall.type.left) + len(wall.type.right))
    return len(walls) if studs and area else 0
