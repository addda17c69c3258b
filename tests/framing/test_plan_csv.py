"""A plan as two tables counts exactly as the same plan in one file, and a broken table is told by file and row."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

import pytest

from framing.plan import PlanMistakes
from framing.readers import read_plan
from framing.readers.plan_csv import OPENING_COLUMNS, WALL_COLUMNS
from framing.takeoff import takeoff
from tests.framing.floor import Json, room


def write(folder: Path, made: Json) -> None:
    """The plan file's own content as plan.json, walls.csv and openings.csv."""
    head = {key: value for key, value in made.items() if key != "levels"}
    head["junctions"] = {level["name"]: level["junctions"] for level in made["levels"] if "junctions" in level}
    (folder / "plan.json").write_text(json.dumps(head))
    walls: list[dict[str, Any]] = []
    openings: list[dict[str, Any]] = []
    for level in made["levels"]:
        for wall in level["walls"]:
            row = {key: value for key, value in wall.items() if key in WALL_COLUMNS}
            (row["from_x"], row["from_y"]), (row["to_x"], row["to_y"]) = wall["from"], wall["to"]
            walls.append(row | {"level": level["name"]})
            openings += [o | {"level": level["name"], "wall": wall["mark"]} for o in wall.get("openings", [])]
    for name, columns, rows in (("walls.csv", WALL_COLUMNS, walls), ("openings.csv", OPENING_COLUMNS, openings)):
        with (folder / name).open("w", newline="", encoding="utf-8-sig") as file:
            table = csv.DictWriter(file, columns)
            table.writeheader()
            table.writerows(rows)


def told(folder: Path) -> list[str]:
    with pytest.raises(PlanMistakes) as refused:
        read_plan(folder)
    return list(refused.value.mistakes)


def test_tables_count_as_the_file_does(tmp_path):
    write(tmp_path, room())
    assert takeoff(read_plan(tmp_path)) == takeoff(read_plan(json.dumps(room()).encode()))


def test_a_bad_cell_is_told_like_any_other_value(tmp_path):
    write(tmp_path, room())
    text = (tmp_path / "walls.csv").read_text(encoding="utf-8-sig")
    assert text.count("120") == 1
    (tmp_path / "walls.csv").write_text(text.replace("120", "ten feet"))
    (sentence,) = told(tmp_path)
    for part in ("Level 1", "wall A", "to", "ten feet"):
        assert part in sentence


@pytest.mark.parametrize(
    ("name", "change", "parts"),
    [
        ("walls.csv", lambda text: text.replace("mark", "tag", 1), ("walls.csv", "tag", "mark")),
        ("walls.csv", lambda text: text + "Level 1,C\r\n", ("walls.csv", "line 4", "2 cells")),
        ("openings.csv", lambda text: text.replace(",B,", ",Z,"), ("openings.csv", "Level 1, Z", "walls.csv")),
        ("plan.json", lambda text: "[]", ("plan.json", "object")),
        ("plan.json", lambda text: text[:-2], ("plan.json", "JSON")),
    ],
)
def test_a_broken_table_is_told_by_file(tmp_path, name, change, parts):
    write(tmp_path, room())
    file = tmp_path / name
    file.write_text(change(file.read_text(encoding="utf-8-sig")))
    sentences = "\n".join(told(tmp_path))
    for part in parts:
        assert part in sentences


def test_a_folder_without_walls_says_what_is_missing(tmp_path):
    sentences = told(tmp_path)
    assert any("walls.csv" in sentence and "missing" in sentence for sentence in sentences)
    assert any("plan.json" in sentence for sentence in sentences)
