"""A stranger's building model or drawing is counted in a process of its own, with bounds of memory and processor.

However a file is made to hold its reader, the site goes on, and whoever sent it is told (framing/readers/models).
"""

from __future__ import annotations

import json
import logging
import os
import re
import signal
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from django.conf import settings

from jobs.refusals import Invalid, Mistake

logger = logging.getLogger(__name__)

MOST_SECONDS = 120
"""Of processor; twice as long by the clock."""

MOST_MEMORY = 4 * 1024**3

_SMALLER = "Export the storeys or the walls alone."


def model_counted(source: bytes, source_name: str, most_walls: int) -> dict[str, Any]:
    """The take-off of a model, as `takeoff --json --explain` prints it.

    Raises Invalid with the reader's sentences, or with one of ours where the reader broke or took too much.
    """
    name = Path(source_name).name
    with TemporaryDirectory() as folder:
        # The reader names the file in its sentences, so it gets as much of its sender's name as is safe on a disk.
        stem = re.sub(r"[^-\w. ]", "_", Path(name).stem)[:60].strip(" .")
        path = Path(folder) / f"{stem or 'model'}{Path(name).suffix.lower()}"
        path.write_bytes(source)
        command = [
            sys.executable,
            "-m",
            "framing.readers.models",
            str(path),
            name,
            *map(str, (most_walls, MOST_SECONDS, MOST_MEMORY)),
        ]
        # Nothing of the site's environment: neither its secrets nor its database are of use there.
        environment = {"PATH": os.environ.get("PATH", ""), "PYTHONUTF8": "1", "OPENBLAS_NUM_THREADS": "1"}
        try:
            done = subprocess.run(
                command,
                check=False,
                cwd=settings.BASE_DIR,
                env=environment,
                stdin=subprocess.DEVNULL,
                capture_output=True,
                timeout=2 * MOST_SECONDS,
            )
        except subprocess.TimeoutExpired:
            raise _refused(name, f"takes too long to read. {_SMALLER}") from None
    if done.returncode == -signal.SIGXCPU:
        raise _refused(name, f"takes too long to read. {_SMALLER}")
    if done.returncode:
        logger.warning(
            "The reader of models ended with %s: %s", done.returncode, done.stderr[-400:].decode(errors="replace")
        )
        raise _refused(name, f"cannot be read: it is damaged, or takes too much memory. Export it again. {_SMALLER}")
    answer: dict[str, Any] = json.loads(done.stdout)
    if "mistakes" in answer:
        raise Invalid(*(Mistake("plan", sentence) for sentence in answer["mistakes"]))
    counted: dict[str, Any] = answer["counted"]
    return counted


def _refused(name: str, reason: str) -> Invalid:
    return Invalid(Mistake("plan", f"{name}: the model: {reason}"))
