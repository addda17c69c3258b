"""A proposed list over closed weeks, and the labour of a new plan: figures from records, and no record touched."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import datetime
from decimal import Decimal
from fractions import Fraction
from html import unescape
from typing import Any

import pytest
from django.apps import apps
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.test import Client
from django.urls import reverse

from jobs.models import Operation, WorkUnit
from jobs.tenancy import Record, organisation_scope
from payroll.models import Statement
from payroll.selectors.bid import BidSheet, bid_sheet
from payroll.selectors.what_if import WhatIfSheet, what_if_sheet
from tests.jobs.world import World, plan_bytes
from tests.pages.conftest import signed_in
from tests.pages.paid_week import AFTER, FIRST_DAY, RATES, PaidWeek

SPAN = {"first": FIRST_DAY.isoformat(), "last": FIRST_DAY.isoformat()}


@pytest.fixture
def client(world: World, paid: PaidWeek, clock: Callable[[datetime], None]) -> Client:
    clock(AFTER)
    return signed_in(world.actors["office"])


def text_of(answer: Any) -> str:
    return unescape(re.sub(r"\s+", " ", answer.content.decode()))


def try_list(world: World, text: str) -> WhatIfSheet:
    with transaction.atomic(), organisation_scope(world.organisation):
        return what_if_sheet(text=text, first=FIRST_DAY, last=FIRST_DAY)


def try_plan(world: World, own: str = "") -> BidSheet:
    with transaction.atomic(), organisation_scope(world.organisation):
        return bid_sheet(
            source=plan_bytes(),
            source_name="room.json",
            area_sqft=Decimal(200),
            first=FIRST_DAY,
            last=FIRST_DAY,
            on=AFTER.date(),
            rules="us-federal",
            own=own,
        )


def gross(world: World) -> Decimal:
    with transaction.atomic(), organisation_scope(world.organisation):
        return sum((one.gross for one in Statement.objects.all()), Decimal(0))


def all_rows(world: World) -> dict[str, int]:
    with transaction.atomic(), organisation_scope(world.organisation):
        models = [model for model in apps.get_models() if issubclass(model, Record)]
        return {model.__name__: model.objects.count() for model in models}


def test_a_list_that_changes_nothing_comes_to_what_was_paid(world: World, paid: PaidWeek) -> None:
    text = "operation,amount\n" + "".join(f"{code},{amount}\n" for code, amount in RATES.items())
    answer = try_list(world, text).answer
    assert answer.now == answer.proposed == gross(world)
    assert [one.operation for one in answer.unused] == ["frame opening"]


def test_a_dearer_list_costs_its_pieces_at_the_new_price(world: World, paid: PaidWeek) -> None:
    # Derived: 8 h each, so no overtime, and now topped up to the minimum wage; at 5.00 a square foot no more.
    with transaction.atomic(), organisation_scope(world.organisation):
        parts = {"BOARD": "left", "TRACK": "", "STUDS": ""}
        done = {code: WorkUnit.objects.get(pk=world.unit("A", code, part)).done for code, part in parts.items()}
    answer = try_list(world, "operation,amount\nBOARD,5.00\n").answer
    pieces = sum(Fraction(quantity) * Fraction({**RATES, "BOARD": "5.00"}[code]) for code, quantity in done.items())
    assert abs(Fraction(answer.proposed) - pieces) <= Fraction(3 * len(world.people), 200)
    assert answer.now == gross(world)
    assert len(answer.gain) == len(world.people)
    assert answer.lose == ()
    # Only where 0.50 was the price, which was nowhere.
    assert try_list(world, "operation,amount,instead_of\nBOARD,5.00,0.50\n").answer.difference == 0
    # And only on its job.
    assert try_list(world, "operation,amount,job\nBOARD,5.00,HSC\n").answer.difference == answer.difference


def test_a_floor_that_would_bite_is_shown(world: World, client: Client) -> None:
    # 29 USC 206: 7.25 x 8 h = 58.00 a person is the least of a day.
    text = "operation,amount\nBOARD,0.01\nTRACK,0.01\nSTUDS,0.01\n"
    answer = try_list(world, text).answer
    assert {bite.code for bite in answer.floors} == {"minimum-wage"}
    assert all(one.proposed == Decimal("58.00") for one in answer.changes)
    page = text_of(client.post(reverse("what-if"), {"text": text, **SPAN}))
    assert "Where a floor tops pay up" in page
    assert "Person 1 (001)" in page
    assert "5 week" not in page


def test_trying_touches_no_record(world: World, client: Client) -> None:
    before = all_rows(world)
    assert client.post(reverse("what-if"), {"text": "operation,amount\nBOARD,1.00\n", **SPAN}).status_code == 200
    plan = SimpleUploadedFile("room.json", plan_bytes())
    assert client.post(reverse("bid"), {"plan": plan, "area": "200", "rules": "us-federal", **SPAN}).status_code in {
        200,
        400,
    }
    assert all_rows(world) == before


def test_the_form_begins_with_todays_prices(client: Client) -> None:
    page = client.get(reverse("what-if")).content.decode()
    assert "operation,amount\nTRACK,2.30\nSTUDS,9.40\nOPENING,92.00\nBOARD,0.96\n" in page
    given = client.get(reverse("what-if"), {"text": "operation,amount\nBOARD,<1>\n"}).content.decode()
    assert "BOARD,&lt;1&gt;\n" in given


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "row 1: column 'operation' is missing"),
        ("operation,amount\n", "the list has no rows"),
        ("operation,amount\nNAILS,1\n", "operation 'NAILS' was not found"),
        ("operation,amount\nBOARD,0\n", "0 is not above zero"),
        ("operation,amount\nBOARD,1e3\n", "'1e3' is no number"),
        ("operation,amount,job\nBOARD,1,XX\n", "job 'XX' was not found"),
        ("operation,amount\nBOARD,1\nBOARD,2\n", "BOARD stands twice"),
    ],
)
def test_a_list_that_cannot_be_read_is_said_by_row(client: Client, text: str, words: str) -> None:
    answer = client.post(reverse("what-if"), {"text": text, **SPAN})
    assert answer.status_code == 400
    assert words.lower() in text_of(answer).lower()


def test_weeks_that_are_not_closed_are_refused(client: Client) -> None:
    text = "operation,amount\nBOARD,1.00\n"
    answer = client.post(reverse("what-if"), {"text": text, "first": "2026-01-05", "last": "2026-01-05"})
    assert "no closed week begins from 2026-01-05 to 2026-01-05" in text_of(answer).lower()
    assert client.post(reverse("what-if"), {"text": text, "first": "x", "last": ""}).status_code == 400


OWN = "operation,amount,units_an_hour\nOPENING,,1.5\nBEAD,1.85,30\nTAPE4,0.38,60\n"


def test_a_bid_is_the_plans_quantities_at_the_list_and_the_pace(world: World, paid: PaidWeek) -> None:
    sheet = try_plan(world, OWN)
    lines = {line.operation: line for line in sheet.lines}
    with transaction.atomic(), organisation_scope(world.organisation):
        measured: dict[str, Fraction] = {}
        for unit in WorkUnit.objects.select_related("operation"):
            measured[unit.operation.name] = measured.get(unit.operation.name, Fraction(0)) + Fraction(unit.measured)
        done = WorkUnit.objects.get(pk=world.unit("A", "BOARD", "left"))
        track = WorkUnit.objects.get(pk=world.unit("A", "TRACK"))
        studs = WorkUnit.objects.get(pk=world.unit("A", "STUDS"))
    # The very plan that the world was made of: the same quantities as its work units.
    assert {name: line.quantity for name, line in lines.items()} == measured
    board = lines["hang board"]
    # Derived: 5 people of 8 h, shared by what the pieces earned.
    earned = {"BOARD": Fraction(done.done), "TRACK": Fraction(track.done), "STUDS": Fraction(studs.done)}
    worth = {code: quantity * Fraction(RATES[code]) for code, quantity in earned.items()}
    hours = 40 * worth["BOARD"] / sum(worth.values())
    assert abs(board.pace - earned["BOARD"] / hours) < Fraction(1, 100)
    assert board.spread is not None
    assert (board.spread.weeks, board.spread.people, board.spread.thin) == (5, 5, True)
    assert any("hang board: thin history, 5 weeks of 5 people" in one for one in sheet.cautions)
    assert "taxes, insurance" in sheet.cautions[0]
    assert lines["frame opening"].own_pace
    assert lines["tape, level 4"].price == Decimal("0.38")
    assert sheet.bid.cost == sum(line.cost for line in sheet.lines)
    assert sheet.bid.per_sqft == Fraction(sheet.bid.cost) / 200
    assert sheet.low_per_sqft <= sheet.high_per_sqft


def test_the_name_of_a_plan_is_told_as_it_is(client: Client) -> None:
    plan = SimpleUploadedFile("p1.json", b"{")
    page = text_of(client.post(reverse("bid"), {"plan": plan, "area": "200", "rules": "us-federal", **SPAN}))
    assert "<li>p1.json" in page


def test_all_that_is_missing_for_a_bid_is_said(world: World, client: Client) -> None:
    plan = SimpleUploadedFile("room.json", plan_bytes())
    page = text_of(client.post(reverse("bid"), {"plan": plan, "area": "200", "rules": "us-federal", **SPAN}))
    assert "Frame opening, each: no past week shows a pace for it. Write its pace in units an hour below" in page
    assert "such as OPENING,,60." in page
    with transaction.atomic(), organisation_scope(world.organisation):
        assert Operation.objects.count()
    page = text_of(client.post(reverse("bid"), {"area": "0", "rules": "us-ohio", "first": "x", "last": "y"}))
    for words in ("No plan was given", "“0” is no floor area", "“us-ohio” is no rule set", "is no day"):
        assert words in page
    bad = SimpleUploadedFile("room.json", b"{}")
    assert client.post(reverse("bid"), {"plan": bad, "area": "9", "rules": "us-federal", **SPAN}).status_code == 400
    # What is wrong with the plan is told beside what is wrong with the form.
    bad = SimpleUploadedFile("room.json", b"{}")
    page = text_of(client.post(reverse("bid"), {"plan": bad, "area": "", "rules": "us-federal", **SPAN}))
    assert "“” is no floor area" in page
    assert "room.json" in page


def test_a_bid_is_shown_with_its_spread_and_cautions(client: Client) -> None:
    plan = SimpleUploadedFile("room.json", plan_bytes())
    form = {"plan": plan, "area": "200", "rules": "us-federal", "own": OWN, **SPAN}
    answer = client.post(reverse("bid"), form)
    page = text_of(answer)
    assert answer.status_code == 200
    for words in ("Labour per sq ft of floor", "Middle half of past weeks", "Before you lean on it", "(thin)", "Slow"):
        assert words in page
