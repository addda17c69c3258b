"""The state of a work unit in words and pattern, and pages that ask the database no more as the walls grow."""

from __future__ import annotations

import json
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.requests import InspectionRequest
from jobs.selectors.unit_states import state_of, state_of_all
from jobs.services.entries import entry_log
from jobs.services.inspections import inspection_record
from jobs.services.plans import plan_import
from tests.jobs.world import DAY, NOW, PLAN, World, entry
from tests.pages.conftest import signed_in
from tests.pages.test_every_page_keeps_its_door import wall_of


@pytest.mark.parametrize(
    ("measured", "done", "verdict", "word"),
    [
        (10, 0, None, "open"),
        (10, 4, None, "part done"),
        (10, 10, None, "done"),
        (10, 12, None, "done"),
        (10, 10, "accepted", "accepted"),
        (10, 10, "reopened", "reopened"),
    ],
)
def test_one_work_unit(measured: Any, done: Any, verdict: str | None, word: str) -> None:
    assert state_of(measured, done, verdict) == word


def test_several_together() -> None:
    assert state_of_all(["done", "accepted"]) == "done"
    assert state_of_all(["open", "done"]) == "part done"
    assert state_of_all(["open", "open"]) == "open"
    assert state_of_all(["accepted", "reopened"]) == "reopened"


@pytest.mark.parametrize(("verdict", "pattern"), [("accepted", "M3 6.2"), ("reopened", "url(#dots)")])
def test_an_inspection_is_seen_on_the_wall(world: World, verdict: str, pattern: str) -> None:
    unit = world.unit("A", "STUDS")
    entry_log(actor=world.foreman, request=entry(world, unit, None), now=NOW)
    asked = InspectionRequest(uuid4(), unit, verdict, "two studs out of plumb", DAY, NOW)
    inspection_record(actor=world.foreman, request=asked, now=NOW)
    page = signed_in(world.owner).get(reverse("wall", args=[world.job, wall_of(world, "A")])).content.decode()
    state = page.split(f'id="unit-{unit}"')[1].split("</tr>")[0]
    assert verdict in state
    assert pattern in state


def bigger_plan() -> bytes:
    """The small plan with ten more walls, apart from each other."""
    plan = json.loads(json.dumps(PLAN))
    plan["levels"][0]["walls"] += [
        {"mark": f"X{n}", "type": "P1", "from": [300, 60 * n], "to": [400, 60 * n], "height": "9'-0\""}
        for n in range(10)
    ]
    return json.dumps(plan).encode()


def test_questions_to_the_database_do_not_grow_with_the_walls(world: World) -> None:
    client = signed_in(world.foreman)
    pages = {
        "job": reverse("job", args=[world.job]),
        "log-wall": reverse("log-wall", args=[world.job]),
        "day": reverse("day", args=[world.job, DAY]),
    }

    def asked(address: str) -> int:
        with CaptureQueriesContext(connection) as queries:
            assert client.get(address).status_code == 200
        return len(queries)

    before = {name: asked(address) for name, address in pages.items()}
    plan_import(actor=world.owner, job=world.job, source=bigger_plan(), source_name="bigger.json", now=NOW)
    for mark in ("A", "B"):
        entry_log(actor=world.foreman, request=entry(world, world.unit(mark, "TRACK"), None), now=NOW)
        entry_log(actor=world.foreman, request=entry(world, world.unit(mark, "STUDS"), None), now=NOW)
    after = {name: asked(address) for name, address in pages.items()}
    assert after["job"] <= before["job"]
    assert after["log-wall"] <= before["log-wall"]
    # One question more: the shares, which nobody had before.
    assert after["day"] <= before["day"] + 1
