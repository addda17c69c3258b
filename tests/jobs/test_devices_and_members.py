"""Devices, members and sign-in look-ups: what is told before an organisation is in scope, and to whom."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import DatabaseError, connection

from jobs.models import Device, Membership, User
from jobs.refusals import Conflict, Invalid, NotAllowed, NotFound
from jobs.services.devices import device_issue, device_revoke, device_use_note
from jobs.services.organisations import OrganisationFacts, member_add, organisation_create
from jobs.signin import device_by_token, memberships_of
from jobs.tenancy import organisation_scope
from tests.jobs.sql import as_application
from tests.jobs.world import NOW, World


def test_a_token_finds_its_device_and_stands_nowhere_itself(world: World):
    device, token = device_issue(actor=world.foreman, membership=world.foreman.membership or 0, name="phone", now=NOW)
    found = device_by_token(token, NOW)
    assert found is not None
    assert (found.actor.device, found.actor.membership, found.actor.role) == (
        device.pk,
        world.foreman.membership,
        "foreman",
    )
    rows = as_application(world, "SELECT d::text FROM jobs_device d")
    assert rows
    assert not any(token in row[0] for row in rows)


def test_a_token_unknown_expired_revoked_or_of_an_inactive_member_finds_nothing(world: World):
    device, token = device_issue(
        actor=world.foreman, membership=world.foreman.membership or 0, name="phone", now=NOW, life=timedelta(days=2)
    )
    assert device_by_token("x" + token, NOW) is None
    assert device_by_token(token, NOW + timedelta(days=2)) is None
    with organisation_scope(world.organisation):
        Membership.objects.filter(pk=world.foreman.membership).update(active=False)
    assert device_by_token(token, NOW) is None
    with organisation_scope(world.organisation):
        Membership.objects.filter(pk=world.foreman.membership).update(active=True)
    assert device_by_token(token, NOW) is not None
    device_revoke(actor=world.owner, device=device.pk, now=NOW)
    assert device_by_token(token, NOW) is None


def test_members_issue_and_revoke_their_own_devices_and_the_office_all(world: World, other: World):
    office, _ = device_issue(actor=world.owner, membership=world.actors["office"].membership or 0, name="desk", now=NOW)
    with pytest.raises(NotFound):
        device_revoke(actor=world.foreman, device=office.pk, now=NOW)
    with pytest.raises(NotFound):
        device_issue(actor=world.foreman, membership=world.owner.membership or 0, name="phone", now=NOW)
    with pytest.raises(NotFound):
        device_issue(actor=world.owner, membership=other.owner.membership or 0, name="phone", now=NOW)
    with pytest.raises(Invalid) as refused:
        device_issue(actor=world.owner, membership=world.owner.membership or 0, name=" ", now=NOW, life=timedelta(0))
    assert [mistake.path for mistake in refused.value.mistakes] == ["name", "life"]


def test_use_is_noted_once_an_hour_at_most(world: World):
    device, _ = device_issue(actor=world.foreman, membership=world.foreman.membership or 0, name="phone", now=NOW)
    with organisation_scope(world.organisation):
        device_use_note(device=device.pk, last_used_at=None, now=NOW)
        device_use_note(device=device.pk, last_used_at=NOW, now=NOW + timedelta(minutes=59))
        assert Device.objects.get(pk=device.pk).last_used_at == NOW
        device_use_note(device=device.pk, last_used_at=NOW, now=NOW + timedelta(hours=1))
        assert Device.objects.get(pk=device.pk).last_used_at == NOW + timedelta(hours=1)


def test_a_user_is_told_of_his_own_memberships_alone(worlds: tuple[World, World, User]):
    world, other, outsider = worlds
    assert memberships_of(outsider.pk) == []
    mine = memberships_of(world.foreman.user or 0)
    assert [(one.organisation_name, one.actor.role) for one in mine] == [("Alder & Quill Interiors", "foreman")]
    member_add(actor=other.owner, user=User.objects.get(pk=world.foreman.user), role="worker", now=NOW)
    both = memberships_of(world.foreman.user or 0)
    assert [one.organisation_name for one in both] == ["Alder & Quill Interiors", "Bramble Partitions"]


def test_the_sign_in_functions_are_closed_to_everybody_else(world: World):
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT proname, prosecdef, proconfig, has_function_privilege('public', oid, 'EXECUTE') FROM pg_proc"
            " WHERE pronamespace = 'public'::regnamespace AND prosecdef"
        )
        functions = {name: (config, public) for name, _, config, public in cursor.fetchall()}
    assert {"piecewall_device", "piecewall_memberships", "piecewall_organisations"} <= set(functions)
    for name, (config, public) in functions.items():
        assert config == ["search_path=pg_catalog, pg_temp"], name
        assert public is False, name


def test_a_member_is_added_once_with_a_known_role_by_the_office(world: World, other: World):
    user = User.objects.get(pk=world.foreman.user)
    with pytest.raises(Conflict):
        member_add(actor=world.owner, user=user, role="office", now=NOW)
    with pytest.raises(Invalid, match="no role"):
        member_add(actor=world.owner, user=user, role="king", now=NOW)
    with pytest.raises(NotFound):
        member_add(actor=world.owner, user=user, role="worker", person=other.people[0], now=NOW)
    with pytest.raises(NotAllowed):
        member_add(actor=world.foreman, user=user, role="office", now=NOW)
    with pytest.raises(DatabaseError, match="membership_role_is_known"):
        as_application(world, "UPDATE jobs_membership SET role = 'king'")


def test_an_organisation_says_all_that_is_wrong_with_it(worlds: tuple[World, World, User]):
    facts = OrganisationFacts(name=" ", workweek_start=7, time_zone="Mars", accent_colour="red")
    with pytest.raises(Invalid) as refused:
        organisation_create(facts=facts, owner=worlds[2], now=NOW)
    assert [one.path for one in refused.value.mistakes] == ["name", "workweek_start", "time_zone", "accent_colour"]


def test_an_e_mail_is_one_user_in_any_case(world: World):
    User.objects.create_user("Una@Example.org")
    assert User.objects.get_by_natural_key("uNa@example.ORG").email == "una@example.org"
