"""Members' places: who may change whom, the last owner, and an end that is felt at once."""

from __future__ import annotations

from uuid import uuid4

import pytest
from django.db import DatabaseError
from django.test import Client
from django.urls import reverse

from jobs.actors import Actor
from jobs.models import AuditRecord, Crew, Device, JobAccess, Membership, User
from jobs.refusals import Conflict, Invalid, NotAllowed, NotFound
from jobs.services.devices import device_issue
from jobs.services.members import member_end, member_place_set
from jobs.services.organisations import member_add
from jobs.signin import device_by_token
from jobs.tenancy import organisation_scope
from tests.api.client import Phone
from tests.jobs.sql import as_application
from tests.jobs.world import NOW, World, make_world
from tests.support.at_once import at_once


def place(actor: Actor, membership: int | None, role: str, **changes: object) -> Membership:
    facts: dict = {"person": None, "jobs": (), "crews": ()} | changes
    return member_place_set(actor=actor, membership=membership or 0, role=role, now=NOW, **facts)


def second_owner(world: World) -> Actor:
    user = User.objects.create_user(f"{uuid4()}@example.org")
    member = member_add(actor=world.owner, user=user, role="owner", now=NOW)
    return Actor(world.organisation, member.pk, "owner", user=user.pk)


@pytest.mark.parametrize("role", ["owner", "office"])
def test_the_office_makes_nobody_an_owner_or_office_not_even_itself(world: World, role: str):
    office = world.actors["office"]
    for whom in (world.foreman, world.actors["worker"], office):
        with pytest.raises(NotAllowed, match="Ask an owner"):
            place(office, whom.membership, role)
    with organisation_scope(world.organisation):
        assert Membership.objects.get(pk=world.foreman.membership).role == "foreman"


def test_the_office_neither_demotes_nor_ends_an_owner_or_office(world: World):
    for whom in (world.owner, world.actors["office"]):
        with pytest.raises(NotAllowed):
            place(world.actors["office"], whom.membership, "worker", person=world.people[0])
        with pytest.raises(NotAllowed):
            member_end(actor=world.actors["office"], membership=whom.membership or 0, now=NOW)


@pytest.mark.parametrize("who", ["foreman", "worker"])
def test_foremen_and_workers_change_nobody(world: World, who: str):
    with pytest.raises(NotAllowed):
        place(world.actors[who], world.actors[who].membership, "owner")
    with pytest.raises(NotAllowed):
        member_end(actor=world.actors[who], membership=world.actors["worker"].membership or 0, now=NOW)


def test_a_token_of_somebody_higher_is_no_way_up(world: World):
    office = world.actors["office"]
    for whom in (world.owner.membership, second_owner(world).membership):
        with pytest.raises(NotFound):
            device_issue(actor=office, membership=whom or 0, name="mine now", now=NOW)
    assert device_issue(actor=office, membership=world.foreman.membership or 0, name="phone", now=NOW)


def test_nobody_of_another_organisation_is_reached(world: World, other: World):
    with pytest.raises(NotFound):
        place(other.owner, world.foreman.membership, "worker", person=other.people[0])
    with pytest.raises(NotFound):
        member_end(actor=other.owner, membership=world.foreman.membership or 0, now=NOW)
    with pytest.raises(Invalid) as refused:
        place(world.owner, world.foreman.membership, "foreman", jobs=[other.job], crews=[other.crew])
    assert [one.path for one in refused.value.mistakes] == ["jobs", "crews"]


def test_the_last_owner_stays_in_the_service_and_at_the_database(world: World):
    with pytest.raises(Conflict, match="last owner"):
        place(world.owner, world.owner.membership, "office")
    with pytest.raises(Conflict, match="last owner"):
        member_end(actor=world.owner, membership=world.owner.membership or 0, now=NOW)
    for change in ("role = 'office'", "active = false"):
        with pytest.raises(DatabaseError, match="last owner"):
            as_application(world, f"UPDATE jobs_membership SET {change} WHERE role = 'owner'")
    second = second_owner(world)
    member_end(actor=second, membership=world.owner.membership or 0, now=NOW)
    with pytest.raises(Conflict):
        place(second, second.membership, "office")


def test_two_owners_who_end_each_other_at_once_leave_one(committed_db: None):
    world = make_world()
    first, second = world.owner, second_owner(world)

    def end(pair: tuple[Actor, Actor]) -> Membership:
        return member_end(actor=pair[0], membership=pair[1].membership or 0, now=NOW)

    answers = at_once(end, [(first, second), (second, first)])
    assert sorted(type(one).__name__ for one in answers) == ["Conflict", "Membership"]


def test_an_ended_member_is_out_at_once_with_session_and_device(world: World):
    browser = Client()
    browser.force_login(User.objects.get(pk=world.foreman.user))
    phone = Phone(world.tokens["foreman"])
    assert browser.get("/").status_code == 200
    assert phone.get("/api/jobs/").status_code == 200
    member_end(actor=world.actors["office"], membership=world.foreman.membership or 0, now=NOW)
    assert browser.get("/").status_code == 403
    assert browser.get(reverse("job", args=[world.job])).status_code == 403
    assert phone.get("/api/jobs/").status_code == 401
    with organisation_scope(world.organisation):
        assert not JobAccess.objects.filter(membership=world.foreman.membership).exists()
        assert Crew.objects.get(pk=world.crew).foreman_id is None
        assert not Device.objects.filter(membership=world.foreman.membership, revoked_at=None).exists()
        # Let in again he has no token of before.
        Membership.objects.filter(pk=world.foreman.membership).update(active=True)
    assert device_by_token(world.tokens["foreman"], NOW) is None


def test_another_role_holds_from_the_next_request_on(world: World):
    phone = Phone(world.tokens["foreman"])
    place(world.owner, world.foreman.membership, "worker", person=world.people[1])
    assert phone.post("/api/entries/", {}).status_code == 403
    with organisation_scope(world.organisation):
        assert Crew.objects.get(pk=world.crew).foreman_id is None


def test_a_foreman_is_given_jobs_and_crews_and_each_change_is_on_record(world: World):
    place(world.owner, world.foreman.membership, "foreman")
    with organisation_scope(world.organisation):
        assert not JobAccess.objects.filter(membership=world.foreman.membership).exists()
    place(world.owner, world.foreman.membership, "foreman", jobs=[world.job], crews=[world.crew])
    with organisation_scope(world.organisation):
        assert JobAccess.objects.filter(membership=world.foreman.membership, job=world.job).count() == 1
        assert Crew.objects.get(pk=world.crew).foreman_id == world.foreman.membership
        made = list(AuditRecord.objects.order_by("pk").values_list("action", flat=True))[-4:]
        before = AuditRecord.objects.count()
    assert made == ["job_access_end", "crew_foreman_set", "job_access_give", "crew_foreman_set"]
    place(world.owner, world.foreman.membership, "foreman", jobs=[world.job], crews=[world.crew])
    with organisation_scope(world.organisation):
        assert AuditRecord.objects.count() == before, "what is so already is not written down again"


def test_a_worker_needs_the_person_he_is(world: World):
    with pytest.raises(Invalid, match="Choose the person"):
        place(world.owner, world.foreman.membership, "worker")
    with pytest.raises(Invalid, match="no role"):
        place(world.owner, world.foreman.membership, "king")
