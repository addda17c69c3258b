"""One price as it would be set: from when, instead of what, until when, and what to look at before setting it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from zoneinfo import ZoneInfo

from django.db import transaction
from django.db.models import QuerySet

from jobs.actors import Actor
from jobs.models import Job, Operation, Organisation
from jobs.services.office import office_work
from payroll.law import RULE_SETS, ParameterMissing, the_book
from payroll.models import Rate
from payroll.selectors.rates import scope_words, tidy
from payroll.services.rates import Scope, rate_set, rates_of

NEW, REPLACES, SAME = "new", "replaces", "same"


@dataclass(frozen=True, slots=True)
class PriceLine:
    """A price as it would be set. `row` is its row in a list, 0 for one set alone; `ends_before` the next start. `key`
    tells its scope from every other, where names do not: two jobs may bear one.

    `trial` is the price as a list to try over past weeks, empty where such a list cannot hold its scope.
    """

    row: int
    key: str
    kind: str
    thing: str
    scope: str
    amount: Decimal
    starts_on: date
    before: Decimal | None
    ends_before: date | None
    hints: tuple[str, ...]
    trial: str = ""

    @property
    def sentence(self) -> str:
        """'hang board: 0.42 from 2026-12-01 on, until then 0.40 (any job, ...)'."""
        said = f"{self.thing}: {self.amount} from {self.starts_on} on"
        if self.kind == SAME:
            said += ", as it stands"
        elif self.kind == REPLACES:
            said += f", in the place of {self.before}, which was to start that day"
        elif self.before is not None:
            said += f", until then {self.before}"
        if self.ends_before is not None:
            said += f", up to the next on {self.ends_before}"
        return f"{said} ({self.scope})."


def price_set(
    *, actor: Actor, scope: Scope, amount: Decimal, starts_on: date, now: datetime, dry_run: bool
) -> PriceLine:
    """Set one price, or with `dry_run` only say what setting it would do. A price that stands is left as it is.

    A price of the same scope and start is replaced by a linked one, never edited. Raises NotAllowed, NotFound, Invalid
    and Conflict as `rate_set` does.
    """
    with office_work(actor):
        kept = transaction.savepoint()
        line = line_set(actor=actor, scope=scope, amount=amount, starts_on=starts_on, now=now, jobs=list(_all_jobs()))
        if dry_run:
            transaction.savepoint_rollback(kept)
        else:
            transaction.savepoint_commit(kept)
        return line


def _all_jobs() -> QuerySet[Job]:
    return Job.objects.order_by("pk")


def line_set(
    *,
    actor: Actor,
    scope: Scope,
    amount: Decimal,
    starts_on: date,
    now: datetime,
    jobs: Sequence[Job],
    row: int = 0,
) -> PriceLine:
    """Set a price in the transaction and scope that are open, and say what that did. Raises as `rate_set` does."""
    stands = _rates(scope).filter(starts_on=starts_on).first()
    earlier = _rates(scope).filter(starts_on__lt=starts_on).first()
    later = _rates(scope).filter(starts_on__gt=starts_on).order_by("starts_on").first()
    if stands is not None and stands.amount == amount:
        kind, rate, before = SAME, stands, None
    else:
        rate = rate_set(actor=actor, scope=scope, amount=amount, starts_on=starts_on, now=now, replaces=stands)
        kind, before = (REPLACES, stands.amount) if stands else (NEW, earlier.amount if earlier else None)
    operation = Operation.objects.filter(pk=scope.operation).first()
    hints = () if kind == SAME else tuple(_hints(scope, amount, starts_on, before, jobs, today_at(now)))
    return PriceLine(
        row=row,
        key=repr(scope),
        kind=kind,
        thing=operation.name if operation else scope.time_kind,
        scope=scope_words(rate, next((job.name for job in jobs if job.pk == scope.job), "")),
        amount=tidy(amount),
        starts_on=starts_on,
        before=None if before is None else tidy(before),
        ends_before=later.starts_on if later else None,
        hints=hints,
        trial=_trial(operation, scope, amount, jobs),
    )


def _trial(operation: Operation | None, scope: Scope, amount: Decimal, jobs: Sequence[Job]) -> str:
    if operation is None or scope.wall_type or scope.height_band or scope.worker_class:
        return ""
    job = next((job.code for job in jobs if job.pk == scope.job), "")
    return f"operation,amount,job\n{operation.code},{tidy(amount)},{job}\n"


def today_at(now: datetime) -> date:
    """The organisation's day at a moment."""
    zone = Organisation.objects.values_list("time_zone", flat=True).get()
    return now.astimezone(ZoneInfo(zone)).date()


def _rates(scope: Scope) -> QuerySet[Rate]:
    """Rates in force of exactly this scope, the latest start first."""
    replaced = Rate.objects.exclude(replaces=None).values("replaces_id")
    return rates_of(scope).exclude(pk__in=replaced).order_by("-starts_on")


def _hints(
    scope: Scope, amount: Decimal, starts_on: date, before: Decimal | None, jobs: Sequence[Job], today: date
) -> list[str]:
    """What to look at: a fall, a leap, a start in the past, and a rate for time below the least an hour must earn."""
    found = []
    if before is not None and amount < before:
        fall = (1 - amount / before) * 100
        found.append(f"{tidy(amount)} is {fall:.1f}% below the {tidy(before)} before it.")
    if before is not None and amount >= 2 * before:
        found.append(f"{tidy(amount)} is {amount / before:.1f} times the {tidy(before)} before it.")
    if starts_on < today and not scope.time_kind:
        found.append(
            f"It starts on {starts_on}, before today. Work since then that was not paid yet is paid by it; what was "
            "paid keeps its rate."
        )
    if not scope.time_kind:
        return found
    rule_sets = sorted({job.rule_set for job in jobs if scope.job in (None, job.pk)} & set(RULE_SETS))
    for rule_set in rule_sets:
        try:
            least = the_book().at(rule_set, "minimum_wage", starts_on, newer=starts_on)
        except ParameterMissing:
            continue
        if Fraction(amount) < least.value:
            found.append(
                f"{tidy(amount)} an hour is below the {least.text} of {rule_set} ({least.cite}). The week is topped up "
                "to the law's least where it falls short; ask what local law says of such a rate."
            )
    return found
