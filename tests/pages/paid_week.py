"""A week of the small world that is worked, priced and closed. Invented throughout."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from uuid import UUID, uuid4

from django.db import transaction

from jobs.models import Hours, Operation
from jobs.requests import PhotoRequest
from jobs.services.entries import entry_log
from jobs.services.hours import hours_log
from jobs.services.photos import photo_add
from jobs.services.sites import budget_set
from jobs.tenancy import organisation_scope
from payroll.models import Statement
from payroll.services.payweeks import payweek_close, payweek_open
from payroll.services.rates import Scope, rate_set
from payroll.services.reports import weekly_report_make
from tests.jobs.world import NOW, World, entry, hours
from tests.support.camera import shot

FIRST_DAY = date(2026, 11, 16)
AFTER = datetime(2026, 11, 24, 15, 0, tzinfo=UTC)
RATES = {"TRACK": "2.30", "STUDS": "9.40", "OPENING": "92.00", "BOARD": "0.96"}


@dataclass(frozen=True)
class PaidWeek:
    """What was logged and what came of it: entry UUIDs by operation, a photo of one, one of the hours, statement ids by
    person, the week, and the hash of the first person's."""

    entries: dict[str, UUID]
    photo: UUID
    hours: UUID
    statements: dict[int, int]
    pay_week: int
    digest: str


def work_a_week(world: World) -> dict[str, UUID]:
    """Rates, budget, entries by the crew and hours of each, in a week that is still open."""
    with transaction.atomic(), organisation_scope(world.organisation):
        operations = dict(Operation.objects.values_list("code", "pk"))
    for code, amount in RATES.items():
        scope = Scope(operation=operations[code])
        rate_set(actor=world.owner, scope=scope, amount=Decimal(amount), starts_on=date(2026, 1, 1), now=NOW)
    budget_set(
        actor=world.owner,
        job=world.job,
        operation=operations["BOARD"],
        quantity=Decimal(400),
        labour_money=Decimal(420),
        now=NOW,
    )
    logged = {}
    for code, part in (("TRACK", ""), ("STUDS", ""), ("BOARD", "left")):
        asked = entry(world, world.unit("A", code, part), None)
        entry_log(actor=world.foreman, request=asked, now=NOW)
        logged[code] = asked.uuid
    for person in world.people:
        hours_log(actor=world.foreman, request=hours(world, person, 480), now=NOW)
    payweek_open(actor=world.owner, first_day=FIRST_DAY, now=NOW)
    return logged


def pay_a_week(world: World) -> PaidWeek:
    """Work a week, close it and make the job's report."""
    logged = work_a_week(world)
    week = payweek_open(actor=world.owner, first_day=FIRST_DAY, now=NOW)
    payweek_close(actor=world.owner, pay_week=week.pk, now=AFTER)
    photo = PhotoRequest(uuid4(), logged["BOARD"], shot(), NOW)
    photo_add(actor=world.foreman, request=photo, now=NOW)
    weekly_report_make(actor=world.owner, job=world.job, first_day=FIRST_DAY, now=AFTER)
    with transaction.atomic(), organisation_scope(world.organisation):
        statements = dict(Statement.objects.values_list("person_id", "pk"))
        digest = bytes(Statement.objects.get(person=world.people[0]).digest).hex()
        one = Hours.objects.filter(person=world.people[0]).values_list("uuid", flat=True)[0]
    return PaidWeek(logged, photo.uuid, one, statements, week.pk, digest)
