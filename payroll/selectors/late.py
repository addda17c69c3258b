"""Closed weeks that changed afterwards: found, and priced again under their own rules. Nothing is written here.

A closed week is priced again for a person when an entry or hours of his came late, or were corrected, when a record of
the office reaches back into it, when his statement was stopped then, or when the week before it is priced again and
both are one pay period over which the rate of overtime is reckoned. The whole week is priced again with the
parameter values stored with it and the rates that paid its entries. An entry that was moved out of a closed week into
another is paid there and missed here; the closed week then shows what it overpaid, and nothing is taken back.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django.db import connection
from django.db.models import Sum

from jobs.tenancy import organisation_in_scope
from payroll.law import the_book
from payroll.law.deductions import why_refused
from payroll.models import LineAllotment, PayWeek, Statement, StatementHours
from payroll.selectors.gathered import gather
from payroll.selectors.late_in_period import late_by_period
from payroll.selectors.late_prevailing import late_by_prevailing
from payroll.selectors.late_records import reached_by_records
from payroll.selectors.law_values import book_of
from payroll.selectors.periods import DAYS
from payroll.selectors.pricing import Draft, Stopped, drafted
from payroll.selectors.week_before import Before

PREFIX = "pay_late"
# Ids are given before rows are committed: what was being written while a week closed stands this far below the newest
# id seen, at most.
STILL_BEING_WRITTEN = 100_000


@dataclass(frozen=True, slots=True)
class Late:
    """A closed week of a person that may no longer agree with its statement."""

    person: int
    pay_week: PayWeek


@dataclass(frozen=True, slots=True)
class Corrected:
    """A late week as it was priced again: the statement before it, what is missing and what was paid above it."""

    late: Late
    draft: Draft
    before: Statement | None
    difference: Decimal
    overpaid: Decimal

    @property
    def nothing_taken_back(self) -> tuple[str, ...]:
        """What the rule sets of the week say of deductions, where it was overpaid."""
        if not self.overpaid:
            return ()
        return tuple(why_refused(the_book(), rules) for rules in self.draft.rule_set.split(", "))


_STANDS = """NOT EXISTS (
          SELECT 1 FROM payroll_statement c WHERE c.organisation_id = t.organisation_id AND c.corrects_id = t.id)"""
_IN_FORCE = "NOT EXISTS (SELECT 1 FROM {table} n WHERE n.organisation_id = x.organisation_id AND n.replaces_id = x.id)"
# Entries since the last closing that count but are in no statement in force, and statements in force that count an
# entry replaced since.
_LATE_ENTRIES = f"""
SELECT DISTINCT w.id, s.person_id
  FROM jobs_entry x
  JOIN jobs_entryshare s ON s.organisation_id = x.organisation_id AND s.entry_id = x.id AND s.quantity > 0
  JOIN payroll_payweek w ON w.organisation_id = x.organisation_id AND w.state = 'closed'
   AND x.worked_on BETWEEN w.first_day AND w.first_day + 6
 WHERE x.organisation_id = %(organisation)s AND x.id > %(entries_from)s AND {_IN_FORCE.format(table="jobs_entry")}
   AND NOT EXISTS (
     SELECT 1 FROM payroll_lineallotment a
       JOIN payroll_statementline l ON l.organisation_id = a.organisation_id AND l.id = a.line_id
       JOIN payroll_statement t ON t.organisation_id = l.organisation_id AND t.id = l.statement_id
      WHERE a.organisation_id = x.organisation_id AND a.entry_id = x.id AND t.person_id = s.person_id
        AND {_STANDS})
UNION
SELECT DISTINCT t.pay_week_id, t.person_id
  FROM jobs_entry x
  JOIN payroll_lineallotment a ON a.organisation_id = x.organisation_id AND a.entry_id = x.replaces_id
  JOIN payroll_statementline l ON l.organisation_id = a.organisation_id AND l.id = a.line_id
  JOIN payroll_statement t ON t.organisation_id = l.organisation_id AND t.id = l.statement_id
 WHERE x.organisation_id = %(organisation)s AND x.id > %(entries_from)s AND x.replaces_id IS NOT NULL
   AND {_STANDS}
"""  # noqa: S608
_LATE_HOURS = f"""
SELECT DISTINCT w.id, x.person_id
  FROM jobs_hours x
  JOIN payroll_payweek w ON w.organisation_id = x.organisation_id AND w.state = 'closed'
   AND x.worked_on BETWEEN w.first_day AND w.first_day + 6
 WHERE x.organisation_id = %(organisation)s AND x.id > %(hours_from)s AND x.minutes > 0
   AND {_IN_FORCE.format(table="jobs_hours")}
   AND NOT EXISTS (
     SELECT 1 FROM payroll_statementhours a
       JOIN payroll_statement t ON t.organisation_id = a.organisation_id AND t.id = a.statement_id
      WHERE a.organisation_id = x.organisation_id AND a.hours_id = x.id
        AND {_STANDS})
UNION
SELECT DISTINCT t.pay_week_id, t.person_id
  FROM jobs_hours x
  JOIN payroll_statementhours a ON a.organisation_id = x.organisation_id AND a.hours_id = x.replaces_id
  JOIN payroll_statement t ON t.organisation_id = a.organisation_id AND t.id = a.statement_id
 WHERE x.organisation_id = %(organisation)s AND x.id > %(hours_from)s AND x.replaces_id IS NOT NULL
   AND {_STANDS}
