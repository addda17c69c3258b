"""The API of pay: a worker reads his own statements, the office previews and closes weeks."""

from __future__ import annotations

from datetime import UTC, datetime
from decimal import Decimal
from uuid import uuid4

import pytest

from jobs.models import Person, User
from jobs.services.devices import device_issue
from jobs.services.organisations import member_add
from tests.api.client import Phone, expect_problem
from tests.payroll.world import AFTER, World, make_world

pytestmark = pytest.mark.django_db


def phone_of(world: World, role: str, person: Person | None = None) -> Phone:
    """A phone of a new member with a role."""
    user = User.objects.create_user(f"{role}-{uuid4().hex}@example.org", "not a real password")
    pk = person.pk if person else None
    member = member_add(actor=world.owner, user=user, role=role, person=pk, now=AFTER)
    _, token = device_issue(actor=world.owner, membership=member.pk, name="test phone", now=datetime.now(UTC))
    return Phone(token)


@pytest.fixture
def world() -> World:
    return make_world()


@pytest.fixture
def people(world: World) -> tuple[Person, Person]:
    """Two people with an entry shared between them and a day's hours each; the week is open."""
    pair = world.person("Reader"), world.person("Other")
    world.rate("BOARD", "0.40")
    world.entry(world.unit("BOARD", face="left", layer=1), "500", *pair)
    for person in pair:
        world.hours(person, "8")
    return pair


def test_the_office_previews_and_closes_once(world: World, people: tuple[Person, Person]):
    office = phone_of(world, "office")
    week = world.week()
    seen = office.get(f"/api/weeks/{week.pk}/preview/").json()
    assert (seen["gross"], [each["gross"] for each in seen["people"]]) == ("200.00", ["100.00", "100.00"])
    done = office.post(f"/api/weeks/{week.pk}/close/", {})
    assert (done.status_code, done.json()["statements"], done.json()["gross"]) == (201, 2, "200.00")
    again = office.post(f"/api/weeks/{week.pk}/close/", {})
    assert "is closed once" in next(iter(expect_problem(again, 409, "conflict").values()))
    assert office.get("/api/weeks/").json()["results"][0]["state"] == "closed"


def test_a_worker_reads_his_own_statement_and_no_other(world: World, people: tuple[Person, Person]):
    world.close()
    own, other = phone_of(world, "worker", people[0]), phone_of(world, "worker", people[1])
    (row,) = own.get("/api/statements/").json()["results"]
    whole = own.get(f"/api/statements/{row['id']}/").json()
    assert whole["digest"] == row["digest"]
    assert sum(Decimal(line["amount"]) for line in whole["lines"]) == Decimal(whole["gross"]) == Decimal("100.00")
    (work,) = whole["lines"][0]["work"]
    assert (work["quantity"], work["amount"], work["place"]) == ("250.0000", "100.00", "Level 2 W-1 left, layer 1")
    expect_problem(other.get(f"/api/statements/{row['id']}/"), 404, "not-found")
    expect_problem(own.get(f"/api/weeks/{world.week().pk}/preview/"), 403, "not-allowed")


def test_another_organisations_statement_is_not_there(world: World, people: tuple[Person, Person]):
    world.close()
    row = phone_of(world, "office").get("/api/statements/").json()["results"][0]
    stranger = phone_of(make_world("Thistle Drywall"), "office")
    assert stranger.get("/api/statements/").json()["results"] == []
    expect_problem(stranger.get(f"/api/statements/{row['id']}/"), 404, "not-found")
    expect_problem(stranger.post(f"/api/weeks/{world.week().pk}/close/", {}), 404, "not-found")
    expect_problem(stranger.get(f"/api/statements/{10**30}/"), 404, "not-found")
