"""When in a person's working day his pieces were made, from the spans of entries and of hours.

A span counts where all of the person's hours of that day have a start and a finish, and where it begins and ends in his
piece time on the same job with nothing but unpaid time between; a meal in it takes nothing away. Anything else is not
known, and stays with the pieces of the day that tell no span.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction

from django.db import connection

from jobs.tenancy import organisation_in_scope
from payroll.law.week import PIECE_TIME, UNPAID_TIME

# Laid beside the days of `payroll.selectors.gathered`, and empty where no entry of the week tells a span.
SPANS = """
CREATE TEMPORARY TABLE {p}_span ON COMMIT DROP AS
SELECT s.person_id, s.worked_on, s.job_id, s.operation_id, s.rate_id, e.started_at, e.finished_at,
       sum(s.quantity) AS quantity
  FROM jobs_entry e JOIN {p}_share s ON s.entry_id = e.id
 WHERE e.organisation_id = %(organisation)s AND e.worked_on BETWEEN %(first)s AND %(last)s AND e.started_at IS NOT NULL
 GROUP BY s.person_id, s.worked_on, s.job_id, s.operation_id, s.rate_id, e.started_at, e.finished_at
"""
PieceKey = tuple[int, date, int, int, int | None]  # person, day, job, operation, rate


@dataclass(frozen=True, slots=True)
class Made:
    """Pieces whose time is known: hours that went into them, and hours worked that day before them."""

    quantity: Decimal
    hours: Fraction
    first_hour: Fraction


@dataclass(frozen=True, slots=True)
class _Worked:
    """Hours of a day, with the time they began and ended where that was told."""

    job: int
    kind: str
    start: datetime | None
    finish: datetime | None


def made_when(prefix: str, people: Sequence[int], rule_sets: Mapping[int, str]) -> dict[PieceKey, list[Made]]:
    """The pieces of some people whose time is known, in its order; `rule_sets` are those of the jobs by id."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT person_id, worked_on, job_id, operation_id, rate_id, started_at, finished_at, quantity "  # noqa: S608
            f"FROM {prefix}_span WHERE person_id = ANY(%s) ORDER BY started_at, finished_at",
            [list(people)],
        )
        spans = cursor.fetchall()
        if not spans:
            return {}
        cursor.execute(
            "SELECT h.person_id, h.worked_on, h.job_id, h.kind, r.started_at, r.finished_at "  # noqa: S608
            f"FROM {prefix}_hours h JOIN jobs_hours r ON r.organisation_id = %s AND r.id = h.hours_id "
            "WHERE h.person_id = ANY(%s) AND h.kind <> %s",
            [organisation_in_scope(), sorted({row[0] for row in spans}), UNPAID_TIME],
        )
        days: defaultdict[tuple[int, date], list[_Worked]] = defaultdict(list)
        for person, day, job, kind, start, finish in cursor.fetchall():
            days[person, day].append(_Worked(job, kind, start, finish))
    made: defaultdict[PieceKey, list[Made]] = defaultdict(list)
    for person, day, job, operation, rate, start, finish, quantity in spans:
        if (found := _in_his_hours(start, finish, job, days[person, day], rule_sets)) is not None:
            made[person, day, job, operation, rate].append(Made(quantity, *found))
    return made


def _in_his_hours(
    start: datetime, finish: datetime, job: int, day: Sequence[_Worked], rule_sets: Mapping[int, str]
) -> tuple[Fraction, Fraction] | None:
    """The hours of a span, and those before it that day under the same rule set."""
    hours, before, begun, ended = timedelta(0), timedelta(0), False, False
    for one in day:
        if one.start is None or one.finish is None:
            return None
        if one.start < start and rule_sets[one.job] == rule_sets[job]:
            before += min(one.finish, start) - one.start
        if one.start >= finish or one.finish <= start:
            continue
        if one.job != job or one.kind != PIECE_TIME:
            return None
        hours += min(one.finish, finish) - max(one.start, start)
        begun, ended = begun or one.start <= start, ended or one.finish >= finish
    return (_hours(hours), _hours(before)) if begun and ended else None


def _hours(length: timedelta) -> Fraction:
    return Fraction(length // timedelta(seconds=1), 3600)
