"""Final pay: somebody leaves, and his open weeks are paid now. The rest of each week stays open.

It is a closing of that person's own, by a named person of the office: a statement for each open week with work of his,
in one transaction, with what earlier closed weeks still owe him. What comes in for him afterwards is a late week like
any other, once the week itself is closed. When the pay is due stands on the statement with its rule, as a caution.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from django.db import connection, transaction

from jobs import audit
from jobs.actors import Actor
from jobs.models import Person
from jobs.refusals import Conflict, Mistake, NotAllowed, database_refusals, invalid, not_found
from jobs.tenancy import organisation_in_scope, organisation_scope
from payroll.law import ParameterMissing, the_book
from payroll.law.pay_days import LEAVING, final_pay_due
from payroll.models import FinalPay, PayWeek, Statement
from payroll.selectors.gathered import DAYS, gather
from payroll.selectors.late import corrections_priced, late_find, told_by
from payroll.selectors.pricing import Draft, Stopped, drafted
from payroll.selectors.shares_digest import newest_number, shared_out
from payroll.services.closing_lock import closing_lock
from payroll.services.corrections import corrections_write
from payroll.services.payweeks import MAY_CLOSE, nothing_worked, with_corrections
from payroll.services.statement_writing import Placed, Writer

PREFIX = "final_pay"


@dataclass(frozen=True, slots=True)
class Leaving:
    """Who leaves, the last day worked, and how the work ended (one of `payroll.law.pay_days.LEAVING`)."""

    person: int
    last_day: date
    leaving: str


def final_pay_close(*, actor: Actor, asked: Leaving, now: datetime) -> list[Statement]:
    """Write the final statements of somebody who leaves, oldest week first.

    Raises NotAllowed, NotFound, Invalid, and Conflict: nothing is left to pay, work lies after the last day or in a
    week that is not open yet, a week cannot be priced, or its final pay was written before.
    """
    if actor.role not in MAY_CLOSE or actor.membership is None:
        raise NotAllowed(
            Mistake("", f"the role {actor.role} writes no final pay. Somebody of the office does, by name.")
        )
    if asked.leaving not in LEAVING:
        raise invalid("leaving", f"{asked.leaving!r} is unknown. Use one of {', '.join(LEAVING)}.")
    with database_refusals(), transaction.atomic(), organisation_scope(actor.organisation):
        person = Person.objects.filter(pk=asked.person).first()
        if person is None:
            raise not_found("person", "person", asked.person)
        weeks = list(PayWeek.objects.select_for_update().filter(state=PayWeek.State.OPEN).order_by("first_day"))
        closing_lock()
        _refuse_other_work(person, asked.last_day)
        before = newest_number()
        written = _statements_write(person, asked, weeks)
        if not written:
            raise Conflict(Mistake("person", f"{person.name} has nothing left to be paid in an open week."))
        for statement in written:
            FinalPay.objects.create(
                person=person,
                pay_week_id=statement.pay_week_id,
                statement=statement,
                last_day=asked.last_day,
                leaving=asked.leaving,
                closed_by_id=actor.membership,
                closed_at=now,
            )
        after = {
            "last_day": asked.last_day.isoformat(),
            "leaving": asked.leaving,
            "statements": [statement.number for statement in written],
        } | shared_out(newest_number() - before)
        audit.record(actor=actor, at=now, changes=[audit.Change("final_pay_close", "person", str(person.pk), after)])
        return written


_OTHER_WORK = """
SELECT min(worked_on) FILTER (WHERE worked_on > %(last)s), min(worked_on) FILTER (WHERE NOT covered)
  FROM (
    SELECT d.worked_on, EXISTS (SELECT 1 FROM payroll_payweek w WHERE w.organisation_id = %(organisation)s
                                   AND d.worked_on BETWEEN w.first_day AND w.first_day + 6) AS covered
      FROM (
        SELECT e.worked_on FROM jobs_entryshare s
          JOIN jobs_entry e ON e.organisation_id = s.organisation_id AND e.id = s.entry_id
         WHERE s.organisation_id = %(organisation)s AND s.person_id = %(person)s AND s.quantity > 0
           AND NOT EXISTS (
             SELECT 1 FROM jobs_entry n WHERE n.organisation_id = e.organisation_id AND n.replaces_id = e.id)
        UNION ALL
        SELECT h.worked_on FROM jobs_hours h
         WHERE h.organisation_id = %(organisation)s AND h.person_id = %(person)s AND h.minutes > 0
           AND NOT EXISTS (
             SELECT 1 FROM jobs_hours n WHERE n.organisation_id = h.organisation_id AND n.replaces_id = h.id)
      ) d
  ) days
