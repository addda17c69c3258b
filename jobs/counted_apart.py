"""A stranger's building model, drawing or large plan is counted in a process of its own, with bounds of memory and
processor.

However a file is made to hold its reader, the site goes on, and whoever sent it is told (framing/readers/apart.py).
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

_STEPS = {
    "model": "Export it again, the storeys or the walls alone.",
    "plan": "Split it into several, by levels or wings.",
}


def counted_apart(source: bytes, source_name: str, most_walls: int, what: str) -> dict[str, Any]:
    """The take-off of a plan or a model, as `takeoff --json --explain` prints it.

    `what` it is, a plan or a model, is said in refusals. Raises Invalid with the reader's sentences, or with one of
    ours where the reader broke or took too much.
    """
    name = Path(source_name).name
    with TemporaryDirectory() as folder:
        # The reader names the file in its sentences, so it gets as much of its sender's name as is safe on a disk.
        stem = re.sub(r"[^-\w. ]", "_", Path(name).stem)[:60].strip(" .")
        path = Path(folder) / f"{stem or 'plan'}{Path(name).suffix.lower()}"
        path.write_bytes(source)
        command = [
            sys.executable,
            "-m",
            "framing.readers.apart",
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
            raise _refused(name, what, "takes too long to count") from None
    if done.returncode == -signal.SIGXCPU:
        raise _refused(name, what, "takes too long to count")
    if done.returncode:
        logger.warning(
            "The reader apart ended with %s: %s",
            done.returncode,
            done.stderr[-400:].decode(errors="replace"),
        )
        raise _refused(name, what, "cannot be read: it is damaged, or takes too much memory")
    answer: dict[str, Any] = json.loads(done.stdout)
    if "mistakes" in answer:
        raise Invalid(*(Mistake("plan", sentence) for sentence in answer["mistakes"]))
    counted: dict[str, Any] = answer["counted"]
    return counted


def _refused(name: str, what: str, reason: str) -> Invalid:
    return Invalid(Mistake("plan", f"{name}: the {what}: {reason}. {_STEPS[what]}"))
