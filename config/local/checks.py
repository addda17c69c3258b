"""`make test`, `make lint` and `make bench`, and any other command that wants services around it."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Sequence
from pathlib import Path

from config.local import place, postgres, redis
from config.local.children import Children, Refused

PYTHON = sys.executable
_PROGRAMS = Path(PYTHON).parent
LINT: dict[str, list[str]] = {
    "ruff check": [str(_PROGRAMS / "ruff"), "check", "."],
    "ruff format": [str(_PROGRAMS / "ruff"), "format", "--check", "."],
    "import contracts": [str(_PROGRAMS / "lint-imports"), "--no-logo"],
    "types": [str(_PROGRAMS / "mypy")],
}


def lint() -> int:
    """Every check that runs no code of ours. Answers 1 if any failed, after naming them."""
    with Children() as children:
        return _verdict(_failed(children, LINT))


def test(words: Sequence[str]) -> int:
    """Lint, then pytest on real services. `words` go to pytest in place of its usual ones."""
    with place.held("test") as folder, Children() as children:
        env = _services(children, folder, durable=False) | {"HYPOTHESIS_PROFILE": "ci"}
        failed = _failed(children, LINT)
        pytest = [PYTHON, "-m", "pytest", *(words or ["--numprocesses", "2", "--dist", "loadfile"])]
        failed += _failed(children, {"pytest": pytest}, env)
        return _verdict(failed)


def bench(words: Sequence[str]) -> int:
    """The benchmarks, on a PostgreSQL that waits for the disk at each commit."""
    return around("bench", [PYTHON, "-m", "tests.bench", *words], durable=True)


def around(use: str, command: Sequence[str], *, durable: bool = False) -> int:
    """Run any command with services of its own around it; answer its exit code."""
    with place.held(use) as folder, Children() as children:
        env = _services(children, folder, durable=durable)
        return children.run(command, env=env, folder=place.PROJECT)[0]


def _services(children: Children, folder: Path, *, durable: bool) -> dict[str, str]:
    url = redis.start(children, folder, durable=False)
    if url is None:
        raise Refused(
            "Tests need a real Redis, and there is none: no REDIS_URL, no redis-server on PATH, none in the locked "
            "packages for this Python. Install redis-server, or set REDIS_URL."
        )
    databases = postgres.start(children, folder, durable=durable, makes_databases=True)
    return os.environ | databases | {"REDIS_URL": url, "PYTHONUNBUFFERED": "1"}


def _failed(children: Children, steps: dict[str, list[str]], env: dict[str, str] | None = None) -> list[str]:
    """Run every step, whatever the others say; the names of those that failed."""
    failed = []
    for name, command in steps.items():
        began = time.monotonic()
        print(f"== {name}", flush=True)
        code, _ = children.run(command, env=env or dict(os.environ), folder=place.PROJECT)
        print(f"== {name}: {'ok' if code == 0 else f'failed ({code})'}, {time.monotonic() - began:.1f} s", flush=True)
        if code != 0:
            failed.append(name)
    return failed


def _verdict(failed: list[str]) -> int:
    if failed:
        print(f"Failed: {', '.join(failed)}.", flush=True)
    return 1 if failed else 0
