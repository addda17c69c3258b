"""`python -m tests.bench [WORD ...]`: take every figure whose name holds one of the words, on a database of its own."""

from __future__ import annotations

import importlib
import os
import platform
import sys
from pathlib import Path

import django
from django.db import connections
from django.test.utils import setup_databases, teardown_databases

from tests.bench.harness import Figure, line, take


def main(words: list[str]) -> int:
    """Print each figure as it is taken. Answers 0; a goal not reached is said, not hidden in an exit code."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    django.setup()
    made = setup_databases(verbosity=0, interactive=False, aliases={"owner"}, serialized_aliases=set())
    try:
        print(f"{platform.machine()}, {os.cpu_count()} processors, Python {platform.python_version()}", flush=True)
        figures = [figure for figure in _figures() if not words or any(word in figure.name for word in words)]
        for figure in figures:
            print(line(take(figure)), flush=True)
        if not figures:
            print("No figure has such a name.")
    finally:
        connections.close_all()
        teardown_databases(made, verbosity=0)
    return 0


def _figures() -> list[Figure]:
    found = sorted(path.stem for path in Path(__file__).parent.glob("bench_*.py"))
    return [figure for name in found for figure in importlib.import_module(f"tests.bench.{name}").figures()]


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
