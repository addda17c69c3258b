"""Tables for other programs: UTF-8, commas, lines that end in CR LF (RFC 4180), no cell that runs as a formula.

A text that a spreadsheet would take for a formula gets an apostrophe before it (OWASP, "CSV Injection": cells that
begin with = + - @, tab or return).
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Any

_FORMULA = re.compile(r"\s*[=+\-@\t\r\n]")


def csv_bytes(columns: Sequence[str], rows: Iterable[Sequence[Any]]) -> bytes:
    """A table with its names of columns first. The same rows give the same bytes."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(columns)
    writer.writerows([guarded(cell) for cell in row] for row in rows)
    return text.getvalue().encode()


def guarded(cell: Any) -> str:
    """A cell as text: exact decimals with a point, nothing for None, words so that none runs as a formula."""
    if cell is None:
        return ""
    if isinstance(cell, Decimal):
        return f"{cell:f}"
    text = str(cell)
    return f"'{text}" if isinstance(cell, str) and _FORMULA.match(text) else text
