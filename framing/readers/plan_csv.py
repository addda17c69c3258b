"""A plan as two CSV files in one folder: `walls.csv` and `openings.csv`, with the same columns as the plan file's keys.

Boards, wall types, practice and junctions, which are not tables, stand in `plan.json` beside them: the plan file
without its levels, and junctions by level. A length without a unit is in inches, as any text of the format is.
"""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import Any

from framing.plan import Mistake, PlanMistakes
from framing.readers.reading import load_json

WALL_COLUMNS = (
    "level",
    "mark",
    "type",
    "from_x",
    "from_y",
    "to_x",
    "to_y",
    "line",
    "height",
    "height_from",
    "height_to",
    "left_height",
    "right_height",
    "layout_from",
    "end_from",
    "end_to",
)
OPENING_COLUMNS = ("level", "wall", "mark", "kind", "at", "width", "height", "sill", "hinge", "swing")
_NEEDED_WALL = ("level", "mark", "type", "from_x", "from_y", "to_x", "to_y")
_NEEDED_OPENING = ("level", "wall", "mark", "kind", "at", "width", "height")


def folder_as_json(folder: Path) -> dict[str, Any]:
    """The folder's plan as the value of a plan file. Raises PlanMistakes where the tables themselves are broken.

    Lengths stay texts and are read, and refused, by the plan file's own reader.
    """
    mistakes: list[Mistake] = []
    top = _head(folder / "plan.json", mistakes)
    walls = _rows(folder / "walls.csv", WALL_COLUMNS, _NEEDED_WALL, mistakes, is_needed=True)
    openings = _rows(folder / "openings.csv", OPENING_COLUMNS, _NEEDED_OPENING, mistakes, is_needed=False)
    levels: dict[str, dict[str, Any]] = {}
    by_mark: dict[tuple[str, str], dict[str, Any]] = {}
    for _, row in walls:
        level = levels.setdefault(row["level"], {"name": row["level"], "walls": []})
        wall = _wall(row)
        level["walls"].append(wall)
        by_mark[row["level"], row["mark"]] = wall
    for number, row in openings:
        target = by_mark.get((row["level"], row["wall"]))
        if target is None:
            mistakes.append(
                Mistake(
                    f"openings.csv, row {number}",
                    "level, wall",
                    f"{row['level']}, {row['wall']}",
                    "is no wall of walls.csv",
                    "Correct the level or the mark.",
                )
            )
            continue
        kept = {key: value for key, value in row.items() if value and key not in ("level", "wall")}
        target.setdefault("openings", []).append(kept)
    if mistakes:
        raise PlanMistakes(mistakes, folder.name)
    for level_name, rules in top.pop("junctions", {}).items():
        levels.setdefault(level_name, {"name": level_name, "walls": []})["junctions"] = rules
    return top | {"levels": list(levels.values())}


def _wall(row: dict[str, str]) -> dict[str, Any]:
    wall: dict[str, Any] = {"from": [row["from_x"], row["from_y"]], "to": [row["to_x"], row["to_y"]]}
    ends = {end: row[f"end_{end}"] for end in ("from", "to") if row.get(f"end_{end}")}
    if ends:
        wall["ends"] = ends
    skipped = ("level", "from_x", "from_y", "to_x", "to_y", "end_from", "end_to")
    return wall | {key: value for key, value in row.items() if value and key not in skipped}


def _head(path: Path, mistakes: list[Mistake]) -> dict[str, Any]:
    try:
        value = load_json(path.read_bytes())
    except OSError:
        mistakes.append(
            Mistake("plan.json", "", "", "is missing beside walls.csv", "Write the plan file there without its levels.")
        )
        return {}
    except ValueError as error:
        mistakes.append(Mistake("plan.json", "", "", str(error), "Correct it."))
        return {}
    if not isinstance(value, dict) or not isinstance(value.get("junctions", {}), dict):
        mistakes.append(
            Mistake("plan.json", "", "", "is not an object", "Write the plan file there; junctions as {level: [...]}")
        )
        return {}
    if "levels" in value:
        mistakes.append(
            Mistake("plan.json", "levels", "", "stand beside walls.csv", "Remove them: walls come from the table.")
        )
    return value


def _rows(
    path: Path, columns: tuple[str, ...], needed: tuple[str, ...], mistakes: list[Mistake], *, is_needed: bool
) -> list[tuple[int, dict[str, str]]]:
    """Numbered rows of one table, cells stripped. Notes unknown and missing columns and ragged rows."""
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except OSError:
        if is_needed:
            mistakes.append(Mistake(path.name, "", "", "is missing", "Add the table, or give a plan file."))
        return []
    except UnicodeDecodeError:
        mistakes.append(Mistake(path.name, "", "", "is not UTF-8 text", "Save it as UTF-8."))
        return []
    table = csv.reader(io.StringIO(text, newline=""), strict=True)
    try:
        lines = [(table.line_num, row) for row in table if any(cell.strip() for cell in row)]
    except csv.Error as error:
        mistakes.append(Mistake(path.name, f"line {table.line_num}", "", f"is not CSV: {error}", "Correct it."))
        return []
    header = [cell.strip() for cell in lines[0][1]] if lines else []
    wrong = [name for name in header if name not in columns or header.count(name) > 1]
    missing = [name for name in needed if name not in header]
    for name in dict.fromkeys(wrong):
        mistakes.append(
            Mistake(path.name, "column", name, "is unknown or given twice", f"Known: {', '.join(columns)}.")
        )
    for name in missing:
        mistakes.append(Mistake(path.name, "column", name, "is missing", "Add it."))
    if wrong or missing:
        return []
    found = []
    for number, row in lines[1:]:
        if len(row) != len(header):
            mistakes.append(
                Mistake(
                    path.name, f"line {number}", "", f"has {len(row)} cells for {len(header)} columns", "Correct it."
                )
            )
            continue
        found.append((number, dict(zip(header, (cell.strip() for cell in row), strict=True))))
    return found
