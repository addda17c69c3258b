"""A plan as two CSV files: `walls.csv` and `openings.csv`, with the same columns as the plan file's keys.

Boards, wall types, practice and junctions, which are not tables, stand in `plan.json` beside them: the plan file
without its levels, and junctions by level. The three stand in one folder or in one zip file. A length without a unit is
in inches, as any text of the format is.
"""

from __future__ import annotations

import csv
import io
import zipfile
import zlib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from framing.limits import LARGEST_FILE
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
    "finish_level",
    "left_finish_level",
    "right_finish_level",
    "layout_from",
    "end_from",
    "end_to",
)
OPENING_COLUMNS = ("level", "wall", "mark", "kind", "at", "width", "height", "sill", "hinge", "swing")
_NEEDED_WALL = ("level", "mark", "type", "from_x", "from_y", "to_x", "to_y")
_NEEDED_OPENING = ("level", "wall", "mark", "kind", "at", "width", "height")


_WHOLE = ("finish_level", "left_finish_level", "right_finish_level")
_DIGITS = tuple("0123456789")
HEAD, WALLS, OPENINGS = FILES = ("plan.json", "walls.csv", "openings.csv")
_COLUMNS = {WALLS: (WALL_COLUMNS, _NEEDED_WALL), OPENINGS: (OPENING_COLUMNS, _NEEDED_OPENING)}
_ZIP = b"PK\x03\x04"


def is_packed(source: bytes) -> bool:
    """Whether bytes are a zip file, which a plan is where its tables stand in one."""
    return source.startswith(_ZIP)


def folder_files(folder: Path) -> dict[str, bytes]:
    """The plan's files in a folder, those that are there. Raises PlanMistakes."""
    found: dict[str, bytes] = {}
    for name in FILES:
        try:
            with (folder / name).open("rb") as opened:
                found[name] = opened.read(LARGEST_FILE + 1)
        except FileNotFoundError:
            continue
        except OSError as error:
            reason = f"cannot be read ({error.strerror or type(error).__name__})"
            raise PlanMistakes([Mistake(name, "", "", reason, "Check the path.")], folder.name) from None
    return found


def packed_files(source: bytes, name: str) -> dict[str, bytes]:
    """The plan's files in a zip file, at its top or together in one folder. Raises PlanMistakes."""
    cure = f"Pack {', '.join(FILES)} anew, each once, without a password."
    found: dict[str, bytes] = {}
    try:
        with zipfile.ZipFile(io.BytesIO(source)) as opened:
            for inside in opened.infolist():
                own = inside.filename.rsplit("/", 1)[-1]
                if own not in FILES or inside.filename.startswith("__MACOSX/"):
                    continue
                if own in found:
                    raise zipfile.BadZipFile
                with opened.open(inside) as packed:
                    found[own] = packed.read(LARGEST_FILE + 1)
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, ValueError, OSError):
        raise PlanMistakes([Mistake("the zip file", "", "", "cannot be unpacked", cure)], name) from None
    return found


def pack(files: Mapping[str, bytes]) -> bytes:
    """A zip file of a plan's files: the same bytes for the same files."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as opened:
        for name in FILES:
            if name in files:
                opened.writestr(zipfile.ZipInfo(name), files[name], zipfile.ZIP_DEFLATED)
    return packed.getvalue()


def tables_as_json(files: Mapping[str, bytes], name: str) -> dict[str, Any]:
    """The plan of some files by their names, as the value of a plan file. Raises PlanMistakes where the tables
    themselves are broken, or together larger than a plan file may be.

    Lengths stay texts and are read, and refused, by the plan file's own reader.
    """
    if sum(map(len, files.values())) > LARGEST_FILE:
        reason = f"are together larger than {LARGEST_FILE // 1024 // 1024} MiB"
        raise PlanMistakes([Mistake("the tables", "", "", reason, "Give a plan of fewer walls.")], name)
    mistakes: list[Mistake] = []
    top = _head(files.get(HEAD), mistakes)
    walls = _rows(files, WALLS, mistakes)
    openings = _rows(files, OPENINGS, mistakes)
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
        raise PlanMistakes(mistakes, name)
    for level_name, rules in top.pop("junctions", {}).items():
        levels.setdefault(level_name, {"name": level_name, "walls": []})["junctions"] = rules
    return top | {"levels": list(levels.values())}


def _wall(row: dict[str, str]) -> dict[str, Any]:
    wall: dict[str, Any] = {"from": [row["from_x"], row["from_y"]], "to": [row["to_x"], row["to_y"]]}
    ends = {end: row[f"end_{end}"] for end in ("from", "to") if row.get(f"end_{end}")}
    if ends:
        wall["ends"] = ends
    skipped = ("level", "from_x", "from_y", "to_x", "to_y", "end_from", "end_to")
    wall |= {key: value for key, value in row.items() if value and key not in skipped}
    return wall | {key: int(wall[key]) for key in _WHOLE if wall.get(key, "") in _DIGITS}


def _head(source: bytes | None, mistakes: list[Mistake]) -> dict[str, Any]:
    if source is None:
        mistakes.append(
            Mistake("plan.json", "", "", "is missing beside walls.csv", "Write the plan file there without its levels.")
        )
        return {}
    try:
        value = load_json(source)
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


def _rows(files: Mapping[str, bytes], name: str, mistakes: list[Mistake]) -> list[tuple[int, dict[str, str]]]:
    """Numbered rows of one table, cells stripped. Notes unknown and missing columns and ragged rows."""
    columns, needed = _COLUMNS[name]
    source = files.get(name)
    if source is None:
        if name == WALLS:
            mistakes.append(Mistake(name, "", "", "is missing", "Add the table, or give a plan file."))
        return []
    try:
        text = source.decode("utf-8-sig")
    except UnicodeDecodeError:
        mistakes.append(Mistake(name, "", "", "is not UTF-8 text", "Save it as UTF-8."))
        return []
    table = csv.reader(io.StringIO(text, newline=""), strict=True)
    try:
        lines = [(table.line_num, row) for row in table if any(cell.strip() for cell in row)]
    except csv.Error as error:
        mistakes.append(Mistake(name, f"line {table.line_num}", "", f"is not CSV: {error}", "Correct it."))
        return []
    header = [cell.strip() for cell in lines[0][1]] if lines else []
    wrong = [column for column in header if column not in columns or header.count(column) > 1]
    missing = [column for column in needed if column not in header]
    for column in dict.fromkeys(wrong):
        mistakes.append(Mistake(name, "column", column, "is unknown or given twice", f"Known: {', '.join(columns)}."))
    for column in missing:
        mistakes.append(Mistake(name, "column", column, "is missing", "Add it."))
    if wrong or missing:
        return []
    found = []
    for number, row in lines[1:]:
        if len(row) != len(header):
            mistakes.append(
                Mistake(name, f"line {number}", "", f"has {len(row)} cells for {len(header)} columns", "Correct it.")
            )
            continue
        found.append((number, dict(zip(header, (cell.strip() for cell in row), strict=True))))
    return found
