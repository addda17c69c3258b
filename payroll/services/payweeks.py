"""Pay weeks: opened, and closed once with a statement for everybody whose week can be priced.

A closing is one transaction. It holds the week's row, so that a second one waits and then finds the week closed; the
state changes by a conditional update whose count is looked at; a process that dies in the middle leaves nothing.

Who cannot be priced is not paid in the week, and whoever closes says so by name: a closing that would leave somebody
out who was not named is refused. Who left and has his final pay already is passed over.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.db import connection, transaction

from jobs import audit
from jobs.actors import Actor
from jobs.models import Organisation, Person
from jobs.refusals import Conflict, Mistake, NotAllowed, invalid, not_found
from jobs.tenancy import organisation_scope
from payroll.models import FinalPay, PayWeek
from payroll.selectors.finals import finals_changed
from payroll.selectors.gathered import DAYS, gather
from payroll.selectors.late import Corrected, Late, late_find
from payroll.selectors.pricing import Draft, Stopped, drafted
from payroll.selectors.shares_digest import shared_out
from payroll.services.closing_lock import closing_lock
from payroll.services.corrections import Written, correction_cautions, correction_line, corrections_write
from payroll.services.statement_writing import Placed, Writer

MAY_CLOSE = frozenset({"owner", "office"})
PREFIX = "pay_week"
BATCH = 500


@dataclass(frozen=True, slots=True)
class Closing:
    """What a closing did: statements of the week and their gross, corrections of earlier weeks, and who was stopped."""

    pay_week: PayWeek
    statements: int
    gross: Decimal
    corrections: int
    stopped: tuple[Stopped, ...]


def payweek_open(*, actor: Actor, first_day: date, now: datetime) -> PayWeek:
    """Open the workweek that begins on `first_day`; a week that is there already comes back as it is.

    Raises NotAllowed, and Invalid for a day that does not begin the organisation's workweek.
    """
    if actor.role not in MAY_CLOSE | {"system"}:
        raise NotAllowed(Mistake("", f"the role {actor.role} does not open pay weeks. Ask the office."))
    with transaction.atomic(), organisation_scope(actor.organisation):
        organisation = Organisation.objects.get(pk=actor.organisation)
        if first_day.weekday() != organisation.workweek_start:
            begins = first_day - timedelta(days=(first_day.weekday() - organisation.workweek_start) % DAYS)
            raise invalid(
                "first_day",
                f"{first_day} does not begin a workweek of {organisation.name}. Its week began on {begins}.",
            )
        week, made = PayWeek.objects.get_or_create(
            first_day=first_day, defaults={"opened_by_id": actor.membership, "opened_at": now}
        )
        if made:
            after = {"first_day": first_day.isoformat()}
            audit.record(actor=actor, at=now, changes=[audit.Change("payweek_open", "pay week", str(week.pk), after)])
        return week


def payweek_close(*, actor: Actor, pay_week: int, now: datetime, not_paid: Collection[int] = ()) -> Closing:
    """Price everybody's week, write the statements and close it for good, once.

    A person whose week cannot be priced is stopped with sentences and paid as a late week later; the others are not
    touched by it. `not_paid` are the people whom the closer knows to be stopped.
    Raises NotAllowed (only a named owner or office member closes), NotFound, and Conflict: the week is closed already,
    or has not ended yet where the organisation is, or somebody would not be paid who is not in `not_paid`.
    """
    if actor.role not in MAY_CLOSE or actor.membership is None:
        raise NotAllowed(
            Mistake("", f"the role {actor.role} does not close pay weeks. Somebody of the office does, by name.")
        )
    with transaction.atomic(), organisation_scope(actor.organisation):
        week = PayWeek.objects.select_for_update().filter(pk=pay_week).first()
        if week is None:
            raise not_found("pay_week", "pay week", pay_week)
        _refuse_closed(week)
        _refuse_unfinished(week, actor, now)
        closing = _statements_write(week)
        _refuse_unnamed(week, closing, not_paid)
        _close(week, actor, now, closing)
        after = {
            "first_day": week.first_day.isoformat(),
            "statements": closing.statements,
            "gross": str(closing.gross),
            "corrections": closing.corrections,
            "stopped": [stop.person for stop in closing.stopped],
        } | shared_out(closing.statements + closing.corrections)
        audit.record(actor=actor, at=now, changes=[audit.Change("payweek_close", "pay week", str(week.pk), after)])
        return closing


def _refuse_closed(week: PayWeek) -> None:
    if week.state == PayWeek.State.CLOSED:
        raise Conflict(
            Mistake(
                "pay_week",
                f"the week of {week.first_day} was closed at {week.closed_at:%Y-%m-%d %H:%M} UTC and is closed once. "
                f"Log corrections; the open week pays the difference.",
            )
        )


def _refuse_unfinished(week: PayWeek, actor: Actor, now: datetime) -> None:
    organisation = Organisation.objects.get(pk=actor.organisation)
    today = now.astimezone(ZoneInfo(organisation.time_zone)).date()
    last = week.first_day + timedelta(days=DAYS - 1)
    if today <= last:
        raise Conflict(
            Mistake(
                "pay_week", f"the week of {week.first_day} ends on {last}, and today is {today}. Close it after that."
            )
        )


def _refuse_unnamed(week: PayWeek, closing: Closing, not_paid: Collection[int]) -> None:
    own = [stop for stop in closing.stopped if stop.first_day == week.first_day]
    unnamed = sorted(stop.name for stop in own if stop.person not in not_paid)
    if unnamed:
        raise Conflict(
            Mistake(
                "not_paid",
                f"these people would not be paid in the week of {week.first_day}: {', '.join(unnamed)}. Mend what "
                "stops them, or close with each of them named as not paid in this week.",
            )
        )


def _statements_write(week: PayWeek) -> Closing:
    closing_lock()
    gathered = gather(PREFIX, week.first_day)
    _note_newest_ids(week)
    writer = Writer()
    final = dict(FinalPay.objects.filter(pay_week=week).values_list("person_id", "statement"))
    corrections = _corrections_write(week, writer, frozenset(final))
    stopped, pending = list(corrections.stopped), list(corrections.pending)
    pending += [Late(person, week) for person in finals_changed(week, gathered, final)]
    with_work = set(gathered.people) - set(final)
    owed = {person for person, written in corrections.by_person.items() if any(one.difference for _, one in written)}
    gathered = replace(gathered, people=tuple(sorted(with_work | owed)))
    count, gross = 0, Decimal("0.00")
    for batch in gathered.person_weeks(BATCH):
        placed = []
        for one in batch:
            written = corrections.by_person.get(one.person, [])
            works = one.person in with_work
            draft = drafted(one, week.first_day, gathered.names) if works else nothing_worked(written)
            if isinstance(draft, Stopped):
                stopped.append(draft)
                pending.append(Late(one.person, week))
            else:
                placed.append(Placed(with_corrections(draft, written), week, week))
        writer.write(placed, PREFIX)
        count += len(placed)
        gross += sum((each.draft.gross for each in placed), Decimal("0.00"))
    week.pending = [[late.person, late.pay_week.pk] for late in pending]
    return Closing(week, count, gross, sum(map(len, corrections.by_person.values())), tuple(stopped))


def _corrections_write(week: PayWeek, writer: Writer, final: frozenset[int]) -> Written:
    """Correct earlier weeks, but not yet for a person whose own week is stopped or has its final pay already: no
    statement of this week could pay it."""
    late = late_find(week)
    if not late:
        return Written({}, [], [])
    own = gather(f"{PREFIX}_own", week.first_day, sorted({one.person for one in late} - final))
    held = {one.person for one in own.some(own.people) if isinstance(drafted(one, week.first_day, own.names), Stopped)}
    written = corrections_write(writer, week, [one for one in late if one.person not in held | final])
    waiting = [one for one in late if one.person in held | final]
    written.pending.extend(waiting)
    written.stopped.extend(_waits(one, final) for one in waiting)
    return written


def _waits(one: Late, final: frozenset[int]) -> Stopped:
    why = "final pay for this week was written before" if one.person in final else "this week's pay is stopped itself"
    name = Person.objects.values_list("name", flat=True).get(pk=one.person)
    first = one.pay_week.first_day
    return Stopped(one.person, name, (f"{why}, so no statement can pay it yet. The next week does.",), first)


def nothing_worked(written: list[tuple[int, Corrected]]) -> Draft:
    """A statement for a person who did nothing this week but is owed the difference of an earlier one."""
    before = written[-1][1].draft
    return replace(
        before,
        lines=(),
        hours={"total": "0", "overtime": "0", "double": "0", "by_kind": {}},
        regular_rate="",
        regular_rate_because=[],
        floors=[],
        parameters=[],
        cautions=[],
        work="",
    )


def with_corrections(draft: Draft, written: list[tuple[int, Corrected]]) -> Draft:
    if not written:
        return draft
    lines = tuple(correction_line(number, one) for number, one in written if one.difference)
    return replace(draft, lines=draft.lines + lines, cautions=[*draft.cautions, *correction_cautions(written)])


_NEWEST = {
    "entries_to": "jobs_entry",
    "hours_to": "jobs_hours",
    "agreements_to": "payroll_agreement",
    "minimums_to": "payroll_localminimum",
    "breaks_to": "payroll_missedbreak",
}


def _note_newest_ids(week: PayWeek) -> None:
    """The newest id of each kind of record, of all organisations, as far as this role may see them."""
    with connection.cursor() as cursor:
        for name, table in _NEWEST.items():
            cursor.execute(f"SELECT COALESCE(max(id), 0) FROM {table}")  # noqa: S608
            setattr(week, name, cursor.fetchone()[0])


def _close(week: PayWeek, actor: Actor, now: datetime, closing: Closing) -> None:
    stopped = [
        {"person": stop.person, "first_day": stop.first_day.isoformat(), "sentences": list(stop.sentences)}
        for stop in closing.stopped
    ]
    changed = PayWeek.objects.filter(pk=week.pk, state=PayWeek.State.OPEN).update(
        state=PayWeek.State.CLOSED,
        closed_by_id=actor.membership,
        closed_at=now,
        stopped=stopped,
        pending=week.pending,
        **{name: getattr(week, name) for name in _NEWEST},
    )
    if changed != 1:
        raise Conflict(
            Mistake(
                "pay_week", f"the week of {week.first_day} was closed by somebody else meanwhile. Look at it again."
            )
        )
    week.refresh_from_db()
