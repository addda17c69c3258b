"""What a job's wage determination sets for a class: looked at, then entered; never edited, replaced by a linked one."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction

from django.db import transaction

from jobs.actors import Actor
from jobs.models import Job, Organisation, Person
from jobs.refusals import Mistake, not_found, raise_mistakes
from jobs.services.office import office_work, write_down
from payroll.law import ParameterMissing
from payroll.models import PayWeek, PrevailingRate
from payroll.selectors.prevailing_rates import US, classes_without, federal_minimum, prevailing_in_force
from payroll.selectors.rates import tidy
from payroll.services.closing_lock import closing_lock
from payroll.services.price_lines import today_at

PLACES = Decimal("0.0001")


@dataclass(frozen=True, slots=True)
class Determined:
    """What the determination sets; money an hour. `worker_class` is the firm's class, `class_named` its name in the
    determination, `citation` the determination's number and date."""

    job: int
    worker_class: str
    class_named: str
    basic: Decimal
    fringe: Decimal
    fringe_to_plan: Decimal
    starts_on: date
    citation: str


@dataclass(frozen=True, slots=True)
class PrevailingLine:
    """What entering a rate does, in one sentence, and what to look at first."""

    sentence: str
    hints: tuple[str, ...]
    stands: bool


def prevailing_rate_set(*, actor: Actor, facts: Determined, now: datetime, dry_run: bool) -> PrevailingLine:
    """Enter a rate, or with `dry_run` only say what that would do. The same rate again changes nothing.

    Raises NotAllowed, NotFound and Invalid: a job outside the United States' rule sets, a start that is no first day of
    a workweek (a week of a job has one prevailing rate for a class), rates that cannot be.
    """
    with office_work(actor):
        kept = transaction.savepoint()
        line = _set(actor, facts, now)
        if dry_run:
            transaction.savepoint_rollback(kept)
        else:
            transaction.savepoint_commit(kept)
        return line


def _set(actor: Actor, facts: Determined, now: datetime) -> PrevailingLine:
    job = Job.objects.filter(pk=facts.job).first()
    if job is None:
        raise not_found("job", "job", facts.job)
    raise_mistakes(_mistakes(facts, job))
    closing_lock()
    rates = prevailing_in_force().get(facts.job, {}).get(facts.worker_class, [])
    stands = next((rate for rate in rates if rate.starts_on == facts.starts_on), None)
    earlier = next((rate for rate in rates if rate.starts_on < facts.starts_on), None)
    said = (
        f"{facts.worker_class} ({facts.class_named}) on {job.name}: basic {tidy(facts.basic)} and fringe "
        f"{tidy(facts.fringe)} an hour, {tidy(facts.fringe_to_plan)} of it to plans, from {facts.starts_on} on"
    )
    if stands is not None and _same(stands, facts):
        return PrevailingLine(f"{said}, as it stands.", (), True)
    if stands is not None:
        said += f", in the place of basic {tidy(stands.basic)} and fringe {tidy(stands.fringe)} from that day"
    elif earlier is not None:
        said += f", until then basic {tidy(earlier.basic)} and fringe {tidy(earlier.fringe)}"
    rate = PrevailingRate.objects.create(
        job=job,
        worker_class=facts.worker_class,
        class_named=facts.class_named,
        basic=facts.basic,
        fringe=facts.fringe,
        fringe_to_plan=facts.fringe_to_plan,
        starts_on=facts.starts_on,
        citation=facts.citation,
        replaces=stands,
        set_by_id=actor.membership,
        set_at=now,
    )
    after = {
        "job": job.pk,
        "class": facts.worker_class,
        "class_named": facts.class_named,
        "basic": str(facts.basic),
        "fringe": str(facts.fringe),
        "fringe_to_plan": str(facts.fringe_to_plan),
        "starts_on": facts.starts_on.isoformat(),
        "citation": facts.citation,
        "replaces": stands.pk if stands else None,
    }
    write_down(actor, now, "prevailing_rate_set", "prevailing rate", rate.pk, after)
    return PrevailingLine(f"{said}.", tuple(_hints(facts, job, stands or earlier, today_at(now))), False)


