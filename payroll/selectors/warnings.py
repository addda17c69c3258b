"""What deserves a second look in a week that can be priced: sentences, not refusals."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from fractions import Fraction

from django.db import connection

from jobs.models import Person
from jobs.selectors.words import Dispute
from jobs.tenancy import organisation_in_scope
from payroll.law.pay_days import by_pay_period
from payroll.law.week import PIECE_TIME, UNPAID_TIME
from payroll.selectors.gathered import DAYS, Gathered, Names, PersonWeek
from payroll.selectors.office_facts import splits_agreed
from payroll.selectors.typed_week import jobs_of

WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
# Hours of a day beyond which they are looked at twice; common practice, no source.
LONG_DAY = 14


def warnings_of(week: PersonWeek, disputes: Sequence[Dispute] = ()) -> tuple[str, ...]:
    """What the person disputes; days longer than people work; hours without pieces and pieces without hours, in
    the week and on single days."""
    return (*(_disputed(week, one) for one in disputes), *_long_days(week), *_one_without_the_other(week))


def _disputed(week: PersonWeek, one: Dispute) -> str:
    return (
        f"{week.name} disputes {one.told}, on {_day(one.worked_on)}: {one.reason or 'the reason was forgotten'}. "
        "Correct it, or settle it with a word, before the week is closed."
    )


def _long_days(week: PersonWeek) -> Iterator[str]:
    """Hours that were logged twice make a day that nobody works."""
    by_day: defaultdict[date, Fraction] = defaultdict(Fraction)
    for time in week.times:
        if time.kind != UNPAID_TIME:
            by_day[time.worked_on] += time.hours
    for day, hours in sorted(by_day.items()):
        if hours > LONG_DAY:
            minutes = round(hours * 60)
            yield (
                f"{week.name}: {minutes // 60}:{minutes % 60:02d} h on {_days([day])}. Ask whether hours were "
                "logged twice, and correct them if so."
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


def reckoned_alone(week: PersonWeek, names: Names) -> bool:
    """Whether overtime is reckoned over the pay period, but no closed statement tells the week before in it."""
    unknown = week.before is not None and week.before.figures is None
    return unknown and any(by_pay_period(names.jobs[job].rule_set) for job in jobs_of(week))


def alone_warning(names: Sequence[str]) -> str:
    return (
        f"{', '.join(names)}: no closed statement under these rules tells the week before of the same pay period, so "
        "overtime is reckoned over this week alone. Close that week first, or compare both before this is paid."
    )


_UNEVEN = """
SELECT DISTINCT g.people, e.worked_on
  FROM (SELECT DISTINCT entry_id FROM {prefix}_share) s
  JOIN jobs_entry e ON e.organisation_id = %(organisation)s AND e.id = s.entry_id
  JOIN jobs_receipt r ON r.organisation_id = e.organisation_id AND r.uuid = e.uuid
   AND r.request -> 'shares' ->> 'by' IN ('weight', 'quantity')
 CROSS JOIN LATERAL (
   SELECT array_agg(o.person_id ORDER BY p.name, p.id) AS people
     FROM jobs_entryshare o JOIN jobs_person p ON p.organisation_id = o.organisation_id AND p.id = o.person_id
    WHERE o.organisation_id = e.organisation_id AND o.entry_id = e.id) g
 WHERE cardinality(g.people) > 1
 ORDER BY e.worked_on, g.people
"""


def split_warnings(gathered: Gathered) -> dict[int, str]:
    """Days on which a group's pieces were shared unequally among people without an agreement on a group split.

    Equal shares are the rule where nothing was agreed; the entry stands as it was logged. One sentence for all of a
    group whom it concerns, under the id of the first of them by name who has work in the week.
    """
    with connection.cursor() as cursor:
        cursor.execute(_UNEVEN.format(prefix=gathered.prefix), {"organisation": organisation_in_scope()})
        found = cursor.fetchall()
    everybody = sorted({person for people, _ in found for person in people})
    last = gathered.first_day + timedelta(days=DAYS - 1)
    agreed = splits_agreed(everybody, gathered.first_day, last)
    in_week = set(gathered.people)
    bare: dict[tuple[int, ...], list[date]] = {}
    for people, day in found:
        group = tuple(
            person
            for person in people
            if person in in_week and not any(one.holds(day) for one in agreed.get(person, ()))
        )
        if group and day not in bare.setdefault(group, []):
            bare[group].append(day)
    names = dict(Person.objects.filter(pk__in=everybody).values_list("pk", "name"))
    said: dict[int, str] = {}
    for group, days in bare.items():
        together = ", ".join(names[person] for person in group)
        sentence = (
            f"{together}: shared a group's pieces unequally on {_days(days)} without an agreement on a group split. "
            "Record it if it was signed before the work, else correct the entries to equal shares."
        )
        said[group[0]] = f"{said[group[0]]} {sentence}" if group[0] in said else sentence
    return said


def _days(days: list[date]) -> str:
    return ", ".join(_day(day) for day in days)


def _day(day: date) -> str:
    """Mon 23 Nov 2026, as pages say it."""
    return f"{WEEKDAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]} {day.year}"
