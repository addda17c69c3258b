"""What some tests need and a machine may lack: open data beside the project, a browser."""

from __future__ import annotations

import os
import shutil
from dataclasses import dataclass
from pathlib import Path

PROJECT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True, slots=True)
class Missing:
    """Tests marked `marker` cannot run on this machine, and why."""

    marker: str
    why: str


def on_ci() -> bool:
    return os.environ.get("CI", "").lower() in {"1", "true", "yes"}


def data_folder() -> Path:
    """The folder of open data for checks: PIECEWALL_DATA, or shared/data beside the project."""
    named = os.environ.get("PIECEWALL_DATA")
    return Path(named) if named else PROJECT.parent / "shared" / "data"


def chromium() -> str | None:
    """The program to drive: PIECEWALL_CHROMIUM, or the first Chromium on PATH."""
    named = os.environ.get("PIECEWALL_CHROMIUM")
    candidates = [named] if named else ["chromium", "chromium-browser", "google-chrome", "google-chrome-stable"]
    return next((found for name in candidates if (found := shutil.which(name))), None)


def missing() -> list[Missing]:
    found = []
    if not data_folder().is_dir():
        found.append(Missing("external", f"no folder {data_folder()}. Put the open data there or set PIECEWALL_DATA."))
    if chromium() is None:
        found.append(Missing("browser", "no Chromium on PATH. Install one or set PIECEWALL_CHROMIUM to its path."))
    return found
