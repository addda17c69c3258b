"""From when to when on a day: what hours and entries are held to alike."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from jobs.refusals import invalid

# A phone's clock may run a little ahead of ours.
CLOCK_GRACE = timedelta(minutes=10)


def check_on_day(start: datetime, finish: datetime, *, day: date, zone: str, now: datetime) -> None:
    """The start is on `day` by the job's own clock, the finish is past. Raises Invalid.

    Work past midnight belongs to the day it began on, common practice, no source; which day and week the law counts
    it in, where that differs, is for the office to correct.
    """
    local = start.astimezone(ZoneInfo(zone)).date()
    if local != day:
        raise invalid("started_at", f"the start is on {local} at the job, the day is {day}. Mend one of them.")
    if finish > now + CLOCK_GRACE:
        raise invalid("finished_at", f"the finish, {at_job(finish, zone)}, is still to come. Log it once it is done.")


def at_job(moment: datetime, zone: str) -> str:
    """A moment as the job's own clock shows it."""
    return moment.astimezone(ZoneInfo(zone)).strftime("%Y-%m-%d %H:%M")
