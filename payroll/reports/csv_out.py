"""Tables for other programs: UTF-8, commas, lines that end in CR LF (RFC 4180), no cell that runs as a formula.

A text that a spreadsheet would take for a formula gets an apostrophe before it (OWASP, "CSV Injection": cells that
begin with = + - @, their full-width forms, tab or return).
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from typing import Any

_FORMULA = re.compile(r"\s*[=+\-@\t\r\n＝＋－＠]")


def csv_bytes(columns: Sequence[str], rows: Iterable[Iterable[Any]]) -> bytes:
    """A table with its names of columns first. The same rows give the same bytes."""
    return "".join(written([columns, *rows])).encode()


def written(rows: Iterable[Iterable[Any]], *, guard: bool = True) -> Iterator[str]:
    """Rows as text of the table, one at a time; unguarded only for what no spreadsheet is to open."""
    buffer = io.StringIO(newline="")
    writer = csv.writer(buffer, lineterminator="\r\n" if guard else "\n")
    for row in rows:
        writer.writerow([guarded(cell) for cell in row] if guard else row)
        yield buffer.getvalue()
        buffer.seek(0)
        buffer.truncate()


def guarded(cell: Any) -> str:
    """A cell as text: exact decimals with a point, nothing for None, words so that none runs as a formula."""
    if cell is None:
        return ""
    if isinstance(cell, Decimal):
        return f"{cell:f}"
    text = str(cell)
    return f"'{text}" if _FORMULA.match(text) else text
