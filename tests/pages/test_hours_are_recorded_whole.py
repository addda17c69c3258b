"""The hours form: all of it, or nothing; sent twice it is recorded once."""

from __future__ import annotations

import re
from uuid import uuid4

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse

from jobs.models import Hours
from jobs.tenancy import organisation_scope
from tests.jobs.world import World
from tests.pages.conftest import signed_in


@pytest.fixture
def foreman(world: World) -> Client:
    return signed_in(world.foreman)


def numbers(client: Client, world: World) -> dict[str, str]:
    text = client.get(reverse("hours", args=[world.job])).content.decode()
    return dict(re.findall(r'name="(uuid-\d+)" value="([^"]+)"', text)) | {"worked_on": "2026-11-19", "kind": "piece"}


def recorded(world: World) -> dict[int, int]:
    with transaction.atomic(), organisation_scope(world.organisation):
        return dict(Hours.objects.values_list("person_id", "minutes"))


def test_hours_of_several_people_once(world: World, foreman: Client) -> None:
    one, two = world.people[:2]
    sent = numbers(foreman, world) | {f"hours-{one}": "7:30", f"hours-{two}": "8"}
    address = reverse("hours", args=[world.job])
    for _ in range(2):
        answer = foreman.post(address, sent)
        assert answer["Location"] == reverse("day", args=[world.job, "2026-11-19"]) + "?recorded"
    assert recorded(world) == {one: 450, two: 480}
    day = foreman.get(answer["Location"]).content.decode()
    # derived: 7:30 + 8:00
    assert "7:30" in day and "15:30" in day


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("25", "cannot have 25:00 h on 2026-11-19: that day has 24:00 h. Check the hours."),
        ("lots", "“lots” is no time. Write hours such as 8, 7.5 or 7:30."),
        ("0.333", "Write whole minutes"),
        ("0", "is no time worked"),
    ],
)
def test_one_wrong_line_stores_none(world: World, foreman: Client, typed: str, sentence: str) -> None:
    one, two = world.people[:2]
    sent = numbers(foreman, world) | {f"hours-{one}": "8", f"hours-{two}": typed}
    answer = foreman.post(reverse("hours", args=[world.job]), sent)
    text = answer.content.decode()
    assert answer.status_code == 400
    assert sentence in text
    assert f'value="{typed}"' in text
    assert recorded(world) == {}


def test_other_hours_under_the_same_number_are_refused(world: World, foreman: Client) -> None:
    person = world.people[0]
    sent = numbers(foreman, world) | {f"hours-{person}": "8"}
    foreman.post(reverse("hours", args=[world.job]), sent)
    answer = foreman.post(reverse("hours", args=[world.job]), sent | {f"hours-{person}": "9"})
    assert answer.status_code == 400
    assert "was recorded before with other hours" in answer.content.decode()
    assert recorded(world) == {person: 480}


def test_an_empty_form_says_so(world: World, foreman: Client) -> None:
    answer = foreman.post(reverse("hours", args=[world.job]), numbers(foreman, world))
    assert "No hours were given" in answer.content.decode()


def test_a_correction_takes_the_place_of_the_hours(world: World, foreman: Client) -> None:
    person = world.people[0]
    foreman.post(reverse("hours", args=[world.job]), numbers(foreman, world) | {f"hours-{person}": "8"})
    with transaction.atomic(), organisation_scope(world.organisation):
        first = Hours.objects.get()
    address = reverse("correct-hours", args=[first.uuid])
    shown = foreman.get(address).content.decode()
    assert 'value="8:00"' in shown
    number = dict(re.findall(r'name="(uuid-\d+)" value="([^"]+)"', shown))
    sent = number | {"worked_on": "2026-11-19", "kind": "waiting", f"hours-{person}": "6:30"}
    assert foreman.post(address, sent).status_code == 302
    with transaction.atomic(), organisation_scope(world.organisation):
        second = Hours.objects.get(replaces=first)
    assert (second.minutes, second.kind) == (390, "waiting")
    day = foreman.get(reverse("day", args=[world.job, "2026-11-19"])).content.decode()
    assert "6:30" in day and "8:00" not in day
    again = foreman.post(address, sent | {f"uuid-{person}": str(uuid4()), f"hours-{person}": "7"})
    assert "corrected already" in again.content.decode()
    assert "These hours were corrected already" in foreman.get(address).content.decode()


def test_hours_of_another_organisation_are_not_there(world: World, other: World, foreman: Client) -> None:
    person = world.people[0]
    foreman.post(reverse("hours", args=[world.job]), numbers(foreman, world) | {f"hours-{person}": "8"})
    with transaction.atomic(), organisation_scope(world.organisation):
        first = Hours.objects.get()
    assert signed_in(other.owner).get(reverse("correct-hours", args=[first.uuid])).status_code == 404


def test_all_that_is_wrong_is_told_at_once_with_each_name_once(world: World, foreman: Client) -> None:
    one, two = world.people[:2]
    sent = numbers(foreman, world) | {f"hours-{one}": "25", f"hours-{two}": "x"}
    text = foreman.post(reverse("hours", args=[world.job]), sent).content.decode()
    assert f'<a href="#hours{one}">Person 1 cannot have 25:00 h on 2026-11-19' in text
    assert f'<a href="#hours{two}">Person 2: “x” is no time.' in text
    assert recorded(world) == {}


def test_hours_of_the_day_stand_beside_the_box_and_are_not_added_to_unseen(world: World, foreman: Client) -> None:
    person = world.people[0]
    address = reverse("hours", args=[world.job])
    assert foreman.post(address, numbers(foreman, world) | {f"hours-{person}": "8"}).status_code == 302
    # Another form, made while another day was shown, with the same hours again.
    again = numbers(foreman, world) | {f"hours-{person}": "8", "shown": "2026-11-20"}
    answer = foreman.post(address, again)
    text = answer.content.decode()
    assert answer.status_code == 400
    assert "Person 1 has 8:00 h on Thu 19 Nov 2026 already. Send again only if these are more." in text
    assert "8:00 h stand on 2026-11-19 already" in text
    assert recorded(world) == {person: 480}
    # Seen now, he says that they are more.
    assert foreman.post(address, again | {"shown": "2026-11-19"}).status_code == 302
    with transaction.atomic(), organisation_scope(world.organisation):
        assert sorted(Hours.objects.values_list("minutes", flat=True)) == [480, 480]
