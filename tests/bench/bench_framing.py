"""The engine's speed: a level counted whole, its junctions alone, and how both grow with the number of walls."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from functools import cache, partial

from framing.count import count_level
from framing.junctions import find_junctions
from framing.readers import read_plan
from framing.takeoff import takeoff
from tests.bench.floors import floor_plan, floor_text
from tests.bench.harness import Figure

FLOOR, LEVEL, CITY = 480, 10_000, 100_000
"""Walls: ten floors of the demo, a large level, and as many as a plan may have."""


def figures() -> list[Figure]:
    plain = "a loop that divides lengths by spacings and multiplies areas"
    tree = "shapely's STRtree of the same segments, built and asked segment by segment"
    at_once = "the same tree asked for all segments in one call of its library"
    few = "a level of 1,000 walls"
    return [
        Figure("take-off of a floor", "walls", partial(_pieces, FLOOR), None, "", 2000, "at least"),
        Figure("take-off of a floor, reasons and printing included", "walls", _printed, None, "", 500, "at least"),
        Figure("reading a plan file", "walls", _read, None, "", 2000, "at least"),
        Figure("take-off of a level with layout, order and reasons, against plain counts", "walls",
               partial(_pieces, LEVEL, explain=True), partial(_plain, LEVEL), plain, 1000, "at most", rounds=3),
        Figure("junctions of a level", "walls", _junctions, _tree, tree, 3, "at most"),
        Figure("junctions of a level, against the tree in one call", "walls",
               _junctions, _tree_at_once, at_once, 10, "at most"),
        *(
            Figure(f"take-off of {walls:,} walls, as fast wall for wall as a small level", "walls",
                   partial(_alone_said, walls), partial(_alone_said, 1000), few, 0.8, "at least", rounds=rounds)
            for walls, rounds in ((LEVEL, 3), (CITY, 1))
        ),
    ]  # fmt: skip


def _read() -> int:
    return len(read_plan(floor_text(FLOOR)).levels[0].walls)


def _pieces(walls: int, *, explain: bool = False) -> int:
    plan = floor_plan(walls)
    return len(count_level(plan.levels[0], plan.practice, explain=explain).walls)


def _printed() -> int:
    return len(takeoff(floor_plan(FLOOR), explain=True)["levels"][0]["walls"])


def _plain(walls: int) -> int:
    level = floor_plan(walls).levels[0]
    studs = area = 0
    for wall in level.walls:
        studs += wall.length // wall.type.spacing + 1 + 2 * len(wall.openings)
        solid = wall.length * wall.highest - sum(opening.width * opening.height for opening in wall.openings)
        area += solid * (len(wall.type.left) + len(wall.type.right))
    return len(level.walls) if studs and area else 0


def _junctions() -> int:
    plan = floor_plan(LEVEL)
    level = replace(plan.levels[0])  # one whose junctions are not known yet
    return len(level.walls) if find_junctions(level, plan.practice).found else 0


def _tree() -> int:
    from shapely import LineString, STRtree

    segments = [LineString([wall.start, wall.end]) for wall in floor_plan(LEVEL).levels[0].walls]
    tree = STRtree(segments)
    return len([tree.query(segment) for segment in segments])


def _tree_at_once() -> int:
    from shapely import STRtree, linestrings

    segments = linestrings([(wall.start, wall.end) for wall in floor_plan(LEVEL).levels[0].walls])
    return len(segments) if STRtree(segments).query(segments).size else 0


def _alone_said(walls: int) -> int:
    """Count a level as often as makes up the same number of walls; its memory is said once, in the first round."""
    _memory_said(walls)
    return sum(_pieces(walls) for _ in range(max(1, LEVEL // walls)))


@cache
def _memory_said(walls: int) -> None:
    """Reading and counting in a process of their own, for their memory."""
    command = [sys.executable, "-m", "tests.bench.floor_alone", str(walls)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    print(f"  {done.stdout.strip()}", flush=True)
