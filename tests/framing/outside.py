"""Open data that is not ours and therefore not in the project: where the `external` checks find it."""

from __future__ import annotations

import os
from pathlib import Path

BESIDE = Path(__file__).resolve().parents[3] / "shared" / "data"


def data(name: str) -> Path:
    """A file of the open data folder: `PIECEWALL_DATA`, else the folder beside the project."""
    path = Path(os.environ.get("PIECEWALL_DATA") or BESIDE) / name
    assert path.is_file(), f"{path.name} is not in the open data folder {path.parent.parent}: set PIECEWALL_DATA to it"
    return path
