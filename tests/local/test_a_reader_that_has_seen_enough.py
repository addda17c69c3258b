"""A command whose reader closes early, as in `... | head -1`, ends without a traceback and says so by its exit code."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

PLAN = sorted(Path("fixtures/walls").glob("*.json"))[0]
SIGPIPE_EXIT = 128 + 13  # POSIX shells: 128 and the number of the signal


def test_a_closed_reader_ends_a_command_quietly():
    read, write = os.pipe()
    os.close(read)
    try:
        done = subprocess.run(
            [sys.executable, "manage.py", "takeoff", str(PLAN)],
            stdout=write,
            stderr=subprocess.PIPE,
            timeout=60,
            check=False,
        )
    finally:
        os.close(write)
    assert (done.returncode, done.stderr) == (SIGPIPE_EXIT, b"")
