"""Days as they are told, on pages, in files and by the API: written one way, of years that weeks can be counted in."""

from __future__ import annotations

import re
from datetime import date

# Weeks and pay days are counted from a day both ways; at the ends of the calendar there would be none.
FIRST_YEAR, LAST_YEAR = 1900, 2199
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


class NoDay(ValueError):
    """What was told is no day of ours; the message says why and what to do, to stand after the value."""


def day_told(text: str) -> date:
    """A day as 2026-11-23. Raises NoDay."""
    try:
        day = date.fromisoformat(text) if _DAY.fullmatch(text) else None
    except ValueError:
        day = None
    if day is None:
        raise NoDay("is no day. Write it as 2026-11-23.")
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise NoDay(f"is no day of ours: years go from {FIRST_YEAR} to {LAST_YEAR}. Check the year.")
    return day
