"""Pages on which the office records agreements, local minimum wages, missed breaks, pay periods and final pay."""

from __future__ import annotations

import html
import re
from collections.abc import Callable
from datetime import datetime

import pytest
from django.db import transaction
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from jobs.tenancy import organisation_scope
from payroll.law.agreements import GUARANTEE
from payroll.models import Agreement, FinalPay, LocalMinimum, MissedBreak, PayPeriod
from tests.jobs.world import World
from tests.pages.conftest import signed_in
from tests.pages.paid_week import AFTER, FIRST_DAY, work_a_week


@pytest.fixture
def office(world: World, clock: Callable[[datetime], None]) -> Client:
    clock(AFTER)
    return signed_in(world.actors["office"])


def text(answer: HttpResponse) -> str:
    return html.unescape(answer.content.decode())


def sent(office: Client, page: str, **values: object) -> HttpResponse:
    answer: HttpResponse = office.post(reverse(page), {name: str(value) for name, value in values.items()})
    return answer


def test_an_agreement_is_recorded_ended_and_withdrawn(world: World, office: Client) -> None:
    given = {
        "person": world.people[0],
        "kind": "hourly guarantee",
        "rate": "21.50",
        "guarantee_hours": "productive",
        "signed_on": "2026-11-02",
        "starts_on": "2026-11-02",
        "words": "21.50 for each hour on pieces",
    }
    wrong = sent(office, "agreements", **(given | {"rate": "much", "starts_on": ""}))
    assert wrong.status_code == 400
    assert "“much” is no amount of money. Write it as 21.50." in text(wrong)
    assert 'value="2026-11-02"' in text(wrong)
    assert sent(office, "agreements", **given).status_code == 302
    with transaction.atomic(), organisation_scope(world.organisation):
        made = Agreement.objects.get()
    assert "21.50 an hour on productive hours" in text(office.get(reverse("agreements")))
    again = sent(office, "agreements", **given)
    assert again.status_code == 400
    assert "holds from 2026-11-02 on, without an end already" in text(again)
    assert sent(office, "agreements", do="end", agreement=made.pk, ends_on="2026-11-30").status_code == 302
    with transaction.atomic(), organisation_scope(world.organisation):
        newest = Agreement.objects.order_by("-pk").first()
        assert newest is not None
        assert str(newest.ends_on) == "2026-11-30"
    assert sent(office, "agreements", do="withdraw", agreement=newest.pk).status_code == 302
    assert "withdrawn" in text(office.get(reverse("agreements")))
    assert sent(office, "agreements", do="withdraw", agreement=10**15).status_code == 400


def test_an_empty_form_names_every_field_once(office: Client) -> None:
    page = text(sent(office, "agreements", kind=GUARANTEE, do=""))
    said = re.findall(r'<li><a href="#(\w+)">([^<]*)</a></li>', page)
    assert [(name, sentence.partition(":")[0]) for name, sentence in said][:4] == [
        ("person", "Person"),
        ("signed_on", "Signed on"),
        ("starts_on", "Holds from"),
        ("rate", "Guaranteed money an hour"),
    ]
    assert "Signed on: No date was given." in page


def test_a_local_minimum_and_a_missed_break_are_recorded_and_withdrawn(world: World, office: Client) -> None:
    given = {"job": world.job, "amount": "19.10", "starts_on": "2026-11-02", "read_on": "2026-11-20"}
    wrong = sent(office, "local-minimums", **given)
    assert wrong.status_code == 400
    assert "No ordinance is cited" in text(wrong)
    assert sent(office, "local-minimums", **given, cite="Exampleton Code 4.1").status_code == 302
    assert "Exampleton Code 4.1" in text(office.get(reverse("local-minimums")))
    missed = {"person": world.people[0], "missed_on": "2026-11-18", "kind": "meal", "why": "pour next door"}
    assert sent(office, "missed-breaks", **missed).status_code == 302
    assert sent(office, "missed-breaks", **missed).status_code == 400
    with transaction.atomic(), organisation_scope(world.organisation):
        minimum, pause = LocalMinimum.objects.get().pk, MissedBreak.objects.get().pk
    assert sent(office, "local-minimums", do="withdraw", minimum=minimum).status_code == 302
    assert sent(office, "missed-breaks", do="withdraw", missed=pause).status_code == 302
    assert "No local minimum wage is recorded yet" in text(office.get(reverse("local-minimums")))
    assert "No missed break is recorded" in text(office.get(reverse("missed-breaks")))


def test_a_pay_period_names_the_pay_day_of_a_week(world: World, office: Client) -> None:
    work_a_week(world)
    refused = sent(office, "pay-periods", starts_on="2026-11-17", weeks="1", pay_day_after="5")
    assert refused.status_code == 400
    # The sentence names the field as the page does.
    assert "From the workweek that begins on: 2026-11-17 does not begin a workweek" in text(refused)
    assert sent(office, "pay-periods", starts_on="2026-11-16", weeks="1", pay_day_after="5").status_code == 302
    with transaction.atomic(), organisation_scope(world.organisation):
        assert PayPeriod.objects.count() == 1
    assert "Fri 27 Nov 2026" in text(office.get(reverse("week", args=[FIRST_DAY])))
    page = text(office.get(reverse("pay-periods")))
    assert "29 CFR 778.106" in page
    assert "Closed weeks stay as they were paid." in page


def test_somebody_who_leaves_is_paid_and_the_week_stays_open(world: World, office: Client) -> None:
    work_a_week(world)
    page = text(office.get(reverse("final-pay")))
    assert "Somebody leaves" in page
    wrong = sent(office, "final-pay", person="", last_day="2026-11-18", leaving="let go")
    assert wrong.status_code == 400
    written = sent(office, "final-pay", person=world.people[0], last_day="2026-11-18", leaving="let go")
    assert written.status_code == 302
    with transaction.atomic(), organisation_scope(world.organisation):
        statement = FinalPay.objects.get().statement_id
    assert written["Location"] == reverse("statement", args=[statement])
    assert "Final pay, last day 2026-11-18" in text(office.get(written["Location"]))
    week = text(office.get(reverse("week", args=[FIRST_DAY])))
    assert "final pay</a>, written before this closing" in week
    assert sent(office, "final-pay", person=world.people[0], last_day="2026-11-18", leaving="let go").status_code == 400
