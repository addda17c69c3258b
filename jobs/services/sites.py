"""Jobs: opening one, letting a foreman in, and writing down what was bid."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from jobs.actors import Actor
from jobs.clock import is_time_zone
from jobs.models import BudgetLine, Job, JobAccess, Membership, Operation
from jobs.refusals import Mistake, not_found, raise_mistakes
from jobs.requests import plain
from jobs.services.office import office_work, write_down


@dataclass(frozen=True, slots=True)
class JobFacts:
    """A job as taken on. `rule_set` names the law of its pay; `floor_area_sqft` is what costs are divided by."""

    name: str
    code: str
    started_on: date
    address: str = ""
    rule_set: str = "us-federal"
    time_zone: str = "UTC"
    currency: str = "USD"
    unit_system: str = "imperial"
    floor_area_sqft: Decimal | None = None


def job_create(*, actor: Actor, facts: JobFacts, now: datetime) -> Job:
    """Open a job. Raises Invalid, Conflict (code taken), NotAllowed."""
    raise_mistakes(_mistakes(facts))
    with office_work(actor):
        job = Job.objects.create(
            name=facts.name.strip(),
            code=facts.code.strip(),
            address=facts.address,
            rule_set=facts.rule_set,
            time_zone=facts.time_zone,
            currency=facts.currency,
            unit_system=facts.unit_system,
            floor_area_sqft=facts.floor_area_sqft,
            started_on=facts.started_on,
        )
        after = {"code": job.code, "rule_set": job.rule_set, "started_on": job.started_on.isoformat()}
        write_down(actor, now, "job_create", "job", job.pk, after)
        return job


def job_access_give(*, actor: Actor, job: int, membership: int, now: datetime) -> JobAccess:
    """Let a member see a job. Giving it twice changes nothing. Raises NotFound, NotAllowed."""
    with office_work(actor):
        if not Job.objects.filter(pk=job).exists():
            raise not_found("job", "job", job)
        if not Membership.objects.filter(pk=membership).exists():
            raise not_found("membership", "member", membership)
        access, made = JobAccess.objects.get_or_create(job_id=job, membership_id=membership)
        if made:
            write_down(actor, now, "job_access_give", "job", job, {"membership": membership})
        return access


def budget_set(
    *, actor: Actor, job: int, operation: int, quantity: Decimal, labour_money: Decimal, now: datetime
) -> BudgetLine:
    """Write down what was bid for an operation of a job, or change it. Raises Invalid, NotFound, NotAllowed."""
    mistakes = [] if quantity > 0 else [Mistake("quantity", f"{quantity} is not above 0.")]
    mistakes += [] if labour_money >= 0 else [Mistake("labour_money", f"{labour_money} is below 0.")]
    raise_mistakes(mistakes)
    with office_work(actor):
        if not Job.objects.filter(pk=job).exists():
            raise not_found("job", "job", job)
        if not Operation.objects.filter(pk=operation).exists():
            raise not_found("operation", "operation", operation)
        stood = BudgetLine.objects.filter(job=job, operation=operation).first()
        before = {"quantity": plain(stood.quantity), "labour_money": str(stood.labour_money)} if stood else None
        line = stood or BudgetLine(job_id=job, operation_id=operation)
        line.quantity, line.labour_money = quantity, labour_money
        line.save(update_fields=["quantity", "labour_money"] if stood else None)
        after = {"operation": operation, "quantity": plain(quantity), "labour_money": str(labour_money)}
        write_down(actor, now, "budget_set", "job", job, after, before)
        return line


def _mistakes(facts: JobFacts) -> list[Mistake]:
    found = [
        Mistake(field, f"a job needs a {field}.") for field in ("name", "code") if not getattr(facts, field).strip()
    ]
    if not is_time_zone(facts.time_zone):
        found.append(Mistake("time_zone", f"{facts.time_zone!r} is no time zone. Use a name such as America/Chicago."))
    if not re.fullmatch(r"[A-Z]{3}", facts.currency):
        found.append(Mistake("currency", f"{facts.currency!r} is no currency code. Write three letters, as USD."))
    if facts.unit_system not in {"imperial", "metric"}:
        found.append(Mistake("unit_system", f"{facts.unit_system!r} is neither imperial nor metric."))
    if facts.floor_area_sqft is not None and facts.floor_area_sqft <= 0:
        found.append(Mistake("floor_area_sqft", f"{facts.floor_area_sqft} is not above 0. Leave it out if unknown."))
    return found
