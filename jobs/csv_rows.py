"""Reading a CSV file of ours into rows of exact values, every mistake noted with its row.

UTF-8 (with or without a mark at its start), commas, a first line with the columns' names in any order. A column that is
not known is a mistake, never left out in silence. Rows are counted as a spreadsheet shows them: the names are row 1.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from uuid import UUID

from jobs.days import NoDay, day_told
from jobs.refusals import Mistake

MOST_ROWS = 50_000
MOST_BYTES = 20_000_000
MOST_COLUMNS = 100
_DECIMAL = re.compile(r"\d{1,10}(\.\d{1,6})?")
_CLOCK = re.compile(r"(\d{1,2}):([0-5]\d)")
_HOURS = re.compile(r"\d{1,2}(\.\d{1,4})?")
_UUID = re.compile(r"[0-9a-fA-F]{8}(-[0-9a-fA-F]{4}){3}-[0-9a-fA-F]{12}")


@dataclass(frozen=True, slots=True)
class Columns:
    """The columns of a kind of file, in the order in which they are written; `needed` may not be empty."""

    names: tuple[str, ...]
    needed: tuple[str, ...]


class Row:
    """One row under reading. Each getter notes a mistake and gives None where a value cannot be used."""

    def __init__(self, number: int, cells: dict[str, str], mistakes: list[Mistake]) -> None:
        self.number = number
        self.cells = cells
        self.mistakes = mistakes

    def note(self, column: str, sentence: str) -> None:
        path = f"row {self.number}, {column}" if column else f"row {self.number}"
        self.mistakes.append(Mistake(path, sentence))

    def text(self, column: str, most: int = 120) -> str:
        value = self.cells.get(column, "").strip()
        if len(value) > most or "\x00" in value:
            self.note(column, f"{value[:40]!r} has more than {most} letters or one that cannot be kept. Shorten it.")
            return ""
        return value

    def day(self, column: str) -> date | None:
        value = self.text(column)
        if not value:
            return None
        try:
            return day_told(value)
        except NoDay as wrong:
            self.note(column, f"{value[:40]!r} {wrong}")
        return None

    def decimal(self, column: str) -> Decimal | None:
        value = self.text(column)
        if not value:
            return None
        if _DECIMAL.fullmatch(value):
            return Decimal(value)
        self.note(column, f"{value[:40]!r} is no number of ours. Write it as 12.5: no signs, six decimals at most.")
        return None

    def minutes(self, column: str) -> int | None:
        """Hours written 7:30 or 7.5, in whole minutes."""
        value = self.text(column)
        if not value:
            return None
        if clock := _CLOCK.fullmatch(value):
            return int(clock[1]) * 60 + int(clock[2])
        if _HOURS.fullmatch(value) and Decimal(value) * 60 % 1 == 0:
            return int(Decimal(value) * 60)
        self.note(column, f"{value[:40]!r} is no time in whole minutes. Write it as 7:30 or 7.5.")
        return None

    def uuid(self, column: str) -> UUID | None:
        value = self.text(column)
        if not value:
            return None
        if _UUID.fullmatch(value):
            return UUID(value)
        self.note(column, f"{value[:40]!r} is no UUID. Leave it empty, or write it with its four dashes.")
        return None


def rows_read(source: bytes, columns: Columns) -> tuple[list[Row], list[Mistake]]:
    """The rows of a file and the mistakes met so far; later ones are noted into the same list by the rows."""
    mistakes: list[Mistake] = []
    text = _text(source, mistakes)
    if text is None:
        return [], mistakes
    try:
        return list(_rows(text, columns, mistakes)), mistakes
    except csv.Error as error:
        mistakes.append(Mistake("file", f"the file is no CSV: {error}. Save it again as CSV, UTF-8, with commas."))
        return [], mistakes


def _text(source: bytes, mistakes: list[Mistake]) -> str | None:
    if len(source) > MOST_BYTES:
        mistakes.append(
            Mistake("file", f"the file has {len(source)} bytes, {MOST_BYTES} are read. Send it in several files.")
        )
        return None
    try:
        return source.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = source.count(b"\n", 0, error.start) + 1
        mistakes.append(Mistake(f"row {line}", f"byte {error.start + 1} is not UTF-8. Save the file as CSV, UTF-8."))
        return None


def _rows(text: str, columns: Columns, mistakes: list[Mistake]) -> Iterator[Row]:
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    names = [name.strip() for name in next(reader, [])]
    if not _header(names, columns, mistakes):
        return
    for cells in reader:
        if not any(cell.strip() for cell in cells):
            continue
        number = reader.line_num
        if number > MOST_ROWS:
            mistakes.append(Mistake("file", f"the file has more than {MOST_ROWS} rows. Send it in several files."))
            return
        if len(cells) != len(names):
            mistakes.append(
                Mistake(
                    f"row {number}",
                    f"{len(cells)} cells stand under {len(names)} columns. Put a text with commas in double quotes.",
                )
            )
            continue
        row = Row(number, dict(zip(names, cells, strict=True)), mistakes)
        for column in columns.needed:
            if not row.text(column):
                row.note(column, f"{column} is empty. Every row needs it.")
        yield row


def _header(names: Sequence[str], columns: Columns, mistakes: list[Mistake]) -> bool:
    known = ", ".join(columns.names)
    if len(names) == 1 and ";" in names[0]:
        mistakes.append(Mistake("row 1", "semicolons stand between the columns. Separate them with commas."))
        return False
    if len(names) > MOST_COLUMNS:
        mistakes.append(Mistake("row 1", f"{len(names):,} columns stand in the first row. Use: {known}."))
        return False
    found = [
        Mistake("row 1", f"column {name[:40]!r} is not known. Use: {known}.")
        for name in names
        if name not in columns.names
    ]
    found += [
        Mistake("row 1", f"column {name!r} stands twice. Keep one.")
        for name in sorted(set(names))
        if names.count(name) > 1
    ]
    found += [
        Mistake("row 1", f"column {name!r} is missing. Use: {known}.") for name in columns.needed if name not in names
    ]
    mistakes.extend(found)
    return not found
