"""Pages of devices and members: a token shown once, lists that cost the same however long, forms that do their job."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.models import Device, Membership, User
from jobs.services.devices import device_issue
from jobs.services.organisations import member_add
from jobs.signin import device_by_token
from jobs.tenancy import organisation_scope
from tests.jobs.world import NOW, World
from tests.pages.conftest import signed_in


def link_a_phone(client: Client, **typed: Any) -> Any:
    return client.post(reverse("devices"), {"name": "site phone 2", "days": "365"} | typed)


def token_on(page: str) -> str:
    found = re.search(r'id="token"[^>]*>([\w-]{43})<', page)
    assert found, page
    return found[1]


def test_a_foreman_links_his_phone_and_sees_the_token_once(world: World):
    client = signed_in(world.foreman)
    page = link_a_phone(client)
    token = token_on(page.content.decode())
    assert "<svg" in page.content.decode() and "no-store" in page["Cache-Control"]
    found = device_by_token(token, NOW)
    assert found is not None and found.actor.membership == world.foreman.membership
    listed = client.get(reverse("devices")).content.decode()
    assert "site phone 2" in listed and token not in listed
    with organisation_scope(world.organisation):
        device = Device.objects.get(name="site phone 2")
    # A stated default: a year.
    assert device.expires_at == NOW + timedelta(days=365)
    assert token not in client.get(reverse("device", args=[device.pk])).content.decode()


def test_the_office_links_one_for_a_foreman(world: World):
    page = link_a_phone(signed_in(world.actors["office"]), member=world.foreman.membership)
    found = device_by_token(token_on(page.content.decode()), NOW)
    assert found is not None and found.actor.membership == world.foreman.membership


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"name": " "}, "needs a name"),
        ({"name": "x" * 81}, "needs a name"),
        ({"days": "0"}, "must live"),
        ({"days": "731"}, "must live"),
        ({"days": "soon"}, "no number"),
        ({"member": "9" * 18}, "was not found"),
    ],
)
def test_what_cannot_be_linked_is_said(world: World, typed: dict[str, str], says: str):
    answer = link_a_phone(signed_in(world.foreman), **typed)
    assert answer.status_code == 400
    assert says in answer.content.decode()


def test_a_foreman_makes_no_token_for_another(world: World):
    answer = link_a_phone(signed_in(world.foreman), member=world.owner.membership)
    assert answer.status_code == 400
    with organisation_scope(world.organisation):
        assert not Device.objects.filter(name="site phone 2").exists()


def test_everybody_sees_his_own_and_the_office_all(world: World, other: World):
    device_issue(actor=world.foreman, membership=world.foreman.membership or 0, name="his own phone", now=NOW)
    device_issue(actor=other.foreman, membership=other.foreman.membership or 0, name="of others", now=NOW)
    assert "his own phone" in signed_in(world.actors["office"]).get(reverse("devices")).content.decode()
    assert "his own phone" not in signed_in(world.actors["worker"]).get(reverse("devices")).content.decode()
    assert "of others" not in signed_in(world.owner).get(reverse("devices")).content.decode()


def test_renamed_and_revoked_by_its_member_or_the_office_and_by_nobody_else(world: World, other: World):
    device, token = device_issue(
        actor=world.foreman, membership=world.foreman.membership or 0, name="phone", now=datetime.now(UTC)
    )
    for stranger in (world.actors["worker"], other.owner):
        client = signed_in(stranger)
        assert client.get(reverse("device", args=[device.pk])).status_code == 404
        assert client.post(reverse("device", args=[device.pk]), {"name": "mine"}).status_code == 404
        assert client.post(reverse("device-revoke", args=[device.pk])).status_code == 404
    signed_in(world.foreman).post(reverse("device", args=[device.pk]), {"name": "truck phone"})
    assert device_by_token(token, datetime.now(UTC)) is not None
    signed_in(world.actors["office"]).post(reverse("device-revoke", args=[device.pk]))
    assert device_by_token(token, datetime.now(UTC)) is None
    listed = signed_in(world.foreman).get(reverse("devices")).content.decode()
    assert "truck phone" in listed and "revoked" in listed


def test_a_name_is_shown_as_letters_never_as_markup(world: World):
    link_a_phone(signed_in(world.foreman), name="<script>alert(1)</script>")
    listed = signed_in(world.owner).get(reverse("devices")).content.decode()
    assert "<script>" not in listed and "&lt;script&gt;" in listed


@pytest.mark.parametrize("name", ["devices", "members"])
def test_a_list_costs_the_same_queries_however_long(world: World, name: str):
    client = signed_in(world.owner)
    counts = []
    for _ in range(2):
        with CaptureQueriesContext(
            connection,
        ) as asked:
            assert client.get(reverse(name)).status_code == 200
        counts.append(len(asked))
        for n in range(8):
            user = User.objects.create_user(f"{uuid4()}@example.org")
            member = member_add(actor=world.owner, user=user, role="foreman", now=NOW)
            device_issue(actor=world.owner, membership=member.pk, name=f"phone {n}", now=NOW)
    assert counts[0] == counts[1]


def test_the_office_changes_a_foremans_place_and_ends_it(world: World):
    client = signed_in(world.actors["office"])
    page = reverse("member", args=[world.foreman.membership])
    shown = client.get(page).content.decode()
    assert 'value="owner"' not in shown and 'value="office"' not in shown
    assert client.post(page, {"role": "foreman", "jobs": [str(world.job)]})["Location"] == reverse("members")
    assert client.post(page, {"role": "owner"}).status_code == 403
    assert client.post(page, {"role": "foreman", "jobs": ["x"]}).status_code == 400
    end = reverse("member-end", args=[world.foreman.membership])
    assert "sees nothing" in client.get(end).content.decode()
    assert client.post(end)["Location"] == reverse("members")
    with organisation_scope(world.organisation):
        assert not Membership.objects.get(pk=world.foreman.membership).active


def test_an_owner_reads_why_the_last_one_cannot_go(world: World):
    answer = signed_in(world.owner).post(reverse("member-end", args=[world.owner.membership]))
    assert answer.status_code == 409
    assert "Make another member an owner first" in answer.content.decode()
