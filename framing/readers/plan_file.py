"""The plan file, format 1: our own open format, JSON or a folder with two CSV files. All lengths exact.

`plan.schema.json` beside this module describes the same format for others (JSON Schema 2020-12).
"""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path
from typing import Any

from framing.at_rest import collector_at_rest
from framing.checks import plan_mistakes
from framing.limits import LARGEST_FILE
from framing.plan import Level, Plan, PlanMistakes, ThroughRule, Wall, WallType
from framing.practice import FramingPractice
from framing.readers import plan_csv
from framing.readers.plan_parts import read_boards, read_practice, read_wall_types
from framing.readers.plan_walls import read_wall
from framing.readers.reading import Reading, Unread, file_bytes, json_file, place
from framing.wall_checks import Sketch

FORMAT = "piecewall plan 1"
_KEYS = ("format", "name", "length_unit", "boards", "wall_types", "practice", "levels")
_LEVEL_KEYS = ("name", "walls", "junctions")


def read_plan(source: str | Path | bytes, *, name: str = "") -> Plan:
    """Read a plan from a path or a file's bytes: JSON, or a zip file of tables (`framing.readers.plan_csv`). A path
    may also be a folder of such tables.

    Raises PlanMistakes with everything that is wrong, geometry included: nothing is half-read.
    """
    if not isinstance(source, bytes):
        name = name or Path(source).name
        if Path(source).is_dir():
            return _from_value(plan_csv.tables_as_json(plan_csv.folder_files(Path(source)), name), name)
        source = file_bytes(source, "the plan file", LARGEST_FILE)
    if plan_csv.is_packed(source):
        return _from_value(plan_csv.tables_as_json(plan_csv.packed_files(source, name), name), name)
    value = json_file(source, "the plan file", LARGEST_FILE, "Write it as the plan file's format asks.", name=name)
    return _from_value(value, name)


def _from_value(value: Any, name: str) -> Plan:
    reading = Reading()
    plan: Plan | None = None
    with collector_at_rest(), suppress(Unread):
        plan, sketched = _read(reading, value)
        for mistake in plan_mistakes(plan, sketched, is_whole=not reading.mistakes):
            reading.add(mistake)
            if reading.is_full:
                break
    if reading.mistakes or plan is None:
        raise PlanMistakes(reading.mistakes, name)
    return plan


def _read(reading: Reading, value: Any) -> tuple[Plan, list[list[Sketch]]]:
    """The plan, and for each level the walls of which not everything could be read. Raises Unread."""
    if isinstance(value, dict) and value.get("format", FORMAT) != FORMAT:
        reading.note("", "format", value["format"], "is not one that this version reads", f'Write "{FORMAT}".')
        raise Unread
    top = reading.object(value, "", "", _KEYS, ("format", "levels", "wall_types"))
    with suppress(Unread):
        reading.unit = reading.word(top.get("length_unit", "in"), "", "length_unit", ("in", "mm"))
    plan_name = ""
    if "name" in top:
        if isinstance(top["name"], str) and len(top["name"]) <= 200:
            plan_name = top["name"]
        else:
            reading.note("", "name", top["name"], "is not a text of at most 200 characters", "Shorten it.")
    boards = read_boards(reading, top.get("boards", {}))
    types = read_wall_types(reading, top.get("wall_types", {}), boards)
    practice, set_by_plan = read_practice(reading, top.get("practice", {}))
    levels = _levels(reading, top["levels"], types) if "levels" in top else []
    whole = tuple(level for level, _ in levels)
    plan = Plan(plan_name, reading.unit, whole, practice or FramingPractice(), set_by_plan)
    return plan, [sketches for _, sketches in levels]


def _levels(reading: Reading, value: Any, types: dict[str, WallType | None]) -> list[tuple[Level, list[Sketch]]]:
    found = []
    items = reading.items(value, "", "levels")
    if isinstance(value, list) and not items:
        reading.note("", "levels", value, "has no level", "Add one with its walls.")
    names: set[str] = set()
    for number, item in enumerate(items, 1):
        where = f"level {number}"
        try:
            level = reading.object(item, where, "", _LEVEL_KEYS, ("name", "walls"))
        except Unread:
            continue
        level_name = where
        with suppress(Unread):
            level_name = reading.mark(level.get("name", where), where, "name")
        if level_name in names:
            reading.note(level_name, "name", level_name, "is used by two levels", "Give each level a name of its own.")
        names.add(level_name)
        walls: list[Wall] = []
        sketches: list[Sketch] = []
        marks: set[str] = set()
        for place_in_list, wall in enumerate(reading.items(level.get("walls", []), level_name, "walls"), 1):
            sketch, mark = read_wall(reading, wall, level_name, place_in_list, types)
            if mark in marks:
                reading.note(
                    place(level_name, mark),
                    "mark",
                    mark,
                    "is used by two walls of this level",
                    "Give each its own mark.",
                )
            marks.add(mark)
            if sketch is not None and not sketch.unread:
                walls.append(sketch.wall)
            elif sketch is not None:
                sketches.append(sketch)
        rules = _through_rules(reading, level.get("junctions", []), level_name, marks)
        found.append((Level(level_name, tuple(walls), rules), sketches))
    return found


def _through_rules(reading: Reading, value: Any, level: str, marks: set[str]) -> tuple[ThroughRule, ...]:
    found = []
    seen: set[frozenset[str]] = set()
    for number, item in enumerate(reading.items(value, level, "junctions"), 1):
        field = f"junctions {number}"
        try:
            rule = reading.object(item, level, field, ("walls", "through"), ("walls", "through"))
        except Unread:
            continue
        walls = reading.items(rule.get("walls", []), level, f"{field}.walls")
        if len(walls) != 2 or not all(isinstance(mark, str) for mark in walls) or walls[0] == walls[1]:
            reading.note(level, f"{field}.walls", walls, "does not name two walls", "Write the two marks.")
            continue
        unknown = [mark for mark in walls if mark not in marks]
        for mark in unknown:
            reading.note(level, f"{field}.walls", mark, "is no wall of this level", "Correct the mark.")
        through = rule.get("through")
        if not isinstance(through, str) or through not in walls:
            reading.note(
                level, f"{field}.through", through, "is neither of the two walls", f"Write {walls[0]} or {walls[1]}."
            )
            continue
        if frozenset(walls) in seen:
            reading.note(level, field, walls, "is given twice", "Keep one of them.")
        seen.add(frozenset(walls))
        if not unknown:
            found.append(ThroughRule((walls[0], walls[1]), through))
    return tuple(found)