"""  # noqa: S608


def late_find(open_week: PayWeek | None) -> list[Late]:
    """Closed weeks that changed since, by person, oldest first; what the last closing had to leave is among them.

    `open_week` is the one that is about to settle them, None to look only."""
    closed = {week.pk: week for week in PayWeek.objects.filter(state=PayWeek.State.CLOSED)}
    if not closed:
        return []
    last = max(closed.values(), key=lambda week: (week.closed_at, week.pk))
    given = {
        "organisation": organisation_in_scope(),
        "entries_from": last.entries_to - STILL_BEING_WRITTEN,
        "hours_from": last.hours_to - STILL_BEING_WRITTEN,
    }
    found = {(week, person) for person, week in last.pending}
    with connection.cursor() as cursor:
        for sql in (_LATE_ENTRIES, _LATE_HOURS):
            cursor.execute(sql, given)
            found |= set(cursor.fetchall())
    found |= late_by_prevailing() | reached_by_records(last)
    found |= late_by_period(found, closed, last)
    in_order = sorted(found, key=lambda pair: (closed[pair[0]].first_day, pair[1]))
    return [Late(person, closed[week]) for week, person in in_order if open_week is None or week != open_week.pk]


def corrections_priced(late: Iterable[Late]) -> Iterator[tuple[PayWeek, list[Corrected], list[Stopped]]]:
    """Late weeks priced again, one after the other, oldest first: what one comes to is told to the next."""
    told: dict[date, dict[int, Before | None]] = {}
    for pay_week, of_week in by_week(late):
        corrected, stopped = corrections_price(pay_week, of_week, told.get(pay_week.first_day, {}))
        told[pay_week.first_day + timedelta(days=DAYS)] = told_by(corrected)
        yield pay_week, corrected, stopped


def told_by(corrected: Iterable[Corrected]) -> dict[int, Before | None]:
    """What corrected weeks tell the week after them, by person."""
    return {one.late.person: one.draft.before for one in corrected}


def corrections_price(
    pay_week: PayWeek, late: Sequence[Late], told: Mapping[int, Before | None]
) -> tuple[list[Corrected], list[Stopped]]:
    """Gather and price one late week again, under its own values; who still cannot be priced comes back as sentences.

    Somebody with nothing in the week, then or now, is left out, and so is a week that is still as its statement says:
    the same lines, over the same entries and hours. `told` is what the week before was corrected to.
    """
    corrected: list[Corrected] = []
    stopped: list[Stopped] = []
    people = sorted(one.person for one in late)
    gathered = replace(gather(PREFIX, pay_week.first_day, people, kept_from=pay_week.pk), before=told)
    for week in gathered.some(people):
        before = Statement.objects.filter(pay_week=pay_week, person_id=week.person).order_by("-number").first()
        draft: Draft | Stopped
        if week.pieces or week.times:
            draft = drafted(week, pay_week.first_day, gathered.names, book_of(_values(before, pay_week)))
        elif before is not None:
            draft = emptied(before)
        else:
            continue
        if isinstance(draft, Stopped):
            stopped.append(draft)
        elif before is None or not still_says(before, draft, PREFIX):
            corrected.append(_compared(Late(week.person, pay_week), draft, before))
    return corrected, stopped


def by_week(late: Iterable[Late]) -> list[tuple[PayWeek, list[Late]]]:
    """Late weeks with those who are late in them, in the order given."""
    found: defaultdict[int, list[Late]] = defaultdict(list)
    weeks: dict[int, PayWeek] = {}
    for one in late:
        weeks[one.pay_week.pk] = one.pay_week
        found[one.pay_week.pk].append(one)
    return [(weeks[pk], found[pk]) for pk in found]


def still_says(statement: Statement, draft: Draft, prefix: str) -> bool:
    """Whether a week priced again has the lines of its statement, over the same entries and hours.

    `prefix` names the gathered tables that the draft was priced from.
    """
    lines = statement.lines.exclude(code="correction").order_by("position")
    ours = [(line.code, line.text, line.quantity, line.rate, line.amount) for line in draft.lines]
    if ours != list(lines.values_list("code", "text", "quantity", "rate", "amount")):
        return False
    counted = StatementHours.objects.filter(statement=statement).values_list("hours_id", flat=True)
    earned = LineAllotment.objects.filter(line__statement=statement).values_list("entry_id", flat=True)
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT hours_id FROM {prefix}_hours WHERE person_id = %s", [draft.person])  # noqa: S608
        hours = {row[0] for row in cursor.fetchall()}
        cursor.execute(f"SELECT entry_id FROM {prefix}_share WHERE person_id = %s", [draft.person])  # noqa: S608
        entries = {row[0] for row in cursor.fetchall()}
    return set(counted) == hours and set(earned) == entries


def _values(before: Statement | None, pay_week: PayWeek) -> list[dict[str, Any]]:
    """The parameter values stored with the week: of the person's own statement, else of any other in it."""
    if before is not None:
        return list(before.parameters)
    other = Statement.objects.filter(pay_week=pay_week).order_by("number").first()
    return list(other.parameters) if other else []


def emptied(before: Statement) -> Draft:
    """A corrected statement of a week in which nothing is left."""
    return Draft(
        person=before.person_id,
        worker_class=before.worker_class,
        rule_set=before.rule_set,
        rules_version=before.rules_version,
        currency=before.currency,
        lines=(),
        hours={"total": "0", "overtime": "0", "double": "0", "by_kind": {}},
        regular_rate="",
        regular_rate_because=[],
        floors=[],
        parameters=list(before.parameters),
        cautions=["Every entry and hour of this week was corrected away."],
        work="",
    )


def _compared(late: Late, draft: Draft, before: Statement | None) -> Corrected:
    paid = Statement.objects.filter(pay_week=late.pay_week, person_id=late.person).aggregate(sum=Sum("difference"))[
        "sum"
    ]
    missing = draft.gross - (paid or Decimal("0.00"))
    return Corrected(late, draft, before, max(missing, Decimal("0.00")), max(-missing, Decimal("0.00")))
