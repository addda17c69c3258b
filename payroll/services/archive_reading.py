"""Reading an organisation's archive: everything is checked against its manifest before a row of it is used."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import sys
import zipfile
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import IO, Any

from jobs.refusals import Mistake, invalid, raise_mistakes
from payroll.exchange_tables import FORMAT, FORMER_IDS, ORGANISATION, Table, tables
from payroll.reports.bundle import MANIFEST

MOST_DOCUMENT = 200_000_000
MOST_MANIFEST = 50_000_000
_BLOCK = 1 << 20
_AGAIN = "Take the export again."
# A wall's pieces are one cell, and longer than the reader's own limit.
csv.field_size_limit(min(sys.maxsize, 1 << 30))
UNREADABLE = (
    csv.Error,
    LookupError,
    OSError,
    RuntimeError,
    TypeError,
    ValueError,
    zipfile.BadZipFile,
    zlib.error,
)
"""What a zip that no export wrote makes of reading it: cut, locked, in another code, nested without end."""


@dataclass(frozen=True, slots=True)
class Archive:
    """An archive whose files are those of its manifest."""

    zip_file: zipfile.ZipFile
    manifest: dict[str, Any]

    def organisation(self) -> dict[str, Any]:
        return dict(json.loads(self.zip_file.read(ORGANISATION)))

    def document(self, name: str) -> bytes:
        return self.zip_file.read(name)

    def rows(self, name: str) -> Iterator[dict[str, str]]:
        """Rows of a CSV file, one at a time."""
        with self.zip_file.open(name) as opened:
            text = io.TextIOWrapper(opened, encoding="utf-8", newline="")
            for row in csv.DictReader(text, strict=True):
                if None in row or None in row.values():
                    raise ValueError(f"{name}: row {row['row']} has not as many cells as there are columns")
                yield row

    def stream(self, table: Table) -> Stream:
        return Stream(self.rows(table.file))


class Stream:
    """Rows of a file, taken from its front for as long as they are wanted."""

    def __init__(self, rows: Iterator[dict[str, str]]) -> None:
        self._rows = rows
        self._next = next(rows, None)

    def take(self, wanted: Callable[[dict[str, str]], bool]) -> Iterator[dict[str, str]]:
        while self._next is not None and wanted(self._next):
            row, self._next = self._next, next(self._rows, None)
            yield row


def archive_read(source: IO[bytes]) -> Archive:
    """Open an archive and check every file in it. Raises Invalid, naming every file that is not as it was written."""
    try:
        zip_file = zipfile.ZipFile(source)
        with zip_file.open(MANIFEST) as opened:
            manifest = json.loads(opened.read(MOST_MANIFEST))
    except UNREADABLE as error:
        raise invalid("file", f"the file is no export of an organisation ({error}). {_AGAIN}") from error
    if not isinstance(manifest, dict) or manifest.get("format") != FORMAT:
        found = manifest.get("format") if isinstance(manifest, dict) else manifest
        raise invalid("file", f"format {str(found)[:60]!r} is not {FORMAT!r}. Use the version that made it.")
    raise_mistakes(list(_mistakes(zip_file, manifest)))
    return Archive(zip_file, manifest)


def _mistakes(zip_file: zipfile.ZipFile, manifest: dict[str, Any]) -> Iterator[Mistake]:
    stated = manifest.get("sha256")
    numbers = manifest.get("rows")
    if not isinstance(stated, dict) or not isinstance(numbers, dict) or "written_in" not in manifest:
        yield Mistake(MANIFEST, f"it does not state sha256 and rows of files, and where they were written. {_AGAIN}")
        return
    if not all(type(number) is int for number in numbers.values()):
        yield Mistake(MANIFEST, f"it states rows that are no numbers. {_AGAIN}")
    names = set(zip_file.namelist()) - {MANIFEST}
    for name in sorted(names - set(stated)):
        yield Mistake(name, f"it does not stand in the manifest. {_AGAIN}")
    known = tables()
    wanted = {ORGANISATION, FORMER_IDS, *(table.file for table in known.values())}
    for name in sorted(set(stated) - wanted):
        if not name.startswith("documents/"):
            yield Mistake(name, "no export has such a file. Ask what it is.")
    for name in sorted((set(stated) | wanted) - names):
        yield Mistake(name, f"the file is missing. {_AGAIN}")
    for name in sorted(set(stated) & names):
        if zip_file.getinfo(name).file_size > MOST_DOCUMENT and not name.startswith("tables/"):
            yield Mistake(name, f"the document is larger than {MOST_DOCUMENT} bytes. Ask what it is.")
        elif _sha256(zip_file, name) != stated[name]:
            yield Mistake(name, f"its SHA-256 is not the one in the manifest. {_AGAIN}")
    for table in known.values():
        if table.file in names:
            yield from _header_mistakes(zip_file, table)


def _header_mistakes(zip_file: zipfile.ZipFile, table: Table) -> Iterator[Mistake]:
    expected = ["row", *(column.name for column in table.columns)]
    try:
        with zip_file.open(table.file) as opened:
            header = next(csv.reader(io.TextIOWrapper(opened, encoding="utf-8", newline="")), [])
    except UNREADABLE as error:
        yield Mistake(table.file, f"it is no CSV in UTF-8 ({error}). {_AGAIN}")
        return
    if header != expected:
        differing = ", ".join(sorted(set(header) ^ set(expected))) or "their order"
        yield Mistake(table.file, f"its columns differ in: {differing}. Use the version that made it.")


def _sha256(zip_file: zipfile.ZipFile, name: str) -> str:
    hashed = hashlib.sha256()
    try:
        with zip_file.open(name) as opened:
            while block := opened.read(_BLOCK):
                hashed.update(block)
    except UNREADABLE:
        return ""
    return hashed.hexdigest()
