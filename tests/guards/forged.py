"""Ids that are not the sender's to name: of another organisation, out of his reach, of nothing, of no such kind."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any
from uuid import uuid4

from django.apps import apps

from jobs.actors import Actor
from jobs.models import User, Wall, WorkUnit
from jobs.requests import PhotoRequest, SharesAsked
from jobs.services.devices import device_issue
from jobs.services.entries import entry_log
from jobs.services.hours import hours_log
from jobs.services.organisations import member_add
from jobs.services.people import CrewPlace, PersonFacts, crew_create, person_create
from jobs.services.photos import photo_add
from jobs.services.plans import plan_import
from jobs.services.sites import JobFacts, job_create
from jobs.tenancy import Record, organisation_scope
from tests.jobs.world import NOW, World, entry, hours, plan_bytes
from tests.pages.paid_week import PaidWeek
from tests.support.camera import shot

NOWHERE = 10**15
NO_UUID = "00000000-0000-4000-8000-000000000000"
# What is no id of anything, wherever an id stands: of another kind, or past every column.
NO_IDS: tuple[Any, ...] = (0, -1, 2**63, 2**70, "A", "", "1 OR 1=1", True, 1.5, [], {}, "\x00")


@dataclass(frozen=True)
class Things:
    """One record of each kind that an id can name; ids that are UUIDs as text."""

    job: int
    wall: int
    unit: int
    board: int
    board_logged: int
    person: int
    crew: int
    entry: str
    hours: str
    photo: str
    device: int
    member: int
    statement: int
    week: int


def things_of(world: World, paid: PaidWeek) -> Things:
    """Those of a world whose week was paid, its foreman's own."""
    return Things(
        job=world.job,
        wall=wall_of(world, world.job),
        unit=world.unit("B", "TRACK"),
        board=world.unit("B", "BOARD", "left"),
        board_logged=world.unit("A", "BOARD", "left"),
        person=world.people[0],
        crew=world.crew,
        entry=str(paid.entries["BOARD"]),
        hours=str(paid.hours),
        photo=str(paid.photo),
        device=_device(world, world.foreman),
        member=world.foreman.membership or 0,
        statement=paid.statements[world.people[0]],
        week=paid.pay_week,
    )


def things_out_of_reach(world: World, statement: int = NOWHERE, week: int = NOWHERE) -> Things:
    """Records of the same organisation that are not of its foreman: another job, another crew, another's phone."""
    owner = world.owner
    person = person_create(actor=owner, facts=PersonFacts("Lark Fenwick", "099", date(2026, 1, 5)), now=NOW).pk
    user = User.objects.create_user(f"{uuid4()}@example.org")
    member = member_add(actor=owner, user=user, role="foreman", now=NOW).pk
    crew = crew_create(actor=owner, name="Crew 9", foreman=member, places=[CrewPlace(person)], now=NOW).pk
    job = job_create(actor=owner, facts=JobFacts("Mallow Lane School", "MLS", date(2026, 10, 1)), now=NOW).pk
    plan_import(actor=owner, job=job, source=plan_bytes(), source_name="room.json", now=NOW)
    with organisation_scope(world.organisation):
        units = WorkUnit.objects.filter(job=job, wall__mark="B")
        unit = units.get(operation__code="TRACK").pk
        board = units.get(operation__code="BOARD", face="left").pk
    logged = entry(world, unit, "2", shares=SharesAsked(crew=crew))
    entry_log(actor=owner, request=logged, now=NOW)
    timed = hours(world, person, 60, job=job)
    hours_log(actor=owner, request=timed, now=NOW)
    photo = PhotoRequest(uuid4(), logged.uuid, shot(), NOW)
    photo_add(actor=owner, request=photo, now=NOW)
    return Things(
        job=job,
        wall=wall_of(world, job),
        unit=unit,
        board=board,
        board_logged=board,
        person=person,
        crew=crew,
        entry=str(logged.uuid),
        hours=str(timed.uuid),
        photo=str(photo.uuid),
        device=_device(world, owner),
        member=member,
        statement=statement,
        week=week,
    )


def wall_of(world: World, job: int) -> int:
    with organisation_scope(world.organisation):
        return Wall.objects.get(job=job, mark="B").pk


def _device(world: World, actor: Actor) -> int:
    """A second phone, so that giving it up ends no caller."""
    now = datetime.now(UTC)
    return device_issue(actor=world.owner, membership=actor.membership or 0, name="spare", now=now)[0].pk


def rows_written(*worlds: World) -> dict[str, int]:
    """How many rows each table holds of organisations; whatever a service writes stands in the audit's too."""
    counts: dict[str, int] = {}
    for world in worlds:
        with organisation_scope(world.organisation):
            for model in apps.get_models():
                if issubclass(model, Record):
                    counts[f"{world.organisation} {model._meta.label}"] = model.objects.count()
    return counts
