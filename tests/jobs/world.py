"""A small world for tests of the records: an organisation with every role, a job, a crew, a plan and its work units.

Every test world has two organisations and an outsider (`two_worlds`). All of it is invented.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID, uuid4

from django.db import transaction

from jobs.actors import Actor
from jobs.models import User, WorkUnit
from jobs.requests import EntryRequest, HoursRequest, SharesAsked
from jobs.services.devices import device_issue
from jobs.services.organisations import OrganisationFacts, member_add, organisation_create
from jobs.services.people import CrewPlace, PersonFacts, crew_create, person_create
from jobs.services.plans import plan_import
from jobs.services.sites import JobFacts, job_access_give, job_create
from jobs.tenancy import organisation_scope

NOW = datetime(2026, 11, 20, 18, 0, tzinfo=UTC)
DAY = date(2026, 11, 18)
# Two walls that meet in a corner, B with a door. Invented.
PLAN: dict[str, Any] = {
    "format": "piecewall plan 1",
    "name": "Room with one corner",
    "length_unit": "in",
    "boards": {"B58": {"thickness": "5/8", "width": "48", "lengths": ["96", "108", "120", "144"], "lay": "standing"}},
    "wall_types": {
        "P1": {"stud": "362S125-18", "track": "362T125-18", "spacing": "16", "left": ["B58"], "right": ["B58"]}
    },
    "levels": [
        {
            "name": "Level 1",
            "walls": [
                {"mark": "A", "type": "P1", "from": [0, 0], "to": [120, 0], "height": "9'-0\""},
                {
                    "mark": "B",
                    "type": "P1",
                    "from": [0, 0],
                    "to": [0, 96],
                    "height": "9'-0\"",
                    "openings": [{"mark": "D1", "kind": "door", "at": "30", "width": "38", "height": "84"}],
                },
            ],
            "junctions": [{"walls": ["A", "B"], "through": "A"}],
        }
    ],
}


@dataclass(frozen=True)
class World:
    """One organisation and what a test needs of it. Tokens and actors by role."""

    organisation: int
    owner: Actor
    actors: dict[str, Actor]
    tokens: dict[str, str]
    job: int
    people: tuple[int, ...]
    crew: int
    units: dict[tuple[str, str, str], int]

    @property
    def foreman(self) -> Actor:
        return self.actors["foreman"]

    def unit(self, mark: str, operation: str, part: str = "") -> int:
        """The work unit of wall `mark`, operation code and face or opening."""
        return self.units[mark, operation, part]


def make_world(name: str = "Alder & Quill Interiors") -> World:
    """Build one through the services, as an office would."""
    with transaction.atomic():
        owner_user = _user()
        organisation, membership = organisation_create(facts=OrganisationFacts(name=name), owner=owner_user, now=NOW)
        owner = Actor(organisation.pk, membership.pk, "owner", user=owner_user.pk)
        people = tuple(
            person_create(actor=owner, facts=PersonFacts(f"Person {n}", f"{n:03}", date(2026, 1, 5)), now=NOW).pk
            for n in range(1, 6)
        )
        actors = {"owner": owner} | {role: _member(owner, role, people) for role in ("office", "foreman", "worker")}
        tokens = {role: _token(owner, actor) for role, actor in actors.items()}
        job = job_create(actor=owner, facts=JobFacts("Harrow Street Clinic", "HSC", date(2026, 10, 1)), now=NOW).pk
        for role in ("foreman", "worker"):
            job_access_give(actor=owner, job=job, membership=_id(actors[role]), now=NOW)
        crew = crew_create(
            actor=owner,
            name="Crew 1",
            foreman=_id(actors["foreman"]),
            places=[CrewPlace(person, Decimal(1)) for person in people],
            now=NOW,
        ).pk
        plan_import(actor=owner, job=job, source=plan_bytes(), source_name="room.json", now=NOW)
        return World(organisation.pk, owner, actors, tokens, job, people, crew, _units(organisation.pk))


def two_worlds() -> tuple[World, World, User]:
    """Two organisations, and a user who belongs to neither."""
    return make_world(), make_world("Bramble Partitions"), _user()


def plan_bytes(**changes: Any) -> bytes:
    return json.dumps(PLAN | changes).encode()


def entry(world: World, unit: int | None, quantity: str | None, **changes: Any) -> EntryRequest:
    """A request to log `quantity` (None: all that is left) of a work unit, shared equally by the crew."""
    facts: dict[str, Any] = {
        "uuid": uuid4(),
        "work_unit": unit,
        "worked_on": DAY,
        "quantity": None if quantity is None else Decimal(quantity),
        "shares": SharesAsked(crew=world.crew),
        "made_at": NOW,
    }
    return EntryRequest(**(facts | changes))


def hours(world: World, person: int, minutes: int, **changes: Any) -> HoursRequest:
    facts: dict[str, Any] = {
        "uuid": uuid4(),
        "job": world.job,
        "person": person,
        "worked_on": DAY,
        "kind": "piece",
        "minutes": minutes,
        "made_at": NOW,
    }
    return HoursRequest(**(facts | changes))


def unit_now(world: World, unit: int) -> WorkUnit:
    """The work unit as it stands."""
    with transaction.atomic(), organisation_scope(world.organisation):
        return WorkUnit.objects.get(pk=unit)


def entry_json(world: World, unit: int, quantity: str, uuid: UUID | None = None, **changes: Any) -> dict[str, Any]:
    """The body a phone would send."""
    return {
        "uuid": str(uuid or uuid4()),
        "work_unit": unit,
        "worked_on": DAY.isoformat(),
        "quantity": quantity,
        "shares": {"by": "equal", "crew": world.crew},
        "made_at": NOW.isoformat(),
    } | changes


def _user() -> User:
    return User.objects.create_user(f"{uuid4()}@example.org")


def _member(owner: Actor, role: str, people: tuple[int, ...]) -> Actor:
    user = _user()
    person = people[0] if role == "worker" else None
    membership = member_add(actor=owner, user=user, role=role, person=person, now=NOW)
    return Actor(owner.organisation, membership.pk, role, person=person, user=user.pk)


def _token(owner: Actor, actor: Actor) -> str:
    # Issued by the real clock: the API asks it whether the token has expired.
    return device_issue(actor=owner, membership=_id(actor), name="test phone", now=datetime.now(UTC))[1]


def _id(actor: Actor) -> int:
    assert actor.membership is not None
    return actor.membership


def _units(organisation: int) -> dict[tuple[str, str, str], int]:
    with organisation_scope(organisation):
        units = WorkUnit.objects.select_related("wall", "operation")
        return {(u.wall.mark if u.wall else "", u.operation.code, u.face or u.opening): u.pk for u in units}
