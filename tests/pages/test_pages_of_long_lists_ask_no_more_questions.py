"""However long its lists become, a page asks the database as many questions as before."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.db import connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext

from jobs.models import Operation, User, WorkUnit
from jobs.permissions import allowed
from jobs.requests import PersonAsked, SharesAsked, WordRequest
from jobs.services.entries import entry_batch_log
from jobs.services.hours import hours_log
from jobs.services.invitations import invitation_make
from jobs.services.organisations import member_add
from jobs.services.people import CrewPlace, PersonFacts, crew_create, person_create
from jobs.services.plans import plan_import
from jobs.services.sites import JobFacts, budget_set, job_access_give, job_create
from jobs.services.words import word_say
from jobs.tenancy import organisation_scope
from payroll.law.agreements import GUARANTEE
from payroll.services.agreements import AgreementFacts, agreement_record
from payroll.services.local_rules import MinimumFacts, local_minimum_record, missed_break_record
from payroll.services.payweeks import payweek_open
from payroll.services.rates import Scope, rate_set
from tests.jobs.world import DAY, NOW, PLAN, World, entry, hours, plan_bytes
from tests.pages.conftest import signed_in
from tests.pages.paid_week import AFTER, FIRST_DAY, PaidWeek
from tests.pages.test_every_page_keeps_its_door import WITHOUT_DOOR, addresses

MORE = 25
# Papers and packed files are made row by row, a file of a week at a time.
FILES = {"week-papers-file", "statement-pdf", "report-pdf", "certified-pdf", "payroll-file", "person-record"}
# It prices every open week by itself, and a firm has one or two.
BY_WEEK = {"labour"}


def lengthen(world: World) -> None:
    """More of everything that a list shows."""
    owner, people = world.owner, []
    for number in range(MORE):
        facts = PersonFacts(f"Person x{number}", f"x{number}", date(2026, 1, 5))
        people.append(person_create(actor=owner, facts=facts, now=NOW).pk)
    crew_create(
        actor=owner, name="Crew long", foreman=world.foreman.membership,
        places=[CrewPlace(one) for one in people], now=NOW,
    )  # fmt: skip
    walls = PLAN["levels"][0]["walls"] + [
        {"mark": f"W{n}", "type": "P1", "from": [0, 200 + 60 * n], "to": [120, 200 + 60 * n], "height": "9'-0\""}
        for n in range(MORE)
    ]
    level = PLAN["levels"][0] | {"walls": walls}
    plan_import(actor=owner, job=world.job, source=plan_bytes(levels=[level]), source_name="room.json", now=NOW)
    with transaction.atomic(), organisation_scope(world.organisation):
        units = list(
            WorkUnit.objects.filter(operation__code="STUDS", wall__mark__startswith="W").values_list("pk", flat=True)
        )
        operations = list(Operation.objects.values_list("pk", flat=True))
    for nth, person in enumerate(people):
        shares = SharesAsked("equal", people=(PersonAsked(person),))
        own = SharesAsked("equal", people=(PersonAsked(world.people[0]),))
        asked = [entry(world, units[nth], "1", shares=shares), entry(world, units[nth], "1", shares=own)]
        entry_batch_log(actor=world.foreman, requests=asked, now=NOW)
        word = WordRequest(uuid4(), asked[1].uuid, world.people[0], "disputed", "it was two", NOW)
        word_say(actor=world.actors["worker"], request=word, now=NOW)
        hours_log(actor=world.foreman, request=hours(world, person, 60), now=NOW)
        agreed = AgreementFacts(person, GUARANTEE, DAY, DAY, None, Decimal(22), "productive", "22 an hour", "drawer 2")
        agreement_record(actor=owner, facts=agreed, now=NOW)
        missed_break_record(actor=owner, person=person, missed_on=DAY, kind="rest", why="pour next door", now=NOW)
        job = job_create(actor=owner, facts=JobFacts(f"Job {nth}", f"J{nth}", date(2026, 10, 1)), now=NOW).pk
        for member in (world.foreman, world.actors["worker"]):
            job_access_give(actor=owner, job=job, membership=member.membership or 0, now=NOW)
        minimum = MinimumFacts(job, Decimal("19.10"), DAY, "Exampleton Code 4.1", DAY)
        local_minimum_record(actor=owner, facts=minimum, now=NOW)
        rate_set(actor=owner, scope=Scope(operation=operations[0], job=job), amount=Decimal(2), starts_on=DAY, now=NOW)
        user = User.objects.create_user(f"{uuid4()}@example.org")
        member_add(actor=owner, user=user, role="worker", person=person, now=NOW)
        invitation_make(actor=owner, email=f"{uuid4()}@example.org", role="office", now=NOW)
        payweek_open(actor=owner, first_day=FIRST_DAY - timedelta(days=7 * (nth + 1)), now=NOW)
    for operation in operations:
        budget_set(
            actor=owner, job=world.job, operation=operation, quantity=Decimal(9), labour_money=Decimal(9), now=NOW
        )


def questions(client: Client, address: str) -> int:
    client.get(address)
    with CaptureQueriesContext(connection) as asked:
        assert client.get(address).status_code in {200, 302, 404, 409}, address
    return len(asked)


@pytest.mark.parametrize("role", ["owner", "foreman", "worker"])
def test_a_page_asks_as_often_of_long_lists(
    world: World, paid: PaidWeek, role: str, clock: Callable[[datetime], None]
) -> None:
    clock(AFTER)
    client = signed_in(world.actors[role])
    pages = {
        name: address
        for name, address in addresses(world, paid).items()
        if name not in WITHOUT_DOOR | FILES | BY_WEEK and allowed(name, "GET", role)
    }
    before = {name: questions(client, address) for name, address in pages.items()}
    lengthen(world)
    after = {name: questions(client, address) for name, address in pages.items()}
    # A few more where a kind of record was not there at all before.
    assert {name: (before[name], after[name]) for name in pages if after[name] > before[name] + 5} == {}
