"""Forms of the office filled with what cannot be kept: each is answered with a sentence, and nothing is stored."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import datetime

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse

from jobs.pages.typed import Unreadable, read_day
from jobs.tenancy import organisation_scope
from payroll.models import Agreement, FinalPay, LocalMinimum, MissedBreak, PayPeriod, PrevailingRate
from payroll.reports.csv_out import guarded
from payroll.services.payweeks import payweek_close, payweek_open
from tests.jobs.world import World
from tests.pages.conftest import signed_in
from tests.pages.paid_week import AFTER, FIRST_DAY, work_a_week

RECORDS = (Agreement, FinalPay, LocalMinimum, MissedBreak, PayPeriod, PrevailingRate)
NUL = "a\x00b"


@pytest.fixture
def office(world: World, clock: Callable[[datetime], None]) -> Client:
    clock(AFTER)
    client = signed_in(world.actors["office"])
    client.raise_request_exception = False
    return client


def good(world: World, page: str, person: int) -> dict[str, str]:
    """Every form of the office as it would be taken."""
    return {
        "agreements": {
            "person": str(person), "kind": "hourly guarantee", "rate": "21.50", "guarantee_hours": "productive",
            "signed_on": "2026-11-02", "starts_on": "2026-11-02", "words": "21.50 an hour", "reference": "drawer 2",
        },
        "local-minimums": {
            "job": str(world.job), "amount": "19.10", "starts_on": "2026-11-02", "read_on": "2026-11-20",
            "cite": "Exampleton Code 4.1",
        },
        "missed-breaks": {"person": str(person), "missed_on": "2026-11-18", "kind": "meal", "why": "pour next door"},
        "pay-periods": {"starts_on": "2026-11-16", "weeks": "1", "pay_day_after": "5"},
        "final-pay": {"person": str(person), "last_day": "2026-11-18", "leaving": "let go"},
        "prevailing-set": {
            "class": "journeyman", "class_named": "Carpenter", "basic": "40", "fringe": "10", "fringe_to_plan": "0",
            "starts_on": "2026-11-16", "citation": "EX20260001, 2 January 2026",
        },
        "person-record": {"person": str(person), "first": "2026-11-01", "last": "2026-11-30"},
        "price-set": {"paid_for": "time:waiting", "amount": "21.50", "starts_on": "2026-12-01"},
        "price-list": {"text": "operation,time_kind,amount,starts_on\n,waiting,21.50,2026-12-01\n"},
        "what-if": {"text": "operation,amount\nBOARD,0.42\n", "first": "2026-11-16", "last": "2026-11-16"},
    }[page]  # fmt: skip


def address(world: World, page: str) -> str:
    return reverse(page, args=[world.job] if page == "prevailing-set" else [])


PAGES = [
    "agreements", "local-minimums", "missed-breaks", "pay-periods", "final-pay", "prevailing-set", "person-record",
    "price-set",
]  # fmt: skip
DAYS = {"signed_on", "starts_on", "read_on", "missed_on", "last_day", "first", "last"}
NUMBERS = {"person", "job", "rate", "amount", "weeks", "pay_day_after", "basic", "fringe", "paid_for"}
NO_DAYS = ["0001-01-01", "0001-01-07", "9999-12-31", "9999-12-26", "\uff12026-11-16", "1899-12-31"]
NO_NUMBERS = ["1e400", "-1", "NaN", "\uff11", "9" * 400, "Infinity", "\u202e12"]


def taken(world: World, office: Client, page: str, wrong: dict[str, list[str]]) -> list[tuple[str, str, int]]:
    """Fields and values that the page did not refuse, with its status."""
    form, at = good(world, page, world.people[0]), address(world, page)
    answers = [(name, text, office.post(at, form | {name: text}).status_code) for name in form for text in wrong[name]]
    return [one for one in answers if one[2] != 400]


def nothing_kept(world: World) -> bool:
    with transaction.atomic(), organisation_scope(world.organisation):
        return not any(model.objects.exists() for model in RECORDS)


@pytest.mark.parametrize("page", PAGES)
def test_what_cannot_be_kept_or_read_is_refused(world: World, office: Client, page: str) -> None:
    work_a_week(world)
    names = good(world, page, world.people[0])
    wrong = {
        name: [NUL, *(NO_DAYS if name in DAYS else []), *(NO_NUMBERS if name in NUMBERS else [])] for name in names
    }
    assert taken(world, office, page, wrong) == []
    assert nothing_kept(world)


@pytest.mark.parametrize("page", ["price-list", "what-if"])
def test_a_list_with_what_cannot_be_kept_is_refused(world: World, office: Client, page: str) -> None:
    wrong = {"text": [NUL, "operation,amount\nBOARD,1e400\n", "operation,amount\nBO\0ARD,1\n"]}
    assert taken(world, office, page, {"first": [], "last": [], **wrong}) == []


def test_an_address_with_a_day_out_of_all_time_is_none(world: World, office: Client) -> None:
    places = [
        "/weeks/{}/", "/weeks/{}.csv", "/weeks/{}/papers/", "/weeks/{}/papers.zip", "/weeks/{}/payroll/all/",
        f"/jobs/{world.job}/certified/{{}}/", f"/jobs/{world.job}/certified/{{}}.pdf",
        f"/jobs/{world.job}/certified/{{}}.csv", f"/jobs/{world.job}/days/{{}}/", f"/jobs/{world.job}/reports/{{}}/",
    ]  # fmt: skip
    answers = {
        place: office.get(place.format(day)).status_code for place in places for day in ("0001-01-01", "9999-12-31")
    }
    assert set(answers.values()) == {404}, answers


@pytest.mark.parametrize("page", ["agreements", "local-minimums", "missed-breaks", "final-pay", "person-record"])
def test_people_and_jobs_of_another_firm_are_none(world: World, other: World, office: Client, page: str) -> None:
    work_a_week(world)
    sent = good(world, page, other.people[0]) | ({"job": str(other.job)} if page == "local-minimums" else {})
    assert office.post(address(world, page), sent).status_code == 400
    assert nothing_kept(world)


def test_an_agreement_of_endless_words_is_refused(world: World, office: Client) -> None:
    sent = good(world, "agreements", world.people[0]) | {"words": "w" * 200_000}
    assert office.post(reverse("agreements"), sent).status_code == 400
    assert nothing_kept(world)


@pytest.mark.parametrize("day", ["1899-12-31", "3000-01-01"])
def test_a_day_has_a_year_of_our_time(day: str) -> None:
    with pytest.raises(Unreadable, match="no day of ours"):
        read_day(day)


def test_a_rate_is_entered_with_the_citation_and_the_warnings_that_were_looked_at(world: World, office: Client) -> None:
    work_a_week(world)
    at, form = address(world, "prevailing-set"), good(world, "prevailing-set", 0)
    shown = office.post(at, form)
    mark = re.search(r'name="looked_at" value="([0-9a-f]{64})"', shown.content.decode())
    assert mark, shown.content
    sent = form | {"set": "1", "looked_at": mark[1]}
    assert office.post(at, sent | {"citation": "another determination"}).status_code == 200
    assert nothing_kept(world)
    # A week closed meanwhile is another thing to look at: its pay will be corrected.
    week = payweek_open(actor=world.owner, first_day=FIRST_DAY, now=AFTER)
    payweek_close(actor=world.owner, pay_week=week.pk, now=AFTER)
    assert "Closed weeks since 2026-11-16: 1" in office.post(at, sent).content.decode()
    assert nothing_kept(world)


def test_full_width_signs_run_as_no_formula_either() -> None:
    # OWASP, "CSV Injection": full-width forms of the four signs, from memory.
    assert [guarded(f"{sign}1+1")[0] for sign in "=+-@\uff1d\uff0b\uff0d\uff20"] == ["'"] * 8