def _same(stands: PrevailingRate, facts: Determined) -> bool:
    return all(
        getattr(stands, name) == getattr(facts, name)
        for name in ("class_named", "basic", "fringe", "fringe_to_plan", "citation")
    )


def _mistakes(facts: Determined, job: Job) -> list[Mistake]:
    found = []
    if not job.rule_set.startswith(US):
        found.append(
            Mistake("job", f"{job.name} is under {job.rule_set}; prevailing rates add to a US rule set only. Leave it.")
        )
    for name, value, least in (
        ("basic", facts.basic, "above zero"),
        ("fringe", facts.fringe, "zero or more"),
        ("fringe_to_plan", facts.fringe_to_plan, "zero or more"),
    ):
        if value < 0 or (value == 0 and name == "basic"):
            found.append(Mistake(name, f"{value} an hour is not {least}. Give it as the determination does."))
        elif value != value.quantize(PLACES):
            found.append(Mistake(name, f"{value} has more than four decimals. Give at most four."))
        elif value >= 10**6:
            found.append(Mistake(name, f"{value} an hour is no rate of an hour. Check it."))
    if facts.fringe_to_plan > facts.fringe:
        found.append(
            Mistake(
                "fringe_to_plan",
                f"{facts.fringe_to_plan} to plans is more than the fringe rate of {facts.fringe}. Give the part of it.",
            )
        )
    for name, text, most in (
        ("class_named", facts.class_named, 80),
        ("citation", facts.citation, 200),
        ("worker_class", facts.worker_class, 40),
    ):
        if not text.strip() or len(text) > most or "\0" in text:
            found.append(
                Mistake(name, f"it is empty or longer than {most} letters. Name it as the determination does.")
            )
    first = facts.starts_on - timedelta(days=(facts.starts_on.weekday() - _workweek_start()) % 7)
    if first != facts.starts_on:
        found.append(
            Mistake(
                "starts_on",
                f"{facts.starts_on} is not the first day of a workweek, and a week has one prevailing rate for a class "
                f"on a job. Start it on {first}, so that no hour of that week is paid less than it sets.",
            )
        )
    return found


def _workweek_start() -> int:
    return Organisation.objects.values_list("workweek_start", flat=True).get()


def _hints(facts: Determined, job: Job, before: PrevailingRate | None, today: date) -> list[str]:
    """What to look at first. The rate stands already when this is asked."""
    found = []
    if before is not None and facts.basic + facts.fringe < before.basic + before.fringe:
        found.append(
            f"Basic and fringe together fall from {tidy(before.basic + before.fringe)} to "
            f"{tidy(facts.basic + facts.fringe)}."
        )
    try:
        least = federal_minimum(facts.starts_on)
        if Fraction(facts.basic) < least.value:
            found.append(f"Basic {tidy(facts.basic)} is below the federal minimum wage of {least.text} ({least.cite}).")
    except ParameterMissing:
        found.append(f"No minimum wage is known for {facts.starts_on}.")
    if not Person.objects.filter(worker_class=facts.worker_class).exists():
        found.append(f"Nobody of the firm is of class {facts.worker_class}.")
    closed = PayWeek.objects.filter(state=PayWeek.State.CLOSED, first_day__gte=facts.starts_on).count()
    if closed:
        found.append(
            f"Closed weeks since {facts.starts_on}: {closed}. Where they paid less on this job, the next closing pays "
            "the difference on a corrected statement."
        )
    if facts.starts_on < today:
        found.append(
            f"It starts on {facts.starts_on}, before today. Work on this job since then that was not paid yet is paid "
            "by it."
        )
    opened = PayWeek.objects.filter(state=PayWeek.State.OPEN, first_day__gte=facts.starts_on).order_by("first_day")
    if weeks := ", ".join(day.isoformat() for day in opened.values_list("first_day", flat=True)):
        found.append(f"Open weeks that may come to other sums by it, by their first day: {weeks}.")
    if without := classes_without(job=job.pk, on=facts.starts_on):
        found.append(
            f"No rate of this job is known from {facts.starts_on} on for people of class {', '.join(without)}. Who of "
            "them works on it is not paid until theirs is entered; enter them too."
        )
    return found
