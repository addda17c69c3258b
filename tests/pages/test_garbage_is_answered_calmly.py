"""Addresses and forms filled with anything at all: a page answers, never with a broken one, and nothing is stored."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode
from uuid import uuid4

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.models import Entry, Hours
from jobs.tenancy import organisation_scope
from tests.jobs.world import World
from tests.pages.conftest import signed_in

FAR = 10**30
ADDRESSES = [
    f"/jobs/{FAR}/",
    f"/jobs/{FAR}/walls/{FAR}/",
    f"/jobs/1/walls/{FAR}/",
    f"/jobs/{FAR}/log/",
    f"/jobs/{FAR}/log/{FAR}/",
    f"/work-units/{FAR}/log/",
    f"/work-units/{FAR}/rate/",
    f"/jobs/{FAR}/hours/",
    f"/jobs/{FAR}/days/2026-11-18/",
    "/jobs/1/days/2026-02-30/",
    "/weeks/0000-01-01/",
    "/weeks/9999-12-31/",
    f"/statements/{FAR}/",
    f"/statements/{FAR}.pdf",
    f"/statements/{FAR}.csv",
    "/check/no-hash/",
    f"/check/{'f' * 64}/?gross=a-lot",
    f"/jobs/{FAR}/reports/",
    f"/jobs/{FAR}/reports/2026-11-16/",
    "/entries/5f0c1a52-6f6d-4f0e-9a77-3a2f1c7d9b10/",
    "/entries/not-a-uuid/",
    "/jobs/1%00/",
    "/accent/zzzzzz.css",
]
ANY = st.one_of(
    st.text(max_size=30),
    st.sampled_from(["\x00", "all", "part", "people", "1e400", "-1", "NaN", "2026-13-01", "9" * 40]),
)


@pytest.mark.parametrize("address", ADDRESSES)
def test_addresses_of_nothing(world: World, address: str) -> None:
    client = signed_in(world.owner)
    client.raise_request_exception = False
    assert client.get(address).status_code == 404


@pytest.fixture
def forms(world: World) -> tuple[Client, World]:
    client = signed_in(world.foreman)
    client.raise_request_exception = False
    return client, world


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    typed=st.fixed_dictionaries(
        {
            "uuid": st.one_of(ANY, st.uuids().map(str)),
            "how_much": ANY,
            "quantity": ANY,
            "who": ANY,
            "person": st.lists(ANY, max_size=3),
            "worked_on": st.one_of(ANY, st.just("2026-11-18"), st.dates().map(str)),
            "note": ANY,
        }
    )
)
def test_an_entry_form_of_anything(forms: tuple[Client, World], typed: dict[str, Any]) -> None:
    client, world = forms
    answer = client.post(reverse("log-entry", args=[world.unit("A", "TRACK")]), typed)
    # Nobody of the crew is named, so nothing can be recorded.
    assert answer.status_code in {400, 409}
    with transaction.atomic(), organisation_scope(world.organisation):
        assert not Entry.objects.exists()


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    uuid=st.one_of(ANY, st.uuids().map(str)),
    hours=st.one_of(ANY, st.just("8")),
    kind=ANY,
    worked_on=st.one_of(ANY, st.just("2026-11-18"), st.dates().map(str)),
)
def test_an_hours_form_of_anything(
    forms: tuple[Client, World], uuid: str, hours: str, kind: str, worked_on: str
) -> None:
    client, world = forms
    person = world.people[0]
    sent = {"worked_on": worked_on, "kind": kind, f"uuid-{person}": uuid, f"hours-{person}": hours}
    assert client.post(reverse("hours", args=[world.job]), sent).status_code == 400
    with transaction.atomic(), organisation_scope(world.organisation):
        assert not Hours.objects.exists()


def test_a_note_with_what_cannot_be_kept_is_refused(forms: tuple[Client, World]) -> None:
    client, world = forms
    sent = {
        "uuid": str(uuid4()),
        "how_much": "all",
        "who": f"crew {world.crew}",
        "worked_on": "2026-11-18",
        "note": "a\x00b",
    }
    answer = client.post(reverse("log-entry", args=[world.unit("A", "TRACK")]), sent)
    assert answer.status_code == 400
    assert "cannot be kept" in answer.content.decode()


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(on=ANY, worker_class=ANY)
def test_questions_about_a_rate(forms: tuple[Client, World], on: str, worker_class: str) -> None:
    client, world = forms
    answer = client.get(reverse("why-rate", args=[world.unit("A", "TRACK")]), {"on": on, "class": worker_class})
    assert answer.status_code in {200, 400}


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(email=ANY, password=ANY, back=ANY)
def test_signing_in_with_anything(forms: tuple[Client, World], email: str, password: str, back: str) -> None:
    client = Client(raise_request_exception=False)
    assert client.post(reverse("sign-in"), {"email": email, "password": password, "next": back}).status_code == 400


@pytest.mark.parametrize("is_signed_in", [True, False])
def test_a_body_that_no_page_takes_is_refused_before_it_is_read(world: World, is_signed_in: bool) -> None:
    """Django writes files of a form to the disk, whoever sends them, as soon as anybody looks at the form."""
    client = signed_in(world.owner) if is_signed_in else Client()
    client.raise_request_exception = False
    answer = client.post("/sign-in/", {"email": "a"}, CONTENT_LENGTH=str(20_000_001))
    assert answer.status_code == 413
    assert "Nothing was recorded" in answer.content.decode()
    assert answer.headers["Content-Security-Policy"]


def test_typed_text_that_is_too_long_says_so(world: World) -> None:
    client = signed_in(world.owner)
    client.raise_request_exception = False
    body = urlencode({"text": "x" * 3_000_000})
    answer = client.post(reverse("price-list"), body, content_type="application/x-www-form-urlencoded")
    assert answer.status_code == 413


@pytest.mark.parametrize("name", ["price-list", "what-if", "bid"])
def test_a_list_of_nothing_but_mistakes_gets_a_page_that_can_be_read(world: World, name: str) -> None:
    rows = "\n".join("NO-SUCH,x,2026" for _ in range(3_000))
    sent = {"text": f"operation,amount,starts_on\n{rows}", "own": f"operation,amount\n{rows}"}
    answer = signed_in(world.owner).post(reverse(name), sent)
    assert answer.status_code == 400
    assert answer.content.decode().count("<li>") < 210


def test_a_list_of_many_columns_is_refused_at_once(world: World) -> None:
    names = ",".join(f"c{number}" for number in range(200_000))
    answer = signed_in(world.owner).post(reverse("price-list"), {"text": names})
    assert answer.status_code == 400
    assert "200,000 columns stand in the first row" in answer.content.decode()
