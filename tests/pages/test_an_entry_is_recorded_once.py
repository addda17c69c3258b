"""The entry form: sent twice it records once; what is refused is said in a sentence and what was typed is kept."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse

from jobs.models import Entry, EntryShare, Person, WorkUnit
from jobs.tenancy import organisation_scope
from tests.jobs.world import World, unit_now
from tests.pages.conftest import signed_in


def form_of(client: Client, address: str) -> dict[str, Any]:
    """The fields of the form as a browser would send them untouched."""
    text = client.get(address).content.decode()
    hidden = dict(re.findall(r'<input type="hidden" name="(uuid)" value="([^"]+)">', text))
    chosen = re.findall(r'<input type="radio" name="(\w+)" id="[^"]+" value="([^"]+)" checked>', text)
    dated = re.findall(r'name="(worked_on)" value="([^"]+)"', text)
    return {**hidden, **dict(chosen), **dict(dated)}


def entries(world: World) -> list[Entry]:
    with transaction.atomic(), organisation_scope(world.organisation):
        return list(Entry.objects.order_by("pk"))


@pytest.fixture
def unit(world: World) -> int:
    return world.unit("A", "BOARD", "left")


@pytest.fixture
def address(unit: int) -> str:
    return reverse("log-entry", args=[unit])


@pytest.fixture
def foreman(world: World) -> Client:
    return signed_in(world.foreman)


def test_untouched_it_records_all_that_is_left_by_the_crew_today(world: World, foreman: Client, address: str) -> None:
    unit = world.unit("A", "BOARD", "left")
    answer = foreman.post(address, form_of(foreman, address))
    [entry] = entries(world)
    assert answer.status_code == 302
    assert answer["Location"] == reverse("entry", args=[entry.uuid]) + "?recorded"
    assert entry.quantity == unit_now(world, unit).measured == unit_now(world, unit).done
    assert entry.worked_on.isoformat() == "2026-11-20"
    with transaction.atomic(), organisation_scope(world.organisation):
        shares = EntryShare.objects.filter(entry=entry)
        assert {share.person_id for share in shares} == set(world.people)
        assert sum(share.quantity for share in shares) == entry.quantity


def test_sent_twice_it_is_one_entry_and_the_same_answer(world: World, foreman: Client, address: str) -> None:
    sent = form_of(foreman, address)
    first, second = foreman.post(address, sent), foreman.post(address, sent)
    assert len(entries(world)) == 1
    assert first["Location"] == second["Location"]
    told = foreman.get(second["Location"]).content.decode()
    assert "Recorded:" in told


def test_each_form_has_a_number_of_its_own(foreman: Client, address: str) -> None:
    assert form_of(foreman, address)["uuid"] != form_of(foreman, address)["uuid"]


def test_the_same_form_with_other_content_is_refused_and_points_at_the_entry(
    world: World, foreman: Client, address: str
) -> None:
    sent = form_of(foreman, address) | {"how_much": "part", "quantity": "10"}
    foreman.post(address, sent)
    answer = foreman.post(address, sent | {"quantity": "12"})
    text = answer.content.decode()
    assert answer.status_code == 409
    assert [entry.quantity for entry in entries(world)] == [Decimal(10)]
    assert reverse("entry", args=[UUID(sent["uuid"])]) in text
    assert 'value="12"' in text
    assert sent["uuid"] not in re.findall(r'name="uuid" value="([^"]+)"', text)


def test_an_over_claim_is_a_sentence_with_what_is_left(world: World, foreman: Client, address: str, unit: int) -> None:
    sent = form_of(foreman, address) | {"how_much": "part", "quantity": "100000", "note": "north side first"}
    answer = foreman.post(address, sent)
    text = answer.content.decode()
    measured = f"{unit_now(world, unit).measured.normalize():f}"
    assert answer.status_code == 409
    assert f"100000 asked, {measured} left of {measured} sq ft. Claim what is left." in text
    assert 'value="100000"' in text
    assert "north side first" in text
    assert entries(world) == []


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"how_much": "part", "quantity": ""}, "No quantity was given."),
        ({"how_much": "part", "quantity": "a few"}, "“a few” is no quantity in sq ft."),
        ({"how_much": "part", "quantity": "10.123456"}, "has more than four decimals. Write 10.1235 instead."),
        ({"how_much": "part", "quantity": "0"}, "0 finishes nothing."),
        ({"worked_on": "2026-11-21"}, "2026-11-21 is after today at the job, 2026-11-20. Log work once it is done."),
        ({"worked_on": "yesterday"}, "“yesterday” is no day."),
        ({"who": "people"}, "Nobody was chosen."),
        ({"uuid": "gone"}, "The form lost its number"),
    ],
)
def test_what_cannot_be_used_is_said_and_nothing_is_stored(
    world: World, foreman: Client, address: str, typed: dict[str, str], sentence: str
) -> None:
    answer = foreman.post(address, form_of(foreman, address) | typed)
    assert answer.status_code == 400
    assert sentence in answer.content.decode()
    assert entries(world) == []


def test_a_typed_quantity_is_never_taken_for_all(world: World, foreman: Client, address: str) -> None:
    # The thumb that types a number and forgets the choice beside it: what was typed counts.
    answer = foreman.post(address, form_of(foreman, address) | {"how_much": "all", "quantity": "10"})
    assert answer.status_code == 302
    assert [entry.quantity for entry in entries(world)] == [Decimal(10)]


@pytest.mark.parametrize(
    ("typed", "quantity", "term"),
    [
        # Derived: sheets 2 and 3 of wall A's left face are 48 and 25.8125 in by 107.5 in.
        ({"how_much": "all", "step": ["2", "3"], "plan": "1"}, "55.1031", "sheets 2, 3"),
        ({"how_much": "sheets", "step": ["2"], "plan": "1"}, "35.8333", "sheets 2"),
        ({"how_much": "part", "quantity": "1", "said_in": "sheets"}, "30.3121", "1 sheets of 3"),
        # Derived: 90.9364 x 5 ft / 121.8125 in.
        ({"how_much": "part", "quantity": "5", "said_in": "feet"}, "44.7917", "5 feet"),
        ({"how_much": "part", "quantity": "5'-0\""}, "44.7917", "5 feet"),
        ({"how_much": "part", "quantity": "10 1/2"}, "10.5", ""),
    ],
)
def test_a_part_is_told_in_sheets_or_feet_and_explained(
    world: World, foreman: Client, address: str, typed: dict[str, Any], quantity: str, term: str
) -> None:
    answer = foreman.post(address, form_of(foreman, address) | typed)
    assert answer.status_code == 302
    [entry] = entries(world)
    assert entry.quantity == Decimal(quantity)
    assert term in foreman.get(answer["Location"]).content.decode()


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"how_much": "all", "quantity": "1", "step": ["2"]}, "sheets were ticked too"),
        ({"how_much": "sheets"}, "No sheet was ticked."),
        ({"how_much": "sheets", "step": ["2"], "plan": "9"}, "the newest is 1 by now"),
    ],
)
def test_a_part_told_twice_or_not_at_all_is_said(
    world: World, foreman: Client, address: str, typed: dict[str, Any], sentence: str
) -> None:
    answer = foreman.post(address, form_of(foreman, address) | typed)
    assert answer.status_code == 400
    assert sentence in answer.content.decode()
    assert entries(world) == []


def test_the_recorded_page_says_what_to_look_at(world: World, foreman: Client) -> None:
    address = reverse("log-entry", args=[world.unit("B", "BOARD", "right")])
    answer = foreman.post(address, form_of(foreman, address))
    text = foreman.get(answer["Location"]).content.decode()
    assert "ties the loose stud of wall B" in text
    assert "has no price on 2026-11-20" in text


def test_a_correction_to_all_that_is_left(world: World, foreman: Client, address: str, unit: int) -> None:
    foreman.post(address, form_of(foreman, address) | {"how_much": "part", "quantity": "30"})
    correct = reverse("correct-entry", args=[entries(world)[0].uuid])
    people = [str(person) for person in world.people]
    sent = form_of(foreman, correct) | {"how_much": "all", "quantity": "30", "person": people}
    assert foreman.post(correct, sent).status_code == 302
    now = unit_now(world, unit)
    assert now.done == now.measured


def test_people_share_by_their_parts(world: World, foreman: Client, address: str) -> None:
    one, two = world.people[:2]
    chosen = {"who": "people", "person": [str(one), str(two)], f"parts-{one}": "2", f"parts-{two}": "1"}
    sent = form_of(foreman, address) | {"how_much": "part", "quantity": "30"} | chosen
    assert foreman.post(address, sent).status_code == 302
    with transaction.atomic(), organisation_scope(world.organisation):
        assert dict(EntryShare.objects.values_list("person_id", "quantity")) == {one: Decimal(20), two: Decimal(10)}


def test_a_person_who_had_not_started_is_refused_by_name(world: World, foreman: Client, address: str) -> None:
    sent = form_of(foreman, address) | {
        "worked_on": "2026-01-02", "who": "people", "person": [str(world.people[0])],
    }  # fmt: skip
    answer = foreman.post(address, sent)
    assert answer.status_code == 400
    assert "Person 1 was not employed on 2026-01-02." in answer.content.decode()


def test_somebody_of_another_organisation_cannot_be_given_a_share(
    world: World, other: World, foreman: Client, address: str
) -> None:
    sent = form_of(foreman, address) | {"who": "people", "person": [str(other.people[0])]}
    answer = foreman.post(address, sent)
    assert answer.status_code == 400
    assert "was not found among yours" in answer.content.decode()
    assert entries(world) == []


def test_a_crew_that_is_not_his_is_no_choice(world: World, other: World, foreman: Client, address: str) -> None:
    answer = foreman.post(address, form_of(foreman, address) | {"who": f"crew {other.crew}"})
    assert answer.status_code == 400
    assert entries(world) == []


def test_feet_and_inches_are_understood(world: World, foreman: Client) -> None:
    address = reverse("log-entry", args=[world.unit("A", "TRACK")])
    sent = form_of(foreman, address) | {"how_much": "part", "quantity": "10'-1 1/2\""}
    assert foreman.post(address, sent).status_code == 302
    # derived: 10 + 1.5/12
    assert [entry.quantity for entry in entries(world)] == [Decimal("10.125")]


def test_a_correction_takes_the_place_of_the_entry(world: World, foreman: Client, address: str, unit: int) -> None:
    foreman.post(address, form_of(foreman, address) | {"how_much": "part", "quantity": "30"})
    [first] = entries(world)
    correct = reverse("correct-entry", args=[first.uuid])
    shown = foreman.get(correct).content.decode()
    assert 'value="30"' in shown
    people = [str(person) for person in world.people]
    sent = form_of(foreman, correct) | {"quantity": "20", "person": people}
    answer = foreman.post(correct, sent)
    assert answer.status_code == 302
    _, second = entries(world)
    assert second.replaces_id == first.pk
    assert unit_now(world, unit).done == Decimal(20)
    old = foreman.get(reverse("entry", args=[first.uuid])).content.decode()
    assert "was corrected and no longer counts" in old
    assert reverse("entry", args=[second.uuid]) in old
    again = foreman.post(correct, sent | {"uuid": str(uuid4()), "quantity": "10"})
    assert again.status_code == 409
    assert "was corrected already" in again.content.decode()


def test_what_is_left_on_the_wall_is_offered_next(world: World, foreman: Client, address: str) -> None:
    answer = foreman.post(address, form_of(foreman, address), follow=True)
    with transaction.atomic(), organisation_scope(world.organisation):
        wall = WorkUnit.objects.get(pk=world.unit("A", "BOARD", "left")).wall_id
        name = Person.objects.get(pk=world.people[0]).name
    text = answer.content.decode()
    assert reverse("log-unit", args=[world.job, wall]) in text
    assert name in text


def test_sheets_typed_by_number_are_those_ticked(world: World, foreman: Client, address: str) -> None:
    form = {**form_of(foreman, address), "how_much": "sheets", "sheets": "3, 1"}
    assert foreman.post(address, {**form, "sheets": "1-3"}).status_code == 400
    assert foreman.post(address, form).status_code == 302
    [entry] = entries(world)
    assert entry.said["steps"] == [1, 3]
