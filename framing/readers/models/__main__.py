"""A model's take-off with its reasons as JSON, within bounds.

    python -m framing.readers.models FILE NAME WALLS SECONDS BYTES

For whoever counts files of strangers. What parses a model follows whatever the file says: shapes in shapes in shapes,
arrays of blocks without end; and it is partly not Python. So that is done in a process of its own, which ends at its
bounds of processor and memory and takes nobody with it. Prints {"counted": ...} or {"mistakes": [...]}.
"""

from __future__ import annotations

import json
import resource
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

from framing.plan import Mistake, PlanMistakes
from framing.readers.models import read_model
from framing.readers.models.printed import imported_takeoff


def counted(path: Path, name: str, most_walls: int) -> dict[str, Any]:
    """What is printed for the model at `path`, which its sender calls `name`."""
    try:
        model = read_model(path)
        walls = sum(len(level.walls) for level in model.plan.levels)
        if walls > most_walls:
            reason = f"has {walls:,} walls, more than the {most_walls:,} that are taken"
            raise PlanMistakes([Mistake("the model", "", "", reason, "Export a building or a wing alone.")])
        plan = replace(model.plan, name=name[:200])
        return {"counted": imported_takeoff(replace(model, plan=plan), explain=True)}
    except PlanMistakes as mistakes:
        return {"mistakes": PlanMistakes(mistakes.details, name).mistakes}


def main() -> None:
    path, name, *bounds = sys.argv[1:]
    most_walls, seconds, size = map(int, bounds)
    resource.setrlimit(resource.RLIMIT_AS, (size, size))
    resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds + 1))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    json.dump(counted(Path(path), name, most_walls), sys.stdout)


if __name__ == "__main__":
    main()
