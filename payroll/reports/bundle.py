"""A zip of files with the SHA-256 of each, written as it is made: equal content makes equal bytes, and no more is held
than the piece under writing.
"""

from __future__ import annotations

import hashlib
import json
import zipfile
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from typing import IO, Any

MANIFEST = "manifest.json"
# Every file bears this moment, so that the bytes say nothing of when they were packed.
MOMENT = (1980, 1, 1, 0, 0, 0)


class Bundle:
    """A zip under writing: its files one after the other. `rows` counts those of tables, `sha256` has every file's."""

    def __init__(self, packed: zipfile.ZipFile) -> None:
        self._packed = packed
        self.rows: dict[str, int] = {}
        self.sha256: dict[str, str] = {}

    def write(self, name: str, *parts: bytes) -> None:
        self._write(name, parts)

    def table(self, name: str, rows: Iterable[str]) -> None:
        """Rows of a table as text, the first with the names of its columns."""
        count = -1

        def encoded() -> Iterator[bytes]:
            nonlocal count
            for count, row in enumerate(rows):  # noqa: B007 - read when all are written
                yield row.encode()

        self._write(name, encoded())
        self.rows[name] = count

    def manifest(self, about: Mapping[str, Any]) -> None:
        """`about` and the hash of every file so far; nothing is written after it."""
        content = {**about, "sha256": self.sha256}
        self.write(MANIFEST, json.dumps(content, indent=1, ensure_ascii=False).encode())

    def _write(self, name: str, parts: Iterable[bytes]) -> None:
        info = zipfile.ZipInfo(name, date_time=MOMENT)
        info.compress_type = zipfile.ZIP_DEFLATED
        hashed = hashlib.sha256()
        with self._packed.open(info, "w", force_zip64=True) as opened:
            for part in parts:
                hashed.update(part)
                opened.write(part)
        self.sha256[name] = hashed.hexdigest()


@contextmanager
def bundle(to: IO[bytes]) -> Iterator[Bundle]:
    """A bundle written to `to`, which need not be seekable."""
    with zipfile.ZipFile(to, "w", zipfile.ZIP_DEFLATED) as packed:
        yield Bundle(packed)
