"""A folder for one use of the machine, in `.local/` (or PIECEWALL_LOCAL), held by one run at a time."""

from __future__ import annotations

import fcntl
import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from config.local.children import Refused

PROJECT = Path(__file__).resolve().parents[2]


def folder(use: str) -> Path:
    """The folder for `use` (demo, test, bench), held or not."""
    return Path(os.environ.get("PIECEWALL_LOCAL") or PROJECT / ".local").resolve() / use


@contextmanager
def held(use: str) -> Iterator[Path]:
    """The folder for `use` (demo, test, bench), locked until the block ends. Raises Refused if another run holds it."""
    here = folder(use)
    here.mkdir(parents=True, exist_ok=True)
    with (here / "lock").open("a+") as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            lock.seek(0)
            holder = lock.read().strip()
            raise Refused(
                f"`make {use}` already runs here as process {holder}. Stop it, or use a second clone."
            ) from None
        lock.truncate(0)
        lock.write(str(os.getpid()))
        lock.flush()
        yield here


def is_held(use: str) -> bool:
    """Whether a run holds the folder for `use` now."""
    try:
        with held(use):
            return False
    except Refused:
        return True


def secret_key(here: Path) -> str:
    """The folder's own secret key: made once, readable by its owner alone."""
    path = here / "secret-key"
    try:
        with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w") as made:
            made.write(secrets.token_urlsafe(50))
    except FileExistsError:
        pass
    return path.read_text()
