"""A new file for names, hours and pay of people: for nobody but who asked, and never over a file that is there."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO


class FileTaken(Exception):
    """The file cannot be made; the text says why and what to do."""


@contextmanager
def new_file(path: Path) -> Iterator[IO[bytes]]:
    """Open a new file, readable by its owner alone; it is removed again when the block fails. Raises FileTaken."""
    try:
        opened = os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb")
    except FileExistsError as error:
        raise FileTaken(f"{path} is there already. Name a new file.") from error
    except OSError as error:
        raise FileTaken(f"{path} cannot be written: {error.strerror}. Name another place.") from error
    try:
        with opened:
            yield opened
    except BaseException:
        path.unlink()
        raise
