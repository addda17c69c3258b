"""Levels of any size for the bench: the demo floor laid out again and again on a square grid, as one level."""

from __future__ import annotations

import json
from functools import cache
from math import isqrt
from pathlib import Path
from typing import Any

from framing.length import inch, length_text, parse_length
from framing.plan import Plan
from framing.readers import read_plan

DEMO = Path(__file__).parents[2] / "fixtures" / "demo" / "plan.json"
_PITCH = inch(12 * 120)
"""Floors stand this far apart: clear of one another by 20 ft or more, so that their junctions are those of the demo."""


@cache
def floor_text(walls: int) -> bytes:
    """A plan file with one level of at least so many walls, every mark with the number of its copy."""
    made = json.loads(DEMO.read_text())
    level = made["levels"][0]
    copies = -(-walls // len(level["walls"]))
    a_row = isqrt(copies - 1) + 1
    level["junctions"] = [
        {"walls": [f"{mark}/{copy}" for mark in rule["walls"]], "through": f"{rule['through']}/{copy}"}
        for copy in range(copies)
        for rule in level.get("junctions", [])
    ]
    level["walls"] = [
        _moved(wall, copy, (copy % a_row, copy // a_row)) for copy in range(copies) for wall in level["walls"]
    ]
    return json.dumps(made | {"levels": [level]}).encode()


def _moved(wall: dict[str, Any], copy: int, cell: tuple[int, int]) -> dict[str, Any]:
    def shifted(point: list[str]) -> list[str]:
        return [length_text(parse_length(at) + step * _PITCH) for at, step in zip(point, cell, strict=True)]

    return wall | {"mark": f"{wall['mark']}/{copy}", "from": shifted(wall["from"]), "to": shifted(wall["to"])}


@cache
def floor_plan(walls: int) -> Plan:
    """That level as read."""
    return read_plan(floor_text(walls))
