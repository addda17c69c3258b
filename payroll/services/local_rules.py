"""What the office records of a place and a day: a local minimum wage of a job, and breaks that were missed.

Both may reach into closed weeks: those are priced again, and the open week pays what is missing.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from jobs.actors import Actor
from jobs.models import Job, Person
from jobs.refusals import Conflict, Mistake, invalid, not_found, raise_mistakes
from jobs.services.office import office_work, write_down
from payroll.law import ParameterMissing, the_book
from payroll.law.week import BREAK_KINDS
from payroll.models import LocalMinimum, MissedBreak
from payroll.selectors.office_facts import breaks_in_force, minimums_in_force
from payroll.services.closing_lock import closing_lock


@dataclass(frozen=True, slots=True)
class MinimumFacts:
    """A local minimum wage: money an hour at a job from a day on, the ordinance, and when the office read it."""

    job: int
    amount: Decimal
    starts_on: date
    cite: str
    read_on: date


def local_minimum_record(
    *, actor: Actor, facts: MinimumFacts, now: datetime, replaces: int | None = None, withdrawn: bool = False
) -> LocalMinimum:
    """Record a job's local minimum wage; `replaces` takes the place of a wrong one of the same start.

    Raises NotAllowed, NotFound, Invalid (no citation, not above the rule set's own minimum) and Conflict (one starts
    that day already).
    """
    raise_mistakes(_mistakes(facts))
    with office_work(actor):
        job = Job.objects.filter(pk=facts.job).first()
        if job is None:
            raise not_found("job", "job", facts.job)
        closing_lock()
        newest = LocalMinimum.objects.filter(job=job, starts_on=facts.starts_on).order_by("-pk").first()
        before = newest if newest is not None and (newest.withdrawn or newest.pk == replaces) else None
        if newest is not None and before is None:
            raise Conflict(
                Mistake(
                    "starts_on",
                    f"a local minimum of {newest.amount.normalize():f} starts on {facts.starts_on} at {job.name} "
                    "already. Replace that one, or choose another day.",
                )
            )
        if replaces is not None and before is None:
            raise not_found("replaces", "local minimum", replaces)
        if not withdrawn:
            _refuse_below_own(job, facts)
        made = LocalMinimum.objects.create(
            job=job,
            amount=facts.amount,
            starts_on=facts.starts_on,
            cite=facts.cite.strip(),
            read_on=facts.read_on,
            withdrawn=withdrawn,
            replaces=before,
            recorded_by_id=actor.membership,
            recorded_at=now,
        )
        after = {
            "job": job.pk,
            "amount": str(made.amount),
            "starts_on": made.starts_on.isoformat(),
            "cite": made.cite,
            "read_on": made.read_on.isoformat(),
            "withdrawn": withdrawn,
            "replaces": made.replaces_id,
        }
        write_down(actor, now, "local_minimum_record", "local minimum", made.pk, after)
        return made


def local_minimum_withdraw(*, actor: Actor, minimum: int, now: datetime) -> LocalMinimum:
    """Say that a local minimum was recorded in error. Raises NotAllowed, NotFound."""
    with office_work(actor):
        found = minimums_in_force().filter(pk=minimum).first()
        if found is None:
            raise not_found("minimum", "local minimum", minimum)
        facts = MinimumFacts(found.job_id, found.amount, found.starts_on, found.cite, found.read_on)
    return local_minimum_record(actor=actor, facts=facts, now=now, replaces=minimum, withdrawn=True)


def _refuse_below_own(job: Job, facts: MinimumFacts) -> None:
    """A local minimum can only be higher than the one of the rule set, as it stands on that day."""
    try:
        own = the_book().at(job.rule_set, "minimum_wage", facts.starts_on, newer=facts.starts_on)
    except ParameterMissing as missing:
        raise invalid("starts_on", str(missing)) from None
    if facts.amount <= own.value:
        raise invalid(
            "amount",
            f"{facts.amount} an hour is not above the {own.text} of {job.rule_set} on {facts.starts_on} ({own.cite}). "
            "A local minimum can only be higher; leave it out.",
        )


def _mistakes(facts: MinimumFacts) -> list[Mistake]:
    found = []
    if not facts.amount.is_finite() or facts.amount <= 0 or facts.amount >= 100_000_000:
        found.append(Mistake("amount", f"{facts.amount} an hour is no minimum wage. Give the money for one hour."))
    elif facts.amount != round(facts.amount, 6):
        found.append(Mistake("amount", f"{facts.amount} has more than six decimals. Give at most six."))
    if not facts.cite.strip():
        found.append(
            Mistake("cite", "no ordinance is cited. Write its name and section, so that anyone can look it up.")
        )
    elif len(facts.cite.strip()) > 300:
        found.append(Mistake("cite", f"the citation has {len(facts.cite.strip())} letters. Give at most 300."))
    return found


def missed_break_record(
    *, actor: Actor, person: int, missed_on: date, kind: str, why: str, now: datetime
) -> MissedBreak:
    """Record that a person's meal period or rests of a day were not provided.

    Raises NotAllowed, NotFound, Invalid, and Conflict where it is recorded already.
    """
    raise_mistakes(
        [
            *([] if kind in BREAK_KINDS else [Mistake("kind", f"{kind!r}: give one of {', '.join(BREAK_KINDS)}.")]),
            *(
                []
                if why.strip()
                else [Mistake("why", "no reason is given. Write what kept the person from the break.")]
            ),
            *([Mistake("why", "the reason is longer than 300 letters. Shorten it.")] if len(why.strip()) > 300 else []),
        ]
    )
    with office_work(actor):
        if not Person.objects.filter(pk=person).exists():
            raise not_found("person", "person", person)
        closing_lock()
        newest = MissedBreak.objects.filter(person=person, missed_on=missed_on, kind=kind).order_by("-pk").first()
        if newest is not None and not newest.withdrawn:
            raise Conflict(Mistake("missed_on", f"the {kind} of {missed_on} is recorded as missed already."))
        return _break_write(
            actor, MissedBreak(person_id=person, missed_on=missed_on, kind=kind, why=why.strip()), newest, now
        )


def missed_break_withdraw(*, actor: Actor, missed: int, now: datetime) -> MissedBreak:
    """Say that a missed break was recorded in error. Raises NotAllowed, NotFound."""
    with office_work(actor):
        closing_lock()
        found = breaks_in_force().filter(pk=missed).first()
        if found is None:
            raise not_found("missed", "missed break", missed)
        again = MissedBreak(
            person_id=found.person_id, missed_on=found.missed_on, kind=found.kind, why=found.why, withdrawn=True
        )
        return _break_write(actor, again, found, now)


def _break_write(actor: Actor, made: MissedBreak, before: MissedBreak | None, now: datetime) -> MissedBreak:
    made.replaces, made.recorded_by_id, made.recorded_at = before, actor.membership, now
    made.save(force_insert=True)
    after = {
        "person": made.person_id,
        "missed_on": made.missed_on.isoformat(),
        "kind": made.kind,
        "withdrawn": made.withdrawn,
        "replaces": made.replaces_id,
    }
    write_down(actor, now, "missed_break_record", "missed break", made.pk, after)
    return made
