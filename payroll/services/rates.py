"""Setting rates: a start and a scope; never below zero, never changing what is already paid."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction
from django.db.models import Max, QuerySet

from jobs import audit
from jobs.actors import Actor
from jobs.models import Job, Operation
from jobs.refusals import Conflict, Mistake, NotAllowed, invalid, not_found
from jobs.tenancy import organisation_scope
from payroll.models import HeightBand, Rate, StatementHours
from payroll.models.rates import PAID_BY_THE_HOUR
from payroll.selectors.rates import scope_words
from payroll.services.closing_lock import closing_lock

MAY_SET = frozenset({"owner", "office", "system"})


@dataclass(frozen=True, slots=True)
class Scope:
    """What a rate holds for. None and empty words mean 'any'. Either an operation or a kind of time is paid."""

    operation: int | None = None
    time_kind: str = ""
    job: int | None = None
    wall_type: str = ""
    height_band: str = ""
    worker_class: str = ""


def rate_set(
    *, actor: Actor, scope: Scope, amount: Decimal, starts_on: date, now: datetime, replaces: Rate | None = None
) -> Rate:
    """Set what a scope is paid from a day on. `replaces` takes the place of a wrong rate of the same scope and start.

    Raises NotAllowed, NotFound, Invalid (a rate that is not above zero, an unknown band or kind of time) and Conflict
    (the scope starts that day already; hours that it would change are already paid).
    """
    if actor.role not in MAY_SET:
        raise NotAllowed(Mistake("", f"the role {actor.role} does not set rates. Ask the office."))
    with transaction.atomic(), organisation_scope(actor.organisation):
        closing_lock()  # two at once would both find that nothing stands
        _check(scope, amount)
        stands = _in_force(scope, starts_on)
        if replaces is None and stands is not None:
            raise Conflict(Mistake("starts_on", _starts_already(stands, starts_on)))
        if replaces is not None and (stands is None or stands.pk != replaces.pk):
            raise Conflict(
                Mistake(
                    "replaces",
                    f"rate {replaces.pk} is not the one in force for this scope and start. Choose the newest.",
                )
            )
        _refuse_over_paid_time(scope, starts_on)
        rate = Rate.objects.create(
            operation_id=scope.operation,
            time_kind=scope.time_kind,
            job_id=scope.job,
            wall_type=scope.wall_type,
            height_band=scope.height_band,
            worker_class=scope.worker_class,
            amount=amount,
            starts_on=starts_on,
            replaces=replaces,
            set_by_id=actor.membership,
            set_at=now,
        )
        after = {
            "operation": scope.operation,
            "time_kind": scope.time_kind,
            "job": scope.job,
            "wall_type": scope.wall_type,
            "height_band": scope.height_band,
            "worker_class": scope.worker_class,
            "amount": str(amount),
            "starts_on": starts_on.isoformat(),
            "replaces": replaces.pk if replaces else None,
        }
        audit.record(actor=actor, at=now, changes=[audit.Change("rate_set", "rate", str(rate.pk), after)])
        return rate


def _check(scope: Scope, amount: Decimal) -> None:
    if not amount.is_finite() or amount <= 0:
        raise invalid("amount", f"a rate of {amount} is not above zero. Give the money for one unit or hour.")
    if amount != round(amount, 6):
        raise invalid("amount", f"a rate of {amount} has more than six decimals. Give at most six.")
    if (scope.operation is None) == (scope.time_kind == ""):
        raise invalid("operation", "a rate pays either an operation or a kind of time. Give one of them.")
    if scope.operation is not None and not Operation.objects.filter(pk=scope.operation).exists():
        raise not_found("operation", "operation", scope.operation)
    if scope.time_kind and scope.time_kind not in PAID_BY_THE_HOUR:
        raise invalid(
            "time_kind", f"{scope.time_kind!r} is not time paid by the hour. Use one of: {', '.join(PAID_BY_THE_HOUR)}."
        )
    if scope.time_kind and (scope.wall_type or scope.height_band):
        raise invalid("wall_type", f"{scope.time_kind} is not done on a wall. Leave wall type and height band out.")
    if scope.job is not None and not Job.objects.filter(pk=scope.job).exists():
        raise not_found("job", "job", scope.job)
    if scope.height_band and not HeightBand.objects.filter(name=scope.height_band).exists():
        raise not_found("height_band", "height band", scope.height_band)


def rates_of(scope: Scope) -> QuerySet[Rate]:
    """Every rate ever set for exactly this scope, those replaced included."""
    return Rate.objects.filter(
        operation_scope=scope.operation or 0,
        time_kind=scope.time_kind,
        job_scope=scope.job or 0,
        wall_type=scope.wall_type,
        height_band=scope.height_band,
        worker_class=scope.worker_class,
    )


def _in_force(scope: Scope, starts_on: date) -> Rate | None:
    return rates_of(scope).filter(starts_on=starts_on).order_by("-pk").first()


def _starts_already(stands: Rate, starts_on: date) -> str:
    words = scope_words(stands, f"{stands.job_id}")
    return (
        f"a rate of {stands.amount.normalize():f} starts on {starts_on} for this scope ({words}) already. "
        f"Replace that one, or choose another day."
    )


def _refuse_over_paid_time(scope: Scope, starts_on: date) -> None:
    """Pieces keep the rate that paid them, so a late price list reaches unpaid work only. Time has no such mark."""
    if not scope.time_kind:
        return
    paid = StatementHours.objects.filter(hours__kind=scope.time_kind, hours__worked_on__gte=starts_on)
    if scope.job is not None:
        paid = paid.filter(hours__job_id=scope.job)
    if scope.worker_class:
        paid = paid.filter(hours__person__worker_class=scope.worker_class)
    latest = paid.aggregate(latest=Max("hours__worked_on"))["latest"]
    if latest is not None:
        raise Conflict(
            Mistake(
                "starts_on",
                f"a rate for {scope.time_kind} from {starts_on} would reach back over hours paid up to "
                f"{latest}. Start it after {latest}; what was paid keeps its rate.",
            )
        )
