"""A day is read alike by the API, from files and on pages: written one way, of the years that weeks are counted in."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from jobs.api.fields import Fields
from jobs.csv_rows import Row
from jobs.pages.typed import Unreadable, read_day
from jobs.refusals import Mistake


def by_api(text: str) -> date | str:
    mistakes: list[Mistake] = []
    return Fields({"day": text}, mistakes).day("day") or mistakes[0].sentence


def by_page(text: str) -> date | str:
    try:
        return read_day(text)
    except Unreadable as wrong:
        return str(wrong)


def by_file(text: str) -> date | str:
    mistakes: list[Mistake] = []
    return Row(2, {"day": text}, mistakes).day("day") or mistakes[0].sentence


@pytest.mark.parametrize("read", [by_api, by_file, by_page])
def test_the_same_days_are_read_and_refused(read: Callable[[str], date | str]):
    assert read("1900-01-01") == date(1900, 1, 1)
    assert read("2199-12-31") == date(2199, 12, 31)
    for text in ("1899-12-31", "2200-01-01", "0001-01-01"):
        assert "years go from 1900 to 2199" in str(read(text)), text
    # ISO 8601 has other forms too, such as week dates; here one is written.
    for text in ("2026-02-29", "20261123", "2026-W48-1", "٢٠٢٦-11-23", "x"):
        assert "is no day. Write it as 2026-11-23." in str(read(text)), text
