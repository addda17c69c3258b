"""Readers: each turns a file into the same `Plan`, or says everything that is wrong with it at once.

Plan files are read by `read_plan`; building models and drawings by `framing.readers.models`, which is imported only
where one is read.
"""

from __future__ import annotations

from pathlib import Path

from framing.readers.plan_file import read_plan

MODEL_SUFFIXES = (".ifc", ".ifczip", ".ifcxml", ".dxf", ".dwg")
"""Names of files that are models or drawings: those that are read, and those that get a sentence saying what to do."""


def is_model(path: str | Path) -> bool:
    """Whether a path is named as a building model or a drawing."""
    return Path(path).suffix.lower() in MODEL_SUFFIXES


__all__ = ["MODEL_SUFFIXES", "is_model", "read_plan"]
