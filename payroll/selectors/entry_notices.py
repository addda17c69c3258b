"""What pay has to say of an entry when it comes: its week is closed already, or its operation has no price yet.

Of a day, for entries and hours alike: that its week is closed.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from jobs.notices import Logged, Notice
from jobs.prepared import cursor_for
from jobs.tenancy import organisation_in_scope
from payroll.models import PayWeek

# One row an entry: the first day of its closed week if it is, and whether any rate of its operation holds on its job.
_KNOWN = """
SELECT e.uuid,
       (SELECT w.first_day FROM payroll_payweek w
         WHERE w.organisation_id = %(organisation)s AND w.state = 'closed'
           AND w.first_day BETWEEN e.worked_on - 6 AND e.worked_on LIMIT 1),
       EXISTS (SELECT 1 FROM payroll_rate r
                WHERE r.organisation_id = %(organisation)s AND r.operation_id = e.operation
                  AND r.starts_on <= e.worked_on AND (r.job_id IS NULL OR r.job_id = e.job))
  FROM unnest(%(uuids)s::uuid[], %(operations)s::bigint[], %(jobs)s::bigint[], %(days)s::date[])
       AS e (uuid, operation, job, worked_on)
"""


def notices_of_pay(logged: Sequence[Logged]) -> dict[UUID, list[Notice]]:
    """By entry, in one statement. Whether the rate also fits a wall's type and a person's class, the preview tells."""
    with cursor_for(len(logged)) as cursor:
        cursor.execute(_KNOWN, _values(logged))
        known = {uuid: (closed, has_rate) for uuid, closed, has_rate in cursor.fetchall()}
    found = {}
    for one in logged:
        closed, has_rate = known[one.uuid]
        notices = [_closed(closed)] if closed is not None else []
        if not has_rate and one.quantity:
            notices.append(_no_price(one))
        if notices:
            found[one.uuid] = notices
    return found


def notices_of_day(day: date) -> list[Notice]:
    """That the week of a day is closed, and what becomes of entries and hours that still come for it."""
    closed = PayWeek.objects.filter(state=PayWeek.State.CLOSED, first_day__range=(day - timedelta(days=6), day)).first()
    return [] if closed is None else [_closed(closed.first_day)]


def _values(logged: Sequence[Logged]) -> dict[str, Any]:
    return {
        "organisation": organisation_in_scope(),
        "uuids": [one.uuid for one in logged],
        "operations": [one.operation for one in logged],
        "jobs": [one.job for one in logged],
        "days": [one.worked_on for one in logged],
    }


def _closed(first_day: date) -> Notice:
    last = first_day + timedelta(days=6)
    return Notice(
        "closed week",
        f"The week from {first_day} to {last} is closed. What is logged now counts as a correction to it.",
        "Nothing to do: the difference is paid with the open week, by the closed week's own rules.",
    )


def _no_price(one: Logged) -> Notice:
    return Notice(
        "no price",
        f"{one.operation_name[:1].upper()}{one.operation_name[1:]} has no price on {one.worked_on}.",
        "The office sets one before it closes the week; until then the week cannot be paid.",
    )
