"""Whatever JSON is sent, the API answers with a record or a problem document, never with an accident."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.api.client import Phone
from tests.jobs.world import DAY, NOW, World, entry_json

JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**70), 2**70) | st.floats(allow_nan=False) | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=8,
)
WORDS = st.sampled_from(
    [
        *("all left", "12.5", "-1", "1e5", "quantity", "weight", "7:20", "24:00", "\x00", "\ud800"),
        *("0001-01-01", "9999-12-31", "2026-11-18", "0001-01-01T00:00Z", "9999-12-31T23:59:59-12:00"),
    ]
)
KEYS = {
    "/api/entries/": ["uuid", "work_unit", "worked_on", "quantity", "shares", "made_at", "note", "replaces"],
    "/api/hours/": ["uuid", "job", "person", "worked_on", "kind", "hours", "made_at", "replaces"],
    "/api/inspections/": ["uuid", "work_unit", "verdict", "reason", "inspected_on", "made_at"],
}
SHARES = st.fixed_dictionaries(
    {}, optional={"by": WORDS | JSON, "crew": JSON, "people": st.lists(JSON, max_size=2) | JSON}
)


def good(path: str, world: World) -> dict[str, Any]:
    """A body that would be taken, to be spoilt in some of its keys."""
    entry = entry_json(world, world.unit("A", "TRACK"), "0.01")
    if path == "/api/entries/":
        return entry
    common = {"uuid": entry["uuid"], "made_at": NOW.isoformat()}
    if path == "/api/hours/":
        person = world.people[0]
        return common | {
            "job": world.job,
            "person": person,
            "worked_on": DAY.isoformat(),
            "kind": "rest",
            "hours": "0:01",
        }
    return common | {"work_unit": entry["work_unit"], "verdict": "accepted", "inspected_on": DAY.isoformat()}


@pytest.mark.parametrize("path", KEYS)
@given(data=st.data())
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_value_in_any_key(world: World, path: str, data: st.DataObject):
    spoilt = data.draw(st.dictionaries(st.sampled_from(KEYS[path]), JSON | WORDS | SHARES, min_size=1, max_size=3))
    answer = Phone(world.tokens["foreman"]).post(path, good(path, world) | spoilt)
    assert answer.status_code in {201, 400, 404, 409}, answer.content
    if answer.status_code == 201:
        return
    body = answer.json()
    assert answer["Content-Type"] == "application/problem+json"
    assert body["errors"]
    # Every path begins with a key of the request, or stands for the whole.
    told = {error["path"].split(".")[0].split("[")[0] for error in body["errors"]}
    assert told <= {*KEYS[path], *spoilt, ""}


@given(items=st.lists(JSON | SHARES, max_size=4) | JSON)
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_batch(world: World, items: Any):
    answer = Phone(world.tokens["foreman"]).post("/api/entries/batch/", {"entries": items})
    assert answer.status_code in {200, 400}
    if answer.status_code == 200:
        assert [one["status"] for one in answer.json()["entries"]] == [400] * len(items)


@given(cursor=st.text(max_size=30), page_size=st.text(max_size=6), wall=st.text(max_size=25), only=st.text(max_size=4))
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_query(world: World, cursor: str, page_size: str, wall: str, only: str):
    path = f"/api/jobs/{world.job}/work-units/"
    query = {"cursor": cursor, "page_size": page_size, "wall": wall, "open": only}
    answer = Phone(world.tokens["foreman"]).get(path, **{key: text for key, text in query.items() if text})
    assert answer.status_code in {200, 400, 404}
