"""At least one row of everything that an organisation can hold, for tests of taking it away. Invented throughout."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID, uuid4

from django.db import transaction

from jobs.actors import Actor
from jobs.models import Person, User, WorkUnit
from jobs.requests import EntryRequest, InspectionRequest, PersonAsked, PhotoRequest, SharesAsked, WordRequest
from jobs.services.audit_sealing import audit_seal
from jobs.services.devices import device_issue
from jobs.services.entries import entry_log
from jobs.services.inspections import inspection_record
from jobs.services.invitations import invitation_make
from jobs.services.organisations import member_add
from jobs.services.people import CrewPlace, crew_create
from jobs.services.photos import photo_add
from jobs.services.plans import plan_import
from jobs.services.sites import budget_set, job_access_give
from jobs.services.words import word_say
from payroll.law.agreements import GUARANTEE
from payroll.law.pay_days import LET_GO
from payroll.services.agreements import AgreementFacts, agreement_end, agreement_record
from payroll.services.final_pay import Leaving, final_pay_close
from payroll.services.height_bands import height_band_create
from payroll.services.local_rules import MinimumFacts, local_minimum_record, missed_break_record, missed_break_withdraw
from payroll.services.pay_periods import pay_period_set
from payroll.services.reports import weekly_report_make
from tests.payroll.test_a_revised_plan_cuts_nobodys_pay import plan
from tests.payroll.test_prevailing_jobs_pay_what_the_determination_sets import enter
from tests.payroll.world import AFTER, LATER, MONDAY, NEXT_MONDAY, World, make_world
from tests.support.camera import shot

THEN = datetime(2026, 12, 15, tzinfo=UTC)
UUID_OF_DISPUTE, DISPUTED = UUID("5b0f8c52-94b1-4b53-a4d0-3f7a5f5f5c11"), "it was nearer five hours"
INVITED = "wren.holloway@example.org"
UUID_OF_INSPECTION = UUID("0d9c1e4e-2f9a-4c1a-8f0e-6a1a5f3a9b10")


def full_world() -> World:
    """One of everything: a plan that shrank under done work, corrections in a closed week, a report, a chain."""
    world = make_world()
    height_band_create(actor=world.owner, name="high", from_inches=Decimal(120), now=AFTER)
    world.rate("TRACK", "1.00")
    world.rate("BOARD", "0.41", height_band="high")
    world.rate("BOARD", "0.40")
    world.time_rate("waiting", "21.50")
    enter(world, starts_on=date(2027, 1, 4))
    plan_import(actor=world.owner, job=world.job.pk, source=plan(120), source_name="plan.json", now=AFTER)
    one, two = world.person('Maren "Mo" Tallow,\nthird of the name'), world.person("Osei Birch")
    crew_create(actor=world.owner, name="North crew", foreman=None, places=[CrewPlace(one.pk)], now=AFTER)
    budget_set(
        actor=world.owner, job=world.job.pk, operation=world.operations["BOARD"].pk, quantity=Decimal(9000),
        labour_money=Decimal(4000), now=AFTER,
    )  # fmt: skip
    with transaction.atomic(), world.scope():
        track = WorkUnit.objects.get(operation__code="TRACK", wall__mark="W-1")
        board = WorkUnit.objects.get(operation__code="BOARD", wall__mark="W-1", face="left", layer=1)
    entry = world.entry(track, "20", one, two)
    world.entry(board, "80.25", one, two)
    hours = world.hours(one, "9.5")
    world.hours(two, "2", kind="waiting")
    inspection_record(
        actor=world.owner,
        request=InspectionRequest(
            uuid=UUID_OF_INSPECTION, work_unit=track.pk, verdict="reopened",
            reason="a joint stands open", inspected_on=MONDAY, made_at=AFTER,
        ),
        now=AFTER,
    )  # fmt: skip
    phone, _ = device_issue(actor=world.owner, membership=world.owner.membership or 0, name="phone", now=AFTER)
    world.close()
    weekly_report_make(actor=world.owner, job=world.job.pk, first_day=MONDAY, now=AFTER)
    world.correct(entry, track, "15", one, two)
    world.hours(one, "8", replaces=hours)
    world.entry(track, "5", two, on=NEXT_MONDAY, now=LATER)
    world.close(NEXT_MONDAY, now=THEN)
    world.week(date(2026, 11, 16))
    office_records(world, board)
    words_said(world, board, two, replace(world.owner, device=phone.pk))
    plan_import(actor=world.owner, job=world.job.pk, source=plan(60), source_name="plan.json", now=LATER)
    audit_seal(organisation=world.organisation, now=LATER)
    return world


def office_records(world: World, unit: WorkUnit) -> None:
    """An agreement that was replaced, a local minimum, a missed break taken back and recorded again, a pay period, and
    final pay in an open week."""
    third, day = world.person("Tam Reed"), date(2026, 11, 17)
    facts = AgreementFacts(third.pk, GUARANTEE, MONDAY, MONDAY, None, Decimal("22"), "all", "22 an hour", "folder 3")
    made = agreement_record(actor=world.owner, facts=facts, now=THEN)
    agreement_end(actor=world.owner, agreement=made.pk, ends_on=date(2027, 5, 1), now=THEN)
    minimum = MinimumFacts(world.job.pk, Decimal("19.10"), date(2027, 1, 1), "Exampleton Code 4.1", MONDAY)
    local_minimum_record(actor=world.owner, facts=minimum, now=THEN)
    missed: dict[str, Any] = {"person": third.pk, "missed_on": day, "kind": "meal", "why": "pour next door"}
    wrong = missed_break_record(actor=world.owner, **missed, now=THEN)
    missed_break_withdraw(actor=world.owner, missed=wrong.pk, now=THEN)
    missed_break_record(actor=world.owner, **missed, now=THEN)
    pay_period_set(actor=world.owner, starts_on=MONDAY, weeks=2, pay_day_after=5, now=THEN)
    world.entry(unit, "1", third, on=day, now=THEN)
    world.hours(third, "6", on=day)
    final_pay_close(actor=world.owner, asked=Leaving(third.pk, day, LET_GO), now=THEN)


def words_said(world: World, unit: WorkUnit, worker: Person, phone: Actor) -> None:
    """A worker confirms an entry with a note and a photo, disputes hours; the office settles; somebody is invited."""
    user = User.objects.create_user(f"worker-{uuid4().hex}@example.org", "not a real password")
    member = member_add(actor=world.owner, user=user, role="worker", person=worker.pk, now=THEN)
    job_access_give(actor=world.owner, job=world.job.pk, membership=member.pk, now=THEN)
    invitation_make(actor=world.owner, email=INVITED, role="office", now=THEN)
    himself = Actor(world.organisation, member.pk, "worker", user=user.pk, person=worker.pk)
    day = date(2026, 11, 18)
    shares = SharesAsked("equal", people=(PersonAsked(worker.pk),))
    noted = EntryRequest(uuid4(), unit.pk, day, Decimal(6), shares, THEN, note='behind the "blue" door,\nleft side')
    noted = replace(
        noted, started_at=datetime(2026, 11, 18, 13, tzinfo=UTC), finished_at=datetime(2026, 11, 18, 15, tzinfo=UTC)
    )
    entry_log(actor=phone, request=noted, now=THEN)
    photo_add(actor=phone, request=PhotoRequest(uuid4(), noted.uuid, shot(), THEN), now=THEN)
    hours = world.hours(worker, "4", on=day)
    for actor, uuid, about, says, reason in (
        (himself, uuid4(), noted.uuid, "confirmed", ""),
        (himself, UUID_OF_DISPUTE, hours, "disputed", DISPUTED),
        (world.owner, uuid4(), hours, "settled", "the gate's list says four"),
        (himself, uuid4(), hours, "disputed", "the gate was open"),
    ):
        word_say(actor=actor, request=WordRequest(uuid, about, worker.pk, says, reason, THEN), now=THEN)
