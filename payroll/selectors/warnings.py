"""What deserves a second look in a week that can be priced: sentences, not refusals."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from django.db import connection

from jobs.selectors.words import Dispute
from jobs.tenancy import organisation_in_scope
from payroll.law.week import PIECE_TIME, UNPAID_TIME
from payroll.selectors.gathered import DAYS, Gathered, PersonWeek
from payroll.selectors.office_facts import splits_agreed


def warnings_of(week: PersonWeek, disputes: Sequence[Dispute] = ()) -> tuple[str, ...]:
    """What the person disputes; hours without pieces and pieces without hours, in the week and on single days."""
    return (*(_disputed(week, one) for one in disputes), *_one_without_the_other(week))


def _disputed(week: PersonWeek, one: Dispute) -> str:
    return (
        f"{week.name} disputes {one.told}, on {one.worked_on.isoformat()}: {one.reason or 'the reason was forgotten'}. "
        "Correct it, or settle it with a word, before the week is closed."
    )


def _one_without_the_other(week: PersonWeek) -> tuple[str, ...]:
    piece_hours = {time.worked_on for time in week.times if time.kind == PIECE_TIME}
    worked = {time.worked_on for time in week.times if time.kind != UNPAID_TIME}
    pieces = {piece.worked_on for piece in week.pieces}
    if pieces and not worked:
        return (
            f"{week.name}: pieces but no hours. Neither overtime nor the minimum wage can be tested; ask for the "
            f"hours of the week.",
        )
    found = []
    if worked and not pieces:
        found.append(f"{week.name}: hours but no pieces. Ask whether entries are missing.")
        return tuple(found)
    if bare := sorted(pieces - worked):
        found.append(f"{week.name}: pieces but no hours on {_days(bare)}. Ask for the hours of those days.")
    if idle := sorted(piece_hours - pieces):
        found.append(f"{week.name}: piece hours but no pieces on {_days(idle)}. Ask whether entries are missing.")
    return tuple(found)


_UNEVEN = """
SELECT DISTINCT s.person_id, p.name, e.worked_on
  FROM {prefix}_share s
  JOIN jobs_entry e ON e.organisation_id = %(organisation)s AND e.id = s.entry_id
  JOIN jobs_receipt r ON r.organisation_id = e.organisation_id AND r.uuid = e.uuid
   AND r.request -> 'shares' ->> 'by' IN ('weight', 'quantity')
  JOIN jobs_person p ON p.organisation_id = e.organisation_id AND p.id = s.person_id
 WHERE (SELECT count(*) FROM jobs_entryshare o WHERE o.organisation_id = e.organisation_id AND o.entry_id = e.id) > 1
 ORDER BY s.person_id, e.worked_on
"""


def split_warnings(gathered: Gathered) -> dict[int, tuple[str, ...]]:
    """Days on which a group's pieces were shared unequally with somebody who has no agreement on a group split.

    Equal shares are the rule where nothing was agreed; the entry stands as it was logged.
    """
    with connection.cursor() as cursor:
        cursor.execute(_UNEVEN.format(prefix=gathered.prefix), {"organisation": organisation_in_scope()})
        found = cursor.fetchall()
    last = gathered.first_day + timedelta(days=DAYS - 1)
    agreed = splits_agreed(sorted({person for person, _, _ in found}), gathered.first_day, last)
    bare: dict[int, tuple[str, list[date]]] = {}
    for person, name, day in found:
        if not any(one.holds(day) for one in agreed.get(person, ())):
            bare.setdefault(person, (name, []))[1].append(day)
    return {
        person: (
            f"{name}: shared a group's pieces unequally on {_days(days)} without an agreement on a group split. Record "
            "the agreement, or correct the entries to equal shares.",
        )
        for person, (name, days) in bare.items()
    }


def _days(days: list[date]) -> str:
    return ", ".join(day.isoformat() for day in days)
