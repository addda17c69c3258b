"""Time zones by name, and what a clock in one of them shows."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo


def is_time_zone(name: str) -> bool:
    """Whether `name` is a key of the time zone database, as America/Chicago is."""
    try:
        return bool(name) and ZoneInfo(name).key == name
    except (KeyError, ValueError, OSError):
        return False


class NoMoment(ValueError):
    """A time of day that the clock of the place does not show on that day; the message says so, with the next step."""


def moment_on(day: date, minutes: int, zone: str) -> datetime:
    """The moment when the clock of `zone` shows so many minutes after midnight on `day`; the earlier of two alike.

    24:00 ends the day. Raises NoMoment.
    """
    shown = datetime.combine(day, time()) + timedelta(minutes=minutes)
    moment = shown.replace(tzinfo=ZoneInfo(zone)).astimezone(UTC)
    if not 0 <= minutes <= 24 * 60 or moment.astimezone(ZoneInfo(zone)).replace(tzinfo=None) != shown:
        raise NoMoment(
            f"{minutes // 60}:{minutes % 60:02d} is no time of {day} at the job. Write it as its clock shows it, such "
            "as 7:00 or 15:30."
        )
    return moment
