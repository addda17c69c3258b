"""The entry's page takes photos and shows them; the form sent twice adds one."""

from __future__ import annotations

import re
from uuid import UUID, uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from jobs.models import EntryPhoto
from jobs.models.photos import MOST_PHOTOS
from jobs.services.entries import entry_log
from jobs.tenancy import organisation_scope
from tests.jobs.world import World, entry
from tests.pages.conftest import signed_in
from tests.support.camera import shot


@pytest.fixture
def logged(world: World) -> UUID:
    request = entry(world, world.unit("A", "TRACK"), "10")
    return entry_log(actor=world.foreman, request=request, now=timezone.now()).uuid


def send(client: Client, about: UUID, source: bytes | None, uuid: str = "") -> HttpResponse:
    sent = {"uuid": uuid or str(uuid4())}
    file = {} if source is None else {"photo": SimpleUploadedFile("IMG_0001.JPG", source, "image/jpeg")}
    return client.post(reverse("entry", args=[about]), sent | file)


def photos(world: World) -> list[EntryPhoto]:
    with organisation_scope(world.organisation):
        return list(EntryPhoto.objects.order_by("pk"))


def test_the_form_sent_twice_adds_one_and_shows_it(world: World, logged: UUID):
    client = signed_in(world.foreman)
    address = reverse("entry", args=[logged])
    [form] = re.findall(r'name="uuid" value="([^"]+)"', client.get(address).content.decode())
    for _ in range(2):
        answer = send(client, logged, shot(), form)
        assert (answer.status_code, answer["Location"]) == (302, f"{address}#photos")
    [kept] = photos(world)
    shown = reverse("photo", args=[kept.uuid])
    assert f'<img src="{shown}"' in client.get(address).content.decode()
    image = client.get(shown)
    assert (image["Content-Type"], image.content) == ("image/jpeg", bytes(kept.image))
    # Another file in the same form, as after going back, is another photo.
    send(client, logged, shot((50, 50)), form)
    assert len(photos(world)) == 2


@pytest.mark.parametrize(
    ("source", "sentence"),
    [(None, "No photo was chosen."), (b"text", "no photo that can be read"), (bytes(10_000_001), "are the most")],
    ids=["none", "text", "large"],
)
def test_what_is_refused_is_said(world: World, logged: UUID, source: bytes | None, sentence: str):
    answer = send(signed_in(world.foreman), logged, source)
    assert answer.status_code == 400
    assert sentence in answer.content.decode()
    assert photos(world) == []


def test_a_form_without_its_number_is_asked_again(world: World, logged: UUID):
    answer = send(signed_in(world.foreman), logged, shot(), "cut")
    assert "Send it again" in answer.content.decode()


def test_a_full_entry_has_no_form(world: World, logged: UUID):
    client = signed_in(world.foreman)
    for _ in range(MOST_PHOTOS):
        send(client, logged, shot())
    assert 'type="file"' not in client.get(reverse("entry", args=[logged])).content.decode()
    assert "6 are the most" in send(client, logged, shot()).content.decode()


def test_a_worker_sees_those_of_his_entries_and_adds_none(world: World, other: World, logged: UUID):
    send(signed_in(world.foreman), logged, shot())
    [kept] = photos(world)
    worker, address = signed_in(world.actors["worker"]), reverse("photo", args=[kept.uuid])
    page = worker.get(reverse("entry", args=[logged])).content.decode()
    assert address in page and 'type="file"' not in page
    assert worker.get(address).status_code == 200
    assert send(worker, logged, shot()).status_code == 403
    assert signed_in(other.owner).get(address).status_code == 404
