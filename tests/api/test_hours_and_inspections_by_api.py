"""Hours and inspections by the API."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest

from tests.api.client import Phone, expect_problem
from tests.jobs.world import DAY, NOW, World


@pytest.fixture
def phone(world: World) -> Phone:
    return Phone(world.tokens["foreman"])


def hours_json(world: World, hours: Any, **changes: Any) -> dict[str, Any]:
    return {
        "uuid": str(uuid4()),
        "job": world.job,
        "person": world.people[0],
        "worked_on": DAY.isoformat(),
        "kind": "waiting",
        "hours": hours,
        "made_at": NOW.isoformat(),
    } | changes


@pytest.mark.parametrize(
    ("sent", "told"), [("7.25", "7:15"), ("7:20", "7:20"), (8, "8:00"), ("0.5", "0:30"), ("24", "24:00")]
)
def test_hours_are_read_as_decimals_or_by_the_clock(world: World, phone: Phone, sent: Any, told: str):
    answer = phone.post("/api/hours/", hours_json(world, sent))
    assert answer.status_code == 201, answer.content
    assert answer.json()["hours"] == told


@pytest.mark.parametrize("sent", ["7.333", "7:60", "-1", 7.5, "", None, "26", True, "seven"])
def test_hours_that_are_no_whole_minutes_of_a_day_are_refused(world: World, phone: Phone, sent: Any):
    assert "hours" in expect_problem(phone.post("/api/hours/", hours_json(world, sent)), 400, "invalid")


def test_hours_again_get_the_first_answer_and_others_a_conflict(world: World, phone: Phone):
    body = hours_json(world, "2")
    first = phone.post("/api/hours/", body)
    assert phone.post("/api/hours/", body).content == first.content
    assert "hours" in expect_problem(phone.post("/api/hours/", body | {"hours": "3"}), 409, "uuid-reused")


def test_a_day_that_is_full_is_a_conflict(world: World, phone: Phone):
    phone.post("/api/hours/", hours_json(world, "23"))
    assert "hours" in expect_problem(phone.post("/api/hours/", hours_json(world, "2", kind="travel")), 409, "conflict")


def test_people_and_jobs_of_another_organisation_are_not_found(world: World, other: World, phone: Phone):
    assert "person" in expect_problem(
        phone.post("/api/hours/", hours_json(world, "2", person=other.people[0])), 404, "not-found"
    )
    assert "job" in expect_problem(phone.post("/api/hours/", hours_json(world, "2", job=other.job)), 404, "not-found")


def test_a_work_unit_is_accepted_or_reopened_with_a_reason(world: World, phone: Phone):
    body = {
        "uuid": str(uuid4()),
        "work_unit": world.unit("A", "TRACK"),
        "verdict": "reopened",
        "inspected_on": DAY.isoformat(),
        "made_at": NOW.isoformat(),
    }
    assert "reason" in expect_problem(phone.post("/api/inspections/", body), 400, "invalid")
    answer = phone.post("/api/inspections/", body | {"reason": "track off the line"})
    assert answer.status_code == 201, answer.content
    again = phone.post("/api/inspections/", body | {"reason": "track off the line"})
    assert again.content == answer.content
    assert "verdict" in expect_problem(phone.post("/api/inspections/", body | {"verdict": "fine"}), 400, "invalid")
