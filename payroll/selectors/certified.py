"""The weekly certified payroll of a prevailing-rate job, assembled from what a closed week paid."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Exists, OuterRef, QuerySet

from jobs.models import Entry, Hours, Job, Organisation
from jobs.refusals import not_found
from payroll.law import WeekMistakes, price
from payroll.law.certified import CertifiedMistakes, CertifiedPayroll, Covered, certified_payroll
from payroll.models import PayWeek
from payroll.selectors.gathered import DAYS
from payroll.selectors.past_weeks import LeftOut, PastWeek, past_weeks
from payroll.selectors.prevailing_rates import prevailing_in_force


@dataclass(frozen=True, slots=True)
class CertifiedSheet:
    """A job's week: the payroll, or the sentences that say why it cannot be certified yet. `citations` are the wage
    determinations that were used."""

    contractor: str
    contractor_address: str
    job: str
    job_code: str
    job_address: str
    first_day: date
    payroll: CertifiedPayroll | None
    mistakes: tuple[str, ...]
    citations: tuple[str, ...]

    @property
    def last_day(self) -> date:
        return self.first_day + timedelta(days=DAYS - 1)


def certified_weeks(*, job: int) -> list[date]:
    """First days of closed weeks with work on a job since it became a prevailing-rate job, newest first."""
    rates = prevailing_in_force().get(job, {})
    if not rates:
        return []
    first = min(rate.starts_on for of_class in rates.values() for rate in of_class)
    in_week = {
        "job": job,
        "worked_on__gte": OuterRef("first_day"),
        "worked_on__lt": OuterRef("first_day") + timedelta(days=DAYS),
    }
    weeks: QuerySet[PayWeek] = PayWeek.objects.filter(
        Exists(Entry.objects.filter(**in_week)) | Exists(Hours.objects.filter(**in_week)),
        state=PayWeek.State.CLOSED,
        first_day__gte=first,
    )
    return list(weeks.order_by("-first_day").values_list("first_day", flat=True))


def certified_sheet(*, job: int, first_day: date) -> CertifiedSheet:
    """Raises NotFound for a week that is not closed or has no covered work. Needs a transaction."""
    if first_day not in certified_weeks(job=job):
        raise not_found("first_day", "closed week with prevailing work of", first_day)
    site = Job.objects.get(pk=job)
    firm = Organisation.objects.get(pk=site.organisation_id)
    pay_week = PayWeek.objects.get(first_day=first_day)
    mistakes: list[str] = []
    people: list[Covered] = []
    label = ""
    for one in past_weeks(pay_week, job=job):
        if isinstance(one, LeftOut):
            mistakes += [f"{one.name}: {sentence}" for sentence in one.sentences]
            continue
        label = label or _label(one, site)
        covered = _covered(one, mistakes)
        if covered is not None:
            people.append(covered)
    contractor = firm.legal_name or firm.name
    payroll = None
    if not mistakes:
        try:
            payroll = certified_payroll(contractor, label, people)
        except CertifiedMistakes as refused:
            mistakes += refused.mistakes
    return CertifiedSheet(
        contractor=contractor,
        contractor_address=firm.address,
        job=site.name,
        job_code=site.code,
        job_address=site.address,
        first_day=first_day,
        payroll=payroll,
        mistakes=tuple(mistakes),
        citations=_citations(job, first_day, {person.week.worker_class for person in people}),
    )


def _label(one: PastWeek, site: Job) -> str:
    """What the job is called in typed weeks: its name, with the code where two jobs bear the same."""
    return next(
        (part.job for part in one.week.prevailing if part.job in (site.name, f"{site.name} ({site.code})")), site.name
    )


def _covered(one: PastWeek, mistakes: list[str]) -> Covered | None:
    """The person's week, if it still comes to what was paid for it."""
    try:
        priced = price(one.week, one.book)
    except WeekMistakes as refused:
        mistakes += [f"{one.name}: {sentence}" for sentence in refused.mistakes]
        return None
    if one.paid is None:
        mistakes.append(f"{one.name}: has no statement for this week. Settle why, and close the open week; it pays it.")
        return None
    if priced.gross != one.paid:
        mistakes.append(
            f"{one.name}: was paid {one.paid} for this week, but it comes to {priced.gross} as work and rates stand "
            "now. Close the open week, which pays the difference, and certify this week after that."
        )
        return None
    return Covered(one.number, one.week, priced)


def _citations(job: int, first_day: date, classes: set[str]) -> tuple[str, ...]:
    used = []
    for worker_class, rates in sorted(prevailing_in_force().get(job, {}).items()):
        rate = next((one for one in rates if one.starts_on <= first_day), None)
        if rate is not None and worker_class in classes:
            used.append(f"{rate.class_named}: {rate.citation}, from {rate.starts_on}")
    return tuple(dict.fromkeys(used))
