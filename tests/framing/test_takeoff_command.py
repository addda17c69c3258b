"""`manage.py takeoff` as its user meets it: no database, exit code 2 for a bad plan, one JSON object for a good one."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.framing.floor import room

MANAGE = Path(__file__).parents[2] / "manage.py"
NOWHERE = "postgresql://nobody@127.0.0.1:1/none"


def run(*words: str) -> subprocess.CompletedProcess[str]:
    environment = os.environ | {"DATABASE_URL": NOWHERE, "DATABASE_OWNER_URL": NOWHERE}
    command = [sys.executable, str(MANAGE), "takeoff", *words]
    return subprocess.run(command, capture_output=True, text=True, env=environment, timeout=60, check=False)


@pytest.fixture
def plan_file(tmp_path):
    path = tmp_path / "room.json"
    path.write_text(json.dumps(room()))
    return path


def test_json_is_one_object_with_the_agreed_keys(plan_file):
    done = run(str(plan_file), "--json")
    assert (done.returncode, done.stderr) == (0, "")
    found = json.loads(done.stdout)
    assert {"plan", "levels", "counts", "order", "left_out"} <= found.keys()
    level = found["levels"][0]
    assert {"name", "walls", "junctions", "track_pieces", "studs", "sheets", "cautions", "counts"} <= level.keys()
    assert "because" not in level["walls"][0]


def test_explain_gives_every_count_its_terms(plan_file):
    found = json.loads(run(str(plan_file), "--json", "--explain").stdout)
    for wall in found["levels"][0]["walls"]:
        told = {name for name, value in wall["counts"].items() if value not in (0, "0")}
        assert told == wall["because"].keys()
        for reasons in wall["because"].values():
            assert all(reason["rule"] and reason["source"] and reason["term"] for reason in reasons)


def test_text_says_the_figures_in_feet_and_inches(plan_file):
    done = run(str(plan_file), "--explain")
    assert done.returncode == 0
    for part in ("10'-1 13/16\"", 'tab 3 5/8", flanges back 4 1/4"', "wall A runs through", "wear gloves"):
        assert part in done.stdout


def test_every_mistake_is_said_and_nothing_is_counted(tmp_path):
    made = room()
    made["levels"][0]["walls"][0]["height"] = "tall"
    made["levels"][0]["walls"][1]["colour"] = "red"
    path = tmp_path / "broken.json"
    path.write_text(json.dumps(made))
    done = run(str(path), "--json")
    assert (done.returncode, done.stdout) == (2, "")
    assert "broken.json: Level 1, wall A: height" in done.stderr
    assert "broken.json: Level 1, wall B: colour" in done.stderr
    assert "2 mistakes; nothing was counted" in done.stderr


@pytest.mark.parametrize("content", [b"", b"{", b"\xff\xfe", b'{"format": NaN}', b"[" * 100_000, b'{"a": 1, "a": 2}'])
def test_what_is_no_plan_is_refused_in_a_sentence(tmp_path, content):
    path = tmp_path / "odd.json"
    path.write_bytes(content)
    done = run(str(path))
    assert done.returncode == 2
    assert done.stderr.startswith("odd.json: ")
    assert "Traceback" not in done.stderr


def test_a_missing_file_is_refused_in_a_sentence(tmp_path):
    done = run(str(tmp_path / "none.json"))
    assert done.returncode == 2
    assert "none.json" in done.stderr
    assert "Traceback" not in done.stderr
