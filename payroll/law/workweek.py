"""The workweek: seven days from its first day, and how long each of those days is by the clock."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from fractions import Fraction
from functools import lru_cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

DAYS = 7
# Outside these years a date is a slip of the pen; it also keeps a week's seventh day within the calendar.
FIRST_YEAR, LAST_YEAR = 1900, 2999


def last_day(week_start: date) -> date:
    """The seventh day of a workweek. 29 CFR 778.105: seven consecutive 24-hour periods, beginning on any day."""
    return week_start + timedelta(days=DAYS - 1)


def days_of(week_start: date) -> tuple[date, ...]:
    """The seven days in order."""
    return tuple(week_start + timedelta(days=number) for number in range(DAYS))


@lru_cache(maxsize=4096)
def day_length(day: date, time_zone: str) -> Fraction:
    """Hours from one midnight to the next: 24, or 23 and 25 where the zone changes its clocks; 24 without a zone.

    Raises ZoneUnknown for a name that this machine's zone data does not hold.
    """
    if not time_zone:
        return Fraction(24)
    try:
        zone = ZoneInfo(time_zone)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise ZoneUnknown(time_zone) from None
    first = datetime.combine(day, time.min, zone).astimezone(UTC)
    next_first = datetime.combine(day + timedelta(days=1), time.min, zone).astimezone(UTC)
    return Fraction((next_first - first) // timedelta(seconds=1), 3600)


class ZoneUnknown(LookupError):
    """The time zone's name is not in the zone data."""
