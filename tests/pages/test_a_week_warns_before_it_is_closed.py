"""Before closing, the office sees whose week cannot be priced and what to look at twice; after it, who was left."""

from __future__ import annotations

import html
from collections.abc import Callable
from datetime import datetime
from uuid import uuid4

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse

from jobs.models import Entry, Person
from jobs.requests import PersonAsked, SharesAsked, WordRequest
from jobs.services.entries import entry_log
from jobs.services.words import word_say
from jobs.tenancy import organisation_scope
from tests.jobs.world import DAY, NOW, World, entry
from tests.pages.conftest import signed_in
from tests.pages.paid_week import AFTER, FIRST_DAY, work_a_week


@pytest.fixture
def office(world: World, clock: Callable[[datetime], None]) -> Client:
    work_a_week(world)
    clock(AFTER)
    return signed_in(world.actors["office"])


def said(client: Client, name: str) -> str:
    return html.unescape(client.get(reverse(name, args=[FIRST_DAY])).content.decode())


def work_without_a_price(world: World) -> str:
    """Tape by one person; nobody set what it pays."""
    alone = SharesAsked(people=(PersonAsked(world.people[3]),))
    entry_log(actor=world.foreman, request=entry(world, world.unit("A", "TAPE4"), "10", shares=alone), now=NOW)
    with transaction.atomic(), organisation_scope(world.organisation):
        return Person.objects.get(pk=world.people[3]).name


def work_on_a_day_without_hours(world: World) -> None:
    request = entry(world, world.unit("B", "STUDS"), "5", worked_on=DAY.replace(day=19))
    entry_log(actor=world.foreman, request=request, now=NOW)


@pytest.mark.parametrize("page", ["week", "week-close"])
def test_a_week_that_cannot_be_priced_says_why(world: World, office: Client, page: str) -> None:
    name = work_without_a_price(world)
    shown = said(office, page)
    row = shown.split(f'<th scope="row">{name}</th>')[1].split("</tr>")[0]
    assert "not paid in this week" in row
    assert f'<a href="{reverse("price-set")}?paid_for=' in row
    assert "no rate holds for class journeyman that day. Set one that starts on or before 2026-11-18." in row


@pytest.mark.parametrize("page", ["week", "week-close"])
def test_pieces_without_hours_are_pointed_at(world: World, office: Client, page: str) -> None:
    work_on_a_day_without_hours(world)
    assert "Person 1: pieces but no hours on Thu 19 Nov 2026. Ask for the hours of those days." in said(office, page)


def test_who_was_stopped_is_named_on_the_closed_week(world: World, office: Client) -> None:
    name = work_without_a_price(world)
    refused = office.post(reverse("week-close", args=[FIRST_DAY]))
    assert refused.status_code == 409
    assert f"These people would not be paid in the week of 2026-11-16: {name}." in refused.content.decode()
    office.post(reverse("week-close", args=[FIRST_DAY]), {"not_paid": [str(world.people[3])]})
    shown = said(office, "week")
    assert "Not paid at this closing" in shown
    assert f"<h3>{name}</h3><p><strong>Not paid: this week</strong></p>" in shown
    assert "no rate holds" in shown
    statements = shown.split("Statements paid in this week")[1]
    assert name not in statements
    assert "Person 1" in statements


def test_a_dispute_leads_to_its_page_from_week_list_and_entry(world: World, office: Client) -> None:
    with transaction.atomic(), organisation_scope(world.organisation):
        about = Entry.objects.filter(shares__person=world.people[0], replaced_by__isnull=True).earliest("pk").uuid
    there = f'<a href="{reverse("disputes")}">'
    assert there not in office.get(reverse("weeks")).content.decode()
    said_of_it = WordRequest(uuid4(), about, world.people[0], "disputed", "it was twelve feet", NOW)
    word_say(actor=world.actors["worker"], request=said_of_it, now=NOW)
    assert f"{there}1 open dispute</a>" in office.get(reverse("weeks")).content.decode()
    assert f"{there}1 dispute about this week</a>" in said(office, "week")
    shown = office.get(reverse("entry", args=[about])).content.decode()
    assert "<li>Person 1: it was twelve feet</li>" in shown
    assert there in shown
    own = signed_in(world.actors["worker"]).get(reverse("entry", args=[about])).content.decode()
    assert "it was twelve feet" in own
    assert there not in own
