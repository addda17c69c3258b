"""Photos by the API: in base64, told back, listed with their entry, refused with a path."""

from __future__ import annotations

import json
from base64 import b64decode, b64encode
from hashlib import sha256
from typing import Any
from uuid import uuid4

import pytest

from jobs.pictures import MOST_BYTES
from tests.api.client import Phone, expect_problem
from tests.jobs.world import NOW, World, entry_json
from tests.support.camera import shot


@pytest.fixture
def phone(world: World) -> Phone:
    return Phone(world.tokens["foreman"])


@pytest.fixture
def address(world: World, phone: Phone) -> str:
    body = entry_json(world, world.unit("A", "TRACK"), "10")
    assert phone.post("/api/entries/", body).status_code == 201
    return f"/api/entries/{body['uuid']}/photos/"


def photo_json(source: bytes, **changes: Any) -> dict[str, Any]:
    told = {"uuid": str(uuid4()), "photo": b64encode(source).decode(), "made_at": NOW.isoformat()}
    return told | changes


def test_a_photo_is_received_told_back_and_listed(world: World, phone: Phone, address: str):
    body = photo_json(shot())
    answer = phone.post(address, body)
    assert answer.status_code == 201, answer.content
    told = answer.json()
    assert (told["uuid"], told["width"], told["height"]) == (body["uuid"], 400, 200)
    assert phone.post(address, body).content == answer.content
    assert phone.get(address).json() == {"photos": [told]}
    whole = phone.get(f"/api/photos/{body['uuid']}/").json()
    image = b64decode(whole.pop("photo"))
    assert whole == told
    assert sha256(image).hexdigest() == told["sha256"]
    assert Phone(world.tokens["worker"]).get(address).json() == {"photos": [told]}


def test_what_is_wrong_has_a_path(phone: Phone, address: str):
    wrong = expect_problem(phone.post(address, photo_json(b"", photo="/// no base64", note="here")), 400, "invalid")
    assert set(wrong) == {"photo", "note"}
    assert set(expect_problem(phone.post(address, {}), 400, "invalid")) == {"uuid", "photo", "made_at"}
    assert set(expect_problem(phone.post(address, photo_json(b"no photo")), 400, "invalid")) == {"photo"}
    expect_problem(phone.post(f"/api/entries/{uuid4()}/photos/", photo_json(shot())), 404, "not-found")
    expect_problem(phone.get(f"/api/photos/{uuid4()}/"), 404, "not-found")


def test_the_largest_file_fits_and_a_larger_body_is_refused_unread(phone: Phone, address: str):
    # JPEG readers stop at the end of the image (ITU-T T.81, B.1.1.3, EOI); what follows is padding here.
    largest = shot() + bytes(MOST_BYTES - len(shot()))
    assert phone.post(address, photo_json(largest)).status_code == 201
    expect_problem(phone.post(address, json.dumps(photo_json(largest, note="n" * 20_000))), 413, "too-large")


def test_a_worker_adds_none(world: World, address: str):
    expect_problem(Phone(world.tokens["worker"]).post(address, photo_json(shot())), 403, "not-allowed")
