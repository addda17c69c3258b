"""Agreements with people: recorded, ended, replaced or withdrawn, each time by a new record that points back.

An agreement that reaches into a closed week is not refused: that week is priced again, the open week pays what is
missing, and nothing is taken back.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal

from jobs.actors import Actor
from jobs.models import Person
from jobs.refusals import Conflict, Mistake, not_found, raise_mistakes
from jobs.services.office import office_work, write_down
from payroll.law.agreements import BEFORE_THE_WORK, GUARANTEE, KINDS
from payroll.law.week import GUARANTEE_HOURS
from payroll.models import Agreement
from payroll.selectors.office_facts import agreements_in_force
from payroll.services.closing_lock import closing_lock

MOST_WORDS = 10_000


@dataclass(frozen=True, slots=True)
class AgreementFacts:
    """What was agreed. `rate` (money an hour) and `guarantee_hours` (productive or all) belong to a guarantee alone;
    `words` hold what was agreed, or `reference` says where the signed paper lies."""

    person: int
    kind: str
    signed_on: date
    starts_on: date
    ends_on: date | None = None
    rate: Decimal | None = None
    guarantee_hours: str = ""
    words: str = ""
    reference: str = ""


def agreement_record(
    *, actor: Actor, facts: AgreementFacts, now: datetime, replaces: int | None = None, withdrawn: bool = False
) -> Agreement:
    """Record an agreement, or put one in the place of `replaces` (of the same person and kind).

    Raises NotAllowed, NotFound, Invalid, and Conflict: one of that kind holds on some of the days, or `replaces` was
    replaced already.
    """
    raise_mistakes(_mistakes(facts))
    with office_work(actor):
        if not Person.objects.filter(pk=facts.person).exists():
            raise not_found("person", "person", facts.person)
        closing_lock()
        before = None if replaces is None else _in_force(replaces)
        if before is not None and (before.person_id, before.kind) != (facts.person, facts.kind):
            raise_mistakes([Mistake("kind", "an agreement is replaced by one of the same person and kind.")])
        if not withdrawn:
            _refuse_overlap(facts, before)
        made = Agreement.objects.create(
            person_id=facts.person,
            kind=facts.kind,
            rate=facts.rate,
            guarantee_hours=facts.guarantee_hours,
            signed_on=facts.signed_on,
            starts_on=facts.starts_on,
            ends_on=facts.ends_on,
            words=facts.words.strip(),
            reference=facts.reference.strip(),
            withdrawn=withdrawn,
            replaces=before,
            recorded_by_id=actor.membership,
            recorded_at=now,
        )
        write_down(actor, now, "agreement_record", "agreement", made.pk, _said(made))
        return made


def agreement_end(*, actor: Actor, agreement: int, ends_on: date, now: datetime) -> Agreement:
    """End an agreement after a day: a new record of the same facts takes its place. Raises as `agreement_record`."""
    with office_work(actor):
        facts = _facts(_in_force(agreement))
    return agreement_record(actor=actor, facts=replace(facts, ends_on=ends_on), now=now, replaces=agreement)


def agreement_withdraw(*, actor: Actor, agreement: int, now: datetime) -> Agreement:
    """Say that an agreement was recorded in error: it holds on no day. Raises NotAllowed, NotFound, Conflict."""
    with office_work(actor):
        facts = _facts(_in_force(agreement))
    return agreement_record(actor=actor, facts=facts, now=now, replaces=agreement, withdrawn=True)


def _in_force(agreement: int) -> Agreement:
    found = Agreement.objects.filter(pk=agreement).first()
    if found is None:
        raise not_found("agreement", "agreement", agreement)
    if found.withdrawn or Agreement.objects.filter(replaces=found).exists():
        raise Conflict(
            Mistake("agreement", f"agreement {agreement} was replaced or withdrawn already. Look at the newest.")
        )
    return found


def _facts(stands: Agreement) -> AgreementFacts:
    return AgreementFacts(
        person=stands.person_id,
        kind=stands.kind,
        signed_on=stands.signed_on,
        starts_on=stands.starts_on,
        ends_on=stands.ends_on,
        rate=stands.rate,
        guarantee_hours=stands.guarantee_hours,
        words=stands.words,
        reference=stands.reference,
    )


def _refuse_overlap(facts: AgreementFacts, before: Agreement | None) -> None:
    others = agreements_in_force().filter(person=facts.person, kind=facts.kind)
    for other in others.exclude(pk=before.pk if before else None):
        starts_later = facts.ends_on is not None and facts.ends_on < other.starts_on
        ends_sooner = other.ends_on is not None and other.ends_on < facts.starts_on
        if not starts_later and not ends_sooner:
            until = f"to {other.ends_on}" if other.ends_on else "on, without an end"
            raise Conflict(
                Mistake(
                    "starts_on",
                    f"an agreement on {facts.kind} holds from {other.starts_on} {until} already. End that one before "
                    f"{facts.starts_on}, or replace it.",
                )
            )


def _mistakes(facts: AgreementFacts) -> list[Mistake]:
    found = []
    if facts.kind not in KINDS:
        found.append(Mistake("kind", f"{facts.kind!r} is no kind of agreement. Use one of: {', '.join(KINDS)}."))
    if facts.kind in BEFORE_THE_WORK and facts.signed_on > facts.starts_on:
        found.append(
            Mistake(
                "starts_on",
                f"it starts on {facts.starts_on} but was signed on {facts.signed_on}, and {facts.kind} must be agreed "
                f"before the work (29 USC 207(g)). Let it start on {facts.signed_on} or later.",
            )
        )
    if facts.ends_on is not None and facts.ends_on < facts.starts_on:
        found.append(
            Mistake(
                "ends_on", f"it ends on {facts.ends_on}, before it starts on {facts.starts_on}. Correct one of them."
            )
        )
    if not facts.words.strip() and not facts.reference.strip():
        found.append(Mistake("words", "nothing says what was agreed. Write its words, or where the signed paper lies."))
    if len(facts.words.strip()) > MOST_WORDS:
        found.append(
            Mistake(
                "words", f"the words are longer than {MOST_WORDS} letters. Sum them up, and say where the paper lies."
            )
        )
    if len(facts.reference.strip()) > 200:
        found.append(
            Mistake("reference", "the reference is longer than 200 letters. Write where the paper lies, in short.")
        )
    found.extend(_guarantee_mistakes(facts))
    return found


def _guarantee_mistakes(facts: AgreementFacts) -> list[Mistake]:
    if facts.kind != GUARANTEE:
        if facts.rate is None and not facts.guarantee_hours:
            return []
        return [Mistake("rate", f"{facts.kind} has no hourly figure. Leave rate and hours empty.")]
    found = []
    if facts.rate is None or not facts.rate.is_finite() or facts.rate <= 0:
        found.append(Mistake("rate", f"a guarantee of {facts.rate} an hour is not above zero. Give money an hour."))
    elif facts.rate != round(facts.rate, 6) or facts.rate >= 100_000_000:
        found.append(Mistake("rate", f"a guarantee of {facts.rate} cannot be kept. Give at most six decimals."))
    if facts.guarantee_hours not in GUARANTEE_HOURS:
        found.append(
            Mistake(
                "guarantee_hours", f"{facts.guarantee_hours!r}: say whether productive or all hours are guaranteed."
            )
        )
    return found


def _said(made: Agreement) -> dict[str, str | int | bool | None]:
    return {
        "person": made.person_id,
        "kind": made.kind,
        "rate": None if made.rate is None else str(made.rate),
        "guarantee_hours": made.guarantee_hours,
        "signed_on": made.signed_on.isoformat(),
        "starts_on": made.starts_on.isoformat(),
        "ends_on": made.ends_on.isoformat() if made.ends_on else None,
        "words": made.words,
        "reference": made.reference,
        "withdrawn": made.withdrawn,
        "replaces": made.replaces_id,
    }
