"""The OpenAPI schema: valid 3.1, complete, and of the same shape as what is read and answered."""

from __future__ import annotations

from functools import partial
from typing import Any
from uuid import uuid4

import pytest
from django.urls import get_resolver
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.validation import validate_schema
from jsonschema import Draft202012Validator

from jobs.api.parse import batch, entry_request, hours_request, inspection_request, photo_request, word_request
from jobs.refusals import Invalid
from tests.api.client import Phone
from tests.jobs.world import DAY, NOW, World, entry_json


@pytest.fixture(scope="module")
def schema() -> dict[str, Any]:
    return SchemaGenerator().get_schema(request=None, public=True)


def test_it_is_valid_openapi_3_1(schema: dict[str, Any]):
    validate_schema(schema)
    assert schema["openapi"].startswith("3.1")


def test_every_call_tells_its_problems(schema: dict[str, Any]):
    calls = [
        (path, method, call)
        for path, methods in schema["paths"].items()
        for method, call in methods.items()
        if not path.startswith("/api/schema")
    ]
    assert len(calls) >= 11
    for path, method, call in calls:
        assert {"401", "403", "404"} <= set(call["responses"]), (path, method)
        if method == "post":
            assert {"400", "409", "415"} <= set(call["responses"]), (path, method)
        for status, response in call["responses"].items():
            media = "application/json" if status.startswith("2") else "application/problem+json"
            assert list(response["content"]) == [media], (path, method, status)


def test_it_has_every_address_that_answers_with_records(schema: dict[str, Any]):
    parts = [one for one in get_resolver().url_patterns if str(one.pattern) == "api/"]
    about = {"api-problem", "api-schema", "api-guide", "api-nothing"}
    ours = {one.name for part in parts for one in part.url_patterns} - about
    listed = {path for path in schema["paths"] if path != "/api/schema/"}
    assert len(listed) == len(ours)


@pytest.mark.parametrize(
    ("name", "read"),
    [
        ("EntryInRequest", entry_request),
        ("HoursInRequest", hours_request),
        ("InspectionInRequest", inspection_request),
        ("WordInRequest", word_request),
        ("PhotoInRequest", partial(photo_request, entry=uuid4())),
    ],
)
def test_the_keys_read_are_the_keys_described(schema: dict[str, Any], name: str, read: Any):
    described = schema["components"]["schemas"][name]
    with pytest.raises(Invalid) as refused:
        read({key: [] for key in described["properties"]} | {"unheard of": 1})
    unknown = [one.path for one in refused.value.mistakes if "not known. Leave it out" in one.sentence]
    assert unknown == ["unheard of"]
    with pytest.raises(Invalid) as refused:
        read({})
    missing = {one.path for one in refused.value.mistakes}
    assert missing - {"work_unit", "hours", "quantity"} <= set(described["required"])
    assert set(described["required"]) <= missing


def test_a_batch_is_read_by_its_described_key():
    assert batch({"entries": [1]}, 5) == [1]


def test_answers_fit_their_description(schema: dict[str, Any], world: World):
    phone = Phone(world.tokens["foreman"])
    unit = world.unit("A", "TRACK")
    entry = entry_json(world, unit, "1.5")
    checks: list[tuple[str, Any]] = [
        ("EntryOut", phone.post("/api/entries/", entry).json()),
        ("EntryBatchOut", phone.post("/api/entries/batch/", {"entries": [entry, {}]}).json()),
        ("Problem", phone.post("/api/entries/", {}).json()),
        ("PaginatedEntryOutList", phone.get("/api/entries/").json()),
        ("PaginatedJobOutList", phone.get("/api/jobs/").json()),
        ("PaginatedWallOutList", phone.get(f"/api/jobs/{world.job}/walls/").json()),
        ("PaginatedWorkUnitOutList", phone.get(f"/api/jobs/{world.job}/work-units/").json()),
        ("PaginatedPersonOutList", phone.get("/api/people/").json()),
        ("PaginatedCrewOutList", phone.get("/api/crews/").json()),
        ("HoursOut", phone.post("/api/hours/", _hours(world)).json()),
        ("InspectionOut", phone.post("/api/inspections/", _inspection(unit)).json()),
        ("PaginatedHoursOutList", phone.get("/api/hours/").json()),
    ]
    for name, answer in checks:
        shape = {"$ref": f"#/components/schemas/{name}", "components": schema["components"]}
        Draft202012Validator(shape).validate(answer)
        properties = schema["components"]["schemas"][name]["properties"]
        assert set(answer) <= set(properties), f"{name} answers what it does not describe"


def test_the_schema_and_its_page_are_served_from_here(db: None):
    assert Phone(None).get("/api/schema/").status_code == 200
    page = Phone(None).get("/api/guide/").content.decode()
    assert "/static/drf_spectacular_sidecar/" in page
    assert "https://" not in page


def _hours(world: World) -> dict[str, Any]:
    return {
        "uuid": str(uuid4()), "job": world.job, "person": world.people[0], "worked_on": DAY.isoformat(),
        "kind": "rest", "hours": "0:10", "made_at": NOW.isoformat(),
    }  # fmt: skip


def _inspection(unit: int) -> dict[str, Any]:
    return {
        "uuid": str(uuid4()), "work_unit": unit, "verdict": "accepted", "inspected_on": DAY.isoformat(),
        "made_at": NOW.isoformat(),
    }  # fmt: skip
