"""The only door to the framing engine: plan bytes in, counts out.

Everything here is the engine's answer as `takeoff` prints it; `jobs.measures` makes quantities of it.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from framing.plan import PlanMistakes
from framing.readers import read_plan
from framing.takeoff import takeoff
from jobs.refusals import Invalid, Mistake


@dataclass(frozen=True, slots=True)
class CountedPlan:
    """A plan as read and taken off. `levels` are those of the take-off's JSON, with reasons."""

    source_sha256: str
    reader: str
    levels: list[dict[str, Any]]
    order: list[Any]
    totals: dict[str, Any]
    cautions: list[dict[str, Any]]


def count_plan(source: bytes, source_name: str) -> CountedPlan:
    """Read a plan and take it off. Raises Invalid with every mistake of the plan, each a sentence of the reader."""
    try:
        plan = read_plan(source, name=source_name)
        counted = takeoff(plan, explain=True)
    except PlanMistakes as mistakes:
        raise Invalid(*(Mistake("plan", str(sentence)) for sentence in mistakes.mistakes)) from mistakes
    levels = counted["levels"]
    return CountedPlan(
        source_sha256=hashlib.sha256(source).hexdigest(),
        reader=source_name.rsplit(".", 1)[-1].lower(),
        levels=levels,
        order=counted.get("order", []),
        totals=counted.get("counts", {}),
        cautions=[caution | {"level": level["name"]} for level in levels for caution in level.get("cautions", [])],
    )


def wall_pieces(level: Mapping[str, Any], mark: str) -> dict[str, Any]:
    """What the take-off lists by level, for one wall alone, and under `because` the reasons of its counts."""

    def of_wall(name: str) -> list[Any]:
        return [piece for piece in level.get(name, []) if piece.get("wall") == mark]

    def with_wall(name: str) -> list[Any]:
        return [found for found in level.get(name, []) if mark in found.get("walls", [])]

    wall = next(found for found in level["walls"] if found["mark"] == mark)
    return {
        "because": wall.get("because", {}),
        "studs": of_wall("studs"),
        "track_pieces": of_wall("track_pieces"),
        "sheets": of_wall("sheets"),
        "junctions": with_wall("junctions"),
        "cautions": with_wall("cautions"),
    }


def wall_geometry(wall: Mapping[str, Any]) -> dict[str, Any]:
    """A wall's lengths and openings: all that the take-off says of it but counts, faces and their reasons."""
    return {key: value for key, value in wall.items() if key not in {"counts", "faces", "because"}}
