"""A plan as two tables counts exactly as the same plan in one file, and a broken table is told by file and row."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from pathlib import Path
from typing import Any

import pytest

from framing.limits import LARGEST_FILE
from framing.plan import PlanMistakes
from framing.readers import read_plan
from framing.readers.plan_csv import OPENING_COLUMNS, WALL_COLUMNS, folder_files, pack
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


def test_levels_of_finish_are_columns_too(tmp_path):
    made = room()
    made["levels"][0]["walls"][0] |= {"finish_level": 3, "right_finish_level": 5}
    write(tmp_path, made)
    assert takeoff(read_plan(tmp_path)) == takeoff(read_plan(json.dumps(made).encode()))
    text = (tmp_path / "walls.csv").read_text(encoding="utf-8-sig")
    (tmp_path / "walls.csv").write_text(text.replace(",3,", ",smooth,", 1))
    (sentence,) = told(tmp_path)
    assert all(part in sentence for part in ("wall A", "finish_level", "smooth"))


@pytest.mark.parametrize("inside", ["", "a floor/"])
def test_tables_in_a_zip_file_count_as_in_their_folder(tmp_path, inside):
    write(tmp_path, room())
    packed = pack_as(inside, folder_files(tmp_path))
    assert takeoff(read_plan(packed, name="room.zip")) == takeoff(read_plan(tmp_path))
    file = tmp_path / "room.zip"
    file.write_bytes(packed)
    assert takeoff(read_plan(file)) == takeoff(read_plan(tmp_path))
    assert pack(folder_files(tmp_path)) == pack(folder_files(tmp_path))


@pytest.mark.parametrize("spoil", [lambda zipped: zipped[:200], lambda zipped: zipped[:40] + b"x" * 60 + zipped[100:]])
def test_a_broken_zip_file_is_one_sentence(tmp_path, spoil):
    write(tmp_path, room())
    with pytest.raises(PlanMistakes) as refused:
        read_plan(spoil(pack(folder_files(tmp_path))), name="room.zip")
    (sentence,) = refused.value.mistakes
    assert "zip" in sentence and "plan.json, walls.csv, openings.csv" in sentence


def test_no_more_is_unpacked_than_a_plan_may_hold():
    bomb = pack({"plan.json": b"{}", "walls.csv": b"0" * (LARGEST_FILE + 1000)})
    assert len(bomb) < 100_000
    with pytest.raises(PlanMistakes, match="larger than 32 MiB"):
        read_plan(bomb, name="bomb.zip")


def pack_as(inside: str, files: dict[str, bytes]) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as opened:
        for name, content in files.items():
            opened.writestr(inside + name, content)
        opened.writestr("notes.txt", "of no use")
    return packed.getvalue()
