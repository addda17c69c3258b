"""Time zones by name."""

from __future__ import annotations

from zoneinfo import ZoneInfo


def is_time_zone(name: str) -> bool:
    """Whether `name` is a key of the time zone database, as America/Chicago is."""
    try:
        return bool(name) and ZoneInfo(name).key == name
    except (KeyError, ValueError, OSError):
        return False
