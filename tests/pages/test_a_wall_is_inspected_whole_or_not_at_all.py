"""The inspection form of a wall: accept, or reopen with a reason; sent twice it records once; the wall shows it."""

from __future__ import annotations

import re

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse

from jobs.models import Inspection, Wall
from jobs.tenancy import organisation_scope
from tests.jobs.world import World, unit_now
from tests.pages.conftest import signed_in


@pytest.fixture
def address(world: World) -> str:
    with transaction.atomic(), organisation_scope(world.organisation):
        return reverse("inspect", args=[world.job, Wall.objects.get(mark="A").pk])


@pytest.fixture
def foreman(world: World) -> Client:
    return signed_in(world.foreman)


def numbers(client: Client, address: str) -> dict[str, str]:
    return dict(re.findall(r'name="(uuid-\d+)" value="([^"]+)"', client.get(address).content.decode()))


def verdicts(world: World) -> list[str]:
    with transaction.atomic(), organisation_scope(world.organisation):
        return list(Inspection.objects.order_by("pk").values_list("verdict", flat=True))


def test_verdicts_are_recorded_once_and_shown_on_the_wall(world: World, foreman: Client, address: str) -> None:
    track, studs = world.unit("A", "TRACK"), world.unit("A", "STUDS")
    sent = numbers(foreman, address) | {
        f"verdict-{track}": "accepted",
        f"verdict-{studs}": "reopened",
        f"reason-{studs}": "a stud stands out of plumb",
    }
    first, second = foreman.post(address, sent), foreman.post(address, sent)
    assert first.status_code == second.status_code == 302
    assert sorted(verdicts(world)) == ["accepted", "reopened"]
    assert unit_now(world, studs).done == 0
    text = foreman.get(first["Location"]).content.decode()
    assert "accepted" in text
    assert "reopened" in text
    assert "a stud stands out of plumb" in text


@pytest.mark.parametrize("reason", ["", "   "])
def test_without_a_reason_nothing_of_the_form_is_kept(world: World, foreman: Client, address: str, reason: str) -> None:
    track, studs = world.unit("A", "TRACK"), world.unit("A", "STUDS")
    sent = numbers(foreman, address) | {
        f"verdict-{track}": "accepted", f"verdict-{studs}": "reopened", f"reason-{studs}": reason,
    }  # fmt: skip
    answer = foreman.post(address, sent)
    assert answer.status_code == 400
    assert "Say what is to be mended" in answer.content.decode()
    assert verdicts(world) == []


def test_a_form_without_a_verdict_says_so(world: World, foreman: Client, address: str) -> None:
    answer = foreman.post(address, numbers(foreman, address))
    assert answer.status_code == 400
    assert "No verdict was chosen" in answer.content.decode()
