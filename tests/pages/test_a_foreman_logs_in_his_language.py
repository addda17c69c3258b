"""A foreman who is paid too logs work in his language: every page of the way, and every refusal of his entry."""

from __future__ import annotations

import html
from typing import Any

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse

from jobs.models import Membership, Person
from jobs.tenancy import organisation_scope
from jobs.wording import LANGUAGES, work_words
from tests.jobs.world import World
from tests.pages.conftest import signed_in
from tests.pages.test_a_worker_is_spoken_to_in_his_language import checked, spoken
from tests.pages.test_an_entry_is_recorded_once import form_of
from tests.pages.test_every_page_keeps_its_door import wall_of

OTHERS = [language for language in LANGUAGES if language != "en"]


def foreman_of(world: World, language: str) -> Client:
    with transaction.atomic(), organisation_scope(world.organisation):
        Membership.objects.filter(pk=world.foreman.membership).update(person=world.people[1])
        Person.objects.filter(pk=world.people[1]).update(language=language)
    return signed_in(world.foreman)


@pytest.mark.parametrize("language", OTHERS)
def test_from_the_wall_to_the_entry(language: str, world: World) -> None:
    client, words = foreman_of(world, language), work_words(language)
    spoken(client, reverse("log-wall", args=[world.job]), language)
    spoken(client, reverse("log-unit", args=[world.job, wall_of(world, "A")]), language)
    address = reverse("log-entry", args=[world.unit("A", "BOARD", "left")])
    page = spoken(client, address, language)
    for key in ("how_much", "part_of_it", "who_did_it", "equal_shares", "record", "sheets_by_number"):
        assert words.labels[key] in page
    recorded = client.post(address, form_of(client, address) | {"how_much": "part", "quantity": "10"}, follow=True)
    page = checked(recorded.content.decode(), language)
    assert words.label("more_on_wall", mark="A") in page
    correct = reverse("correct-entry", args=[recorded.redirect_chain[-1][0].split("/")[2]])
    assert words.labels["zero_takes_back"] in spoken(client, correct, language)


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize(
    ("typed", "english"),
    [
        ({"how_much": "part", "quantity": "100000"}, "Claim what is left"),
        ({"how_much": "part", "quantity": ""}, "No quantity"),
        ({"how_much": "part", "quantity": "12,5"}, "is no quantity"),
        ({"how_much": "part", "quantity": "10.123456"}, "four decimals"),
        ({"how_much": "part", "quantity": "0"}, "finishes nothing"),
        ({"how_much": "sheets"}, "No sheet"),
        ({"how_much": "sheets", "step": ["999"], "plan": "1"}, "none of this board"),
        ({"who": "people"}, "Nobody was chosen"),
        ({"worked_on": ""}, "No date"),
        ({"worked_on": "18.11.2026"}, "is no day"),
        ({"worked_on": "2027-01-04"}, "after today"),
        ({"worked_on": "2025-01-06"}, "not employed"),
        ({"uuid": "none"}, "lost its number"),
    ],
)
def test_what_is_refused_is_refused_in_it(language: str, world: World, typed: dict[str, Any], english: str) -> None:
    client = foreman_of(world, language)
    address = reverse("log-entry", args=[world.unit("A", "BOARD", "left")])
    answer = client.post(address, form_of(client, address) | typed)
    assert answer.status_code in {400, 409}
    page = html.unescape(checked(answer.content.decode(), language))
    assert english not in page
    assert work_words(language).labels["in_english"] not in page
