"""Devices by the API: listed, renamed, revoked; never made by a token; bad tokens slowed without touching good ones."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from django.db import transaction

from jobs.models import AuditRecord, Device
from jobs.services.devices import device_revoke
from jobs.tenancy import organisation_scope
from tests.api.client import Phone, expect_problem
from tests.jobs.world import World, entry_json, unit_now
from tests.support.at_once import at_once


def devices(world: World, role: str) -> list[dict]:
    return Phone(world.tokens[role]).get("/api/devices/").json()["results"]


def test_a_member_lists_his_own_and_the_office_all(world: World, other: World):
    assert [one["membership"] for one in devices(world, "foreman")] == [world.foreman.membership]
    assert len(devices(world, "office")) == 4
    (mine,) = devices(world, "worker")
    assert set(mine) == {
        "id", "membership", "name", "state", "created_at", "expires_at", "last_used_at", "revoked_at",
    }  # fmt: skip
    assert (mine["name"], mine["state"]) == ("test phone", "in force")


def test_renamed_once_and_written_down(world: World):
    (mine,) = devices(world, "foreman")
    phone = Phone(world.tokens["foreman"])
    for _ in range(2):
        answer = phone.post(f"/api/devices/{mine['id']}/rename/", {"name": "truck phone"})
        assert (answer.status_code, answer.json()["name"]) == (200, "truck phone")
    with organisation_scope(world.organisation):
        assert AuditRecord.objects.filter(action="device_rename", subject_key=str(mine["id"])).count() == 1


@pytest.mark.parametrize("name", ["", "x" * 81, 7, None])
def test_a_name_that_will_not_do_is_named(world: World, name: object):
    (mine,) = devices(world, "foreman")
    answer = Phone(world.tokens["foreman"]).post(f"/api/devices/{mine['id']}/rename/", {"name": name})
    assert set(expect_problem(answer, 400, "invalid")) == {"name"}


def test_revoked_by_its_own_member_it_is_good_no_more(world: World):
    (mine,) = devices(world, "foreman")
    phone = Phone(world.tokens["foreman"])
    assert phone.post(f"/api/devices/{mine['id']}/revoke/", {}).json()["state"] == "revoked"
    expect_problem(phone.get("/api/devices/"), 401, "not-signed-in")


@pytest.mark.parametrize("way", ["rename", "revoke"])
def test_nobody_reaches_the_device_of_another(world: World, other: World, way: str):
    (theirs,) = devices(world, "worker")
    for who in (world.tokens["foreman"], other.tokens["owner"]):
        answer = Phone(who).post(f"/api/devices/{theirs['id']}/{way}/", {"name": "mine"})
        expect_problem(answer, 404, "not-found")
    with organisation_scope(world.organisation):
        untouched = Device.objects.get(pk=theirs["id"])
        assert (untouched.name, untouched.revoked_at) == ("test phone", None)


def test_a_token_makes_no_other_token(world: World):
    answer = Phone(world.tokens["owner"]).post("/api/devices/", {"name": "spare"})
    expect_problem(answer, 405, "method")


def test_guessed_tokens_are_slowed_and_good_ones_beside_them_are_not(world: World):
    seen = [Phone(f"guess-{n}").get("/api/jobs/") for n in range(32)]
    assert [answer.status_code for answer in seen] == [401] * 30 + [429] * 2
    expect_problem(seen[-1], 429, "too-many")
    assert 0 < int(seen[-1]["Retry-After"]) <= 10
    # From the same network, at the same moment.
    assert Phone(world.tokens["foreman"]).get("/api/jobs/").status_code == 200


def test_a_phone_revoked_while_its_batch_is_under_way_sent_all_of_it_or_nothing(committed_world: World):
    world, phone = committed_world, Phone(committed_world.tokens["foreman"])
    items = [entry_json(world, world.unit("A", "TRACK"), "0.01") for _ in range(500)]
    with transaction.atomic(), organisation_scope(world.organisation):
        device = Device.objects.get(membership=world.foreman.membership).pk

    def send() -> int:
        return phone.post("/api/entries/batch/", {"entries": items}).status_code

    def revoke() -> int:
        device_revoke(actor=world.owner, device=device, now=datetime.now(UTC))
        return 0

    status, _ = at_once(lambda step: step(), [send, revoke])
    assert status in {200, 401}
    assert unit_now(world, world.unit("A", "TRACK")).done == (5 if status == 200 else 0)
    # Whatever was under way: from now on the phone is out, also with what it sent before.
    expect_problem(phone.post("/api/entries/batch/", {"entries": items}), 401, "not-signed-in")
