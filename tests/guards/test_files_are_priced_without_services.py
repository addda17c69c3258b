"""`takeoff` and `priceweek` need no database, no Redis and, to start, none of the heavy libraries.

A floor whose cut list misses its bound by the simple rules loads numpy to look further; a room does not.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

PROJECT = Path(__file__).resolve().parents[2]
# Port 1 of this machine answers nobody.
NOWHERE = {
    "DATABASE_URL": "postgresql://nobody@127.0.0.1:1/nothing",
    "DATABASE_OWNER_URL": "postgresql://nobody@127.0.0.1:1/nothing",
    "REDIS_URL": "redis://127.0.0.1:1/0",
}
HEAVY = ("matplotlib", "numpy", "reportlab", "PIL", "shapely")


@pytest.mark.parametrize(
    ("command", "file"), [("takeoff", "fixtures/walls/room.json"), ("priceweek", "fixtures/weeks/waiting-time.json")]
)
def test_a_file_command_starts_alone(command: str, file: str):
    answer = subprocess.run(
        [sys.executable, "-X", "importtime", "manage.py", command, file, "--json"],
        check=False,
        cwd=PROJECT,
        env=os.environ | NOWHERE,
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert answer.returncode == 0, answer.stderr[-2000:]
    assert json.loads(answer.stdout)
    loaded = {line.rsplit("|", 1)[-1].strip().split(".")[0] for line in answer.stderr.splitlines() if "|" in line}
    assert "django" in loaded
    assert loaded.isdisjoint(HEAVY)
