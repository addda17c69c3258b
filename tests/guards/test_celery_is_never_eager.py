"""Tasks cross Redis into another process, in tests as at work: what cannot be sent or is not committed shows."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

from config.celery import app
from tests.support.processes import environment

PROJECT = Path(__file__).resolve().parents[2]


def test_a_task_runs_in_the_workers_process(committed_db: None, worker: None):
    # backend_cleanup is Celery's own; it answers None, so what matters is who ran it.
    result = app.tasks["celery.backend_cleanup"].delay()
    assert result.get(timeout=30) is None
    assert result.state == "SUCCESS"
    replies = app.control.inspect(timeout=5).stats()
    assert replies and all(stats["pid"] != os.getpid() for stats in replies.values())


def test_no_file_switches_eagerness_on():
    word = "always" + "_eager"
    found = subprocess.run(
        ["git", "grep", "--untracked", "--ignore-case", "--files-with-matches", word, "--", "*.py", "*.toml"],
        check=False,
        cwd=PROJECT,
        capture_output=True,
        text=True,
    )
    assert found.stdout == ""
    assert app.conf["task_" + word] is False


def test_another_process_gets_this_ones_database_and_keys(db: None):
    env = environment()
    assert "/test_" in env["DATABASE_URL"]
    assert env["PIECEWALL_REDIS_PREFIX"].startswith("piecewall-test-")
