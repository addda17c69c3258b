"""What beat sends to the worker, and when (UTC). The one list of it."""

from __future__ import annotations

from typing import Any

from celery.schedules import crontab

SCHEDULE: dict[str, dict[str, Any]] = {
    # Every minute, because what is not sealed yet could still be changed without a trace.
    "audit sealing": {"task": "jobs.audit_seal_due", "schedule": crontab()},
    # Every hour, because a week ends at another moment in every time zone, and is closed when the office closes it.
    "weekly reports": {"task": "payroll.weekly_reports_due", "schedule": crontab(minute=10)},
    # Once a day: an address that nobody answered under is not kept for longer than it is of use.
    "stale": {"task": "jobs.stale_clear", "schedule": crontab(hour=3, minute=20)},
}
