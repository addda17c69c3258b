"""`manage.py crewbook`: files for each level, one PDF a level, plain words for what is wrong; no database."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pypdf
import pytest
from django.core.management import CommandError, call_command

from tests.framing.drawing.drawn import ROOM, parsed
from tests.framing.floor import plan, wall


def run(*words: object) -> str:
    out = io.StringIO()
    call_command("crewbook", *map(str, words), stdout=out)
    return out.getvalue()


def test_a_folder_with_sheets_and_one_pdf(tmp_path: Path):
    said = run(ROOM, "--out", tmp_path / "book")
    folder = tmp_path / "book" / "level-1"
    sheets = sorted(folder.glob("*.svg"))
    pages = len(pypdf.PdfReader(folder / "crew-book.pdf").pages)
    assert len(sheets) == pages
    assert sheets[0].name == "sheet-001-cover.svg"
    for sheet in sheets:
        parsed(sheet.read_text(encoding="utf-8"))
    assert f"Level 1: 2 walls, {pages} sheets" in said


def test_sheets_of_a_longer_book_do_not_stay_behind(tmp_path: Path):
    run(ROOM, "--out", tmp_path)
    stale = tmp_path / "level-1" / "sheet-999-old.svg"
    own = tmp_path / "level-1" / "notes.txt"
    for file in (stale, own):
        file.write_text("old", encoding="utf-8")
    run(ROOM, "--out", tmp_path)
    assert not stale.exists()
    assert own.exists()


def test_levels_of_like_names_get_folders_of_their_own(tmp_path: Path):
    made = plan(wall("A", (0, 0), (120, 0)))
    made["levels"] = [
        {"name": name, "walls": [wall("A", (0, 0), (120, 0))]} for name in ("Level 1", "Level-1", "\u5c42")
    ]
    file = tmp_path / "plan.json"
    file.write_text(json.dumps(made), encoding="utf-8")
    run(file, "--out", tmp_path / "books", "--pdf-only")
    assert sorted(one.name for one in (tmp_path / "books").iterdir()) == ["level", "level-1", "level-1-2"]
    assert not list((tmp_path / "books").rglob("*.svg"))


def test_one_level_alone(tmp_path: Path):
    made = plan(wall("A", (0, 0), (120, 0)))
    made["levels"] = [{"name": name, "walls": [wall("A", (0, 0), (120, 0))]} for name in ("Level 1", "Level 2")]
    file = tmp_path / "plan.json"
    file.write_text(json.dumps(made), encoding="utf-8")
    run(file, "--out", tmp_path / "books", "--level", "Level 2", "--pdf-only")
    assert [one.name for one in (tmp_path / "books").iterdir()] == ["level-2"]
    with pytest.raises(CommandError, match="'Level 3' is not in this plan"):
        run(file, "--out", tmp_path / "books", "--level", "Level 3")


def test_a_plan_with_mistakes_draws_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    made = plan(wall("A", (0, 0), (120, 0)), wall("A", (0, 50), (120, 50)))
    file = tmp_path / "plan.json"
    file.write_text(json.dumps(made), encoding="utf-8")
    err = io.StringIO()
    with pytest.raises(SystemExit) as stopped:
        call_command("crewbook", str(file), "--out", str(tmp_path / "books"), stderr=err)
    assert stopped.value.code == 2
    assert "nothing was drawn" in err.getvalue()
    assert not (tmp_path / "books").exists()


def test_a_folder_that_cannot_be_written_to(tmp_path: Path):
    (tmp_path / "taken").write_text("a file", encoding="utf-8")
    with pytest.raises(CommandError, match="cannot be written to"):
        run(ROOM, "--out", tmp_path / "taken")
