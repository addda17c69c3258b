"""A take-off with its reasons as JSON, within bounds.

    python -m framing.readers.apart FILE NAME WALLS SECONDS BYTES

For whoever counts files of strangers. What parses a model follows whatever the file says: shapes in shapes in shapes,
arrays of blocks without end; and it is partly not Python. A plan of a few lines may ask for millions of pieces. So both
are counted in a process of its own, which ends at its bounds of processor and memory and takes nobody with it. Prints
{"counted": ...} or {"mistakes": [...]}.
"""

from __future__ import annotations

import json
import resource
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

from framing.plan import Mistake, Plan, PlanMistakes
from framing.readers import is_model, read_plan
from framing.takeoff import takeoff


def counted(path: Path, name: str, most_walls: int) -> dict[str, Any]:
    """What is printed for the plan or model at `path`, which its sender calls `name`."""
    try:
        if is_model(path):
            return {"counted": _model_counted(path, name, most_walls)}
        plan = read_plan(path.read_bytes(), name=name)
        _refuse_more(plan, most_walls, "the plan", "Make a job of each building or wing.")
        return {"counted": takeoff(plan, explain=True)}
    except PlanMistakes as mistakes:
        return {"mistakes": PlanMistakes(mistakes.details, name).mistakes}


def _model_counted(path: Path, name: str, most_walls: int) -> dict[str, Any]:
    from framing.readers.models import read_model
    from framing.readers.models.printed import imported_takeoff

    model = read_model(path)
    _refuse_more(model.plan, most_walls, "the model", "Export a building or a wing alone.")
    return imported_takeoff(replace(model, plan=replace(model.plan, name=name[:200])), explain=True)


def _refuse_more(plan: Plan, most_walls: int, what: str, step: str) -> None:
    walls = sum(len(level.walls) for level in plan.levels)
    if walls > most_walls:
        raise PlanMistakes([Mistake(what, "", "", f"has {walls:,} walls, more than the {most_walls:,} of a job", step)])


def main() -> None:
    """Set the bounds, of seconds and bytes, and print the take-off of the file named."""
    path, name, *bounds = sys.argv[1:]
    most_walls, seconds, size = map(int, bounds)
    resource.setrlimit(resource.RLIMIT_AS, (size, size))
    resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds + 1))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    json.dump(counted(Path(path), name, most_walls), sys.stdout)


if __name__ == "__main__":
    main()
