"""Tokens, methods and addresses: every refusal at the door is a problem document that tells nothing."""

from __future__ import annotations

import json
from base64 import b64encode
from datetime import UTC, datetime

import pytest
from django.test import Client

from jobs.api.problems import KINDS
from jobs.api.reading import LARGEST
from jobs.models import Device, Entry, Membership, User
from jobs.services.devices import device_revoke
from jobs.tenancy import organisation_scope
from tests.api.client import Phone, expect_problem
from tests.jobs.world import World, entry_json


@pytest.mark.parametrize("header", [None, "nonsense", ""])
def test_without_a_valid_token_nobody_is_let_in(world: World, header: str | None):
    answer = Phone(header).get("/api/jobs/")
    expect_problem(answer, 401, "not-signed-in")
    assert answer["WWW-Authenticate"] == "Token"


def test_a_revoked_token_and_one_never_made_are_refused_alike(world: World):
    with organisation_scope(world.organisation):
        device = Device.objects.get(membership=world.foreman.membership)
    device_revoke(actor=world.owner, device=device.pk, now=datetime.now(UTC))
    revoked = Phone(world.tokens["foreman"]).get("/api/jobs/")
    expect_problem(revoked, 401, "not-signed-in")
    assert revoked.content == Phone("never-made").get("/api/jobs/").content


def test_an_inactive_member_is_out_at_once(world: World):
    with organisation_scope(world.organisation):
        Membership.objects.filter(pk=world.foreman.membership).update(active=False)
    expect_problem(Phone(world.tokens["foreman"]).post("/api/entries/", {}), 401, "not-signed-in")


def test_the_use_of_a_device_is_noted(world: World):
    Phone(world.tokens["foreman"]).get("/api/jobs/")
    with organisation_scope(world.organisation):
        assert Device.objects.get(membership=world.foreman.membership).last_used_at is not None
        assert Device.objects.get(membership=world.owner.membership).last_used_at is None


def test_a_worker_may_not_log(world: World):
    answer = Phone(world.tokens["worker"]).post("/api/entries/", entry_json(world, world.unit("A", "TRACK"), "1"))
    expect_problem(answer, 403, "not-allowed")


@pytest.mark.parametrize("method", ["PUT", "PATCH", "DELETE", "OPTIONS", "TRACE"])
def test_other_methods_are_not_served(world: World, method: str):
    answer = Phone(world.tokens["foreman"]).call(method, "/api/entries/")
    expect_problem(answer, 405, "method")
    assert answer["Allow"] == "GET, POST, HEAD"


@pytest.mark.parametrize("method", ["GET", "POST", "PUT", "PATCH", "DELETE"])
def test_an_address_that_is_none_is_a_problem_document_too(world: World, method: str):
    expect_problem(Phone(world.tokens["foreman"]).call(method, "/api/nothing/here/"), 404, "not-found")


def test_only_json_is_read_and_given(world: World):
    phone = Phone(world.tokens["foreman"])
    answer = phone._client.post("/api/entries/", "a=1", "application/x-www-form-urlencoded", headers=phone._headers)
    expect_problem(answer, 415, "media-type")
    answer = phone._client.get("/api/jobs/", headers=phone._headers | {"Accept": "text/html"})
    expect_problem(answer, 406, "accept")


@pytest.mark.parametrize("opening", ["[", '{"a":'])
def test_json_nested_past_all_reason_is_refused(world: World, opening: str):
    answer = Phone(world.tokens["foreman"]).post("/api/entries/", opening * 100_000)
    assert "nested" in expect_problem(answer, 400, "unreadable")[""]


@pytest.mark.parametrize("size", [LARGEST, 2 * LARGEST])
def test_a_body_larger_than_any_request_needs_is_refused(world: World, size: int):
    answer = Phone(world.tokens["foreman"]).post("/api/entries/batch/", '{"entries": ["' + "x" * size + '"]}')
    expect_problem(answer, 413, "too-large")


@pytest.mark.parametrize("position", ["p=abc", "p=%00", "p=" + "9" * 40, "o=-1", "p=1&r=1", ""])
def test_a_cursor_of_one_s_own_making_breaks_nothing(world: World, position: str):
    cursor = b64encode(position.encode()).decode()
    answer = Phone(world.tokens["foreman"]).get("/api/jobs/", cursor=cursor)
    if position == "p=abc":
        expect_problem(answer, 404, "not-found")
    assert answer.status_code in {200, 404}


@pytest.mark.parametrize("kind", KINDS)
def test_the_type_of_a_problem_is_an_address_that_explains_it(db: None, kind: str):
    answer = Phone(None).get(f"/api/problems/{kind}/")
    assert answer.json()["meaning"]
    expect_problem(Phone(None).get("/api/problems/never/"), 404, "not-found")


def test_the_session_of_a_page_may_sync_and_ask_for_changes_and_nothing_else(world: World):
    client = Client(enforce_csrf_checks=True)
    client.force_login(User.objects.get(pk=world.foreman.user))
    mine = {"X-Member": str(world.foreman.membership)}
    assert client.get("/api/changes/", headers=mine).status_code == 200
    assert client.get("/api/jobs/", headers=mine).status_code == 401
    # Without the proof that a page of ours sends it, nothing is received.
    sent = {"data": '{"operations": []}', "content_type": "application/json"}
    assert client.post("/api/sync/", **sent, headers=mine).status_code == 403
    client.get("/")
    token = client.cookies["csrftoken"].value
    answer = client.post("/api/sync/", **sent, headers=mine | {"X-CSRFToken": token})
    assert (answer.status_code, answer.json()) == (200, {"operations": []})


@pytest.mark.parametrize("whose", ["office", "nobody", None])
def test_a_page_of_another_member_neither_sends_nor_asks_in_this_session(world: World, whose: str | None):
    client = Client()
    client.force_login(User.objects.get(pk=world.foreman.user))
    member = str(world.actors[whose].membership) if whose in world.actors else whose
    headers = {} if member is None else {"X-Member": member}
    sent = entry_json(world, world.unit("A", "TRACK"), "1")
    body = json.dumps({"operations": [{"entry": sent}]})
    expect_problem(client.post("/api/sync/", body, "application/json", headers=headers), 401, "not-signed-in")
    expect_problem(client.get("/api/changes/", headers=headers), 401, "not-signed-in")
    with organisation_scope(world.organisation):
        assert not Entry.objects.filter(uuid=sent["uuid"]).exists()