"""


def _refuse_other_work(person: Person, last_day: date) -> None:
    """Work after the last day, or in a week that nobody has opened: final pay would leave it out."""
    with connection.cursor() as cursor:
        cursor.execute(_OTHER_WORK, {"organisation": organisation_in_scope(), "person": person.pk, "last": last_day})
        after, outside = cursor.fetchone()
    if after is not None:
        raise Conflict(
            Mistake(
                "last_day",
                f"{person.name} has work on {after}, after the last day {last_day}. Correct the day, or that work.",
            )
        )
    if outside is not None:
        raise Conflict(
            Mistake("last_day", f"{person.name} has work on {outside}, in a week that is not open yet. Open it first.")
        )


def _statements_write(person: Person, asked: Leaving, weeks: Sequence[PayWeek]) -> list[Statement]:
    """A statement for each open week with work; corrections of closed weeks are paid in the first of them, or in the
    newest open week where none has work."""
    drafts: list[tuple[PayWeek, Draft, str]] = []
    late = [one for one in late_find(None) if one.person == person.pk]
    told = {one.first_day + timedelta(days=DAYS): told_by(found) for one, found, _ in corrections_priced(late)}
    for nth, week in enumerate(weeks):
        prefix = f"{PREFIX}_{nth}"
        gathered = gather(prefix, week.first_day, [person.pk])
        gathered = replace(gathered, before=told.get(week.first_day, {}))
        after = week.first_day + timedelta(days=DAYS)
        if not gathered.people:
            told[after] = {person.pk: None}
        if gathered.people and not _paid_before(person, week):
            found = drafted(gathered.some([person.pk])[0], week.first_day, gathered.names)
            if isinstance(found, Stopped):
                raise Conflict(*(Mistake("person", f"{found.name}: {sentence}") for sentence in found.sentences))
            drafts.append((week, _with_due(found, asked), prefix))
            told[after] = {person.pk: found.before}
    if not weeks:
        return []
    writer = Writer()
    paying = drafts[0][0] if drafts else weeks[-1]
    written = corrections_write(writer, paying, late)
    if written.stopped:
        said = (f"{one.name}, week of {one.first_day}: {' '.join(one.sentences)}" for one in written.stopped)
        raise Conflict(*(Mistake("person", sentence) for sentence in said))
    owed = written.by_person.get(person.pk, [])
    if not drafts and any(one.difference for _, one in owed):
        if _paid_before(person, paying):
            raise Conflict(
                Mistake("person", f"final pay of the week of {paying.first_day} was written before. Close that week.")
            )
        drafts = [(paying, _with_due(nothing_worked(owed), asked), f"{PREFIX}_{len(weeks) - 1}")]
    numbers: list[int] = []
    for nth, (week, draft, prefix) in enumerate(drafts):
        whole = with_corrections(draft, owed) if nth == 0 else draft
        numbers += writer.write([Placed(whole, week, week)], prefix)
    return list(Statement.objects.filter(number__in=numbers).order_by("number"))


def _paid_before(person: Person, week: PayWeek) -> bool:
    return FinalPay.objects.filter(person=person, pay_week=week).exists()


def _with_due(draft: Draft, asked: Leaving) -> Draft:
    """The rule about when final pay is due, of each rule set of the statement."""
    cautions = list(draft.cautions)
    for rules in draft.rule_set.split(", "):
        try:
            due = final_pay_due(the_book(), rules, asked.leaving, asked.last_day)
        except ParameterMissing:
            continue
        by = f": due by {due.by} at the latest" if due.by else ""
        cautions += [f"Final pay, last day {asked.last_day}{by}.", f"{due.rule.rule} ({due.rule.cite}.)"]
    return replace(draft, cautions=cautions)
