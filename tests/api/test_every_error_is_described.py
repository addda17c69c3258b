"""The schema held against the code: every address and method of the permission table, every status a call may answer,
every kind of refusal."""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import URLPattern, get_resolver
from drf_spectacular.generators import SchemaGenerator

from jobs import refusals
from jobs.api.problems import _FRAMEWORK, KINDS, STATUS
from jobs.permissions import TABLE
from jobs.refusals import Refusal
from tests.api.client import Phone

# About the API itself: nothing of an organisation passes here.
ABOUT = {"api-problem", "api-schema", "api-guide", "api-nothing"}
# 405 belongs to no call that is described.
OUTSIDE_OF_CALLS = {405}
BODY_ONLY = {409, 413, 415}


@pytest.fixture(scope="module")
def schema() -> dict[str, Any]:
    return SchemaGenerator().get_schema(request=None, public=True)


def api_patterns() -> list[URLPattern]:
    return [
        one for part in get_resolver().url_patterns if str(part.pattern) == "api/" for one in part.url_patterns
    ]  # fmt: skip


def described_path(pattern: URLPattern) -> str:
    route = str(pattern.pattern)
    for part, converter in pattern.pattern.converters.items():
        kind = type(converter).__name__.removesuffix("Converter").lower()
        route = route.replace(f"<{kind}:{part}>", f"{{{part}}}")
    return f"/api/{route}"


def test_every_address_and_method_of_the_table_is_described_and_no_other(schema: dict[str, Any]):
    table = {
        (described_path(pattern), method.lower())
        for pattern in api_patterns()
        if pattern.name not in ABOUT
        for method in TABLE[pattern.name or ""]
    }
    described = {
        (path, method) for path, calls in schema["paths"].items() for method in calls if path != "/api/schema/"
    }
    assert described == table


def test_every_status_a_call_may_answer_is_described(schema: dict[str, Any]):
    any_call = (set(_FRAMEWORK) | set(STATUS.values())) - OUTSIDE_OF_CALLS
    for path, calls in schema["paths"].items():
        for method, call in calls.items():
            if path == "/api/schema/":
                continue
            problems = {int(status) for status in call["responses"] if not status.startswith("2")}
            expected = any_call if method == "post" else any_call - BODY_ONLY
            assert problems == expected, (path, method, problems ^ expected)
            assert any(status.startswith("2") for status in call["responses"]), (path, method)


def kinds(of: type[Refusal]) -> set[type[Refusal]]:
    return {of} | {kind for below in of.__subclasses__() for kind in kinds(below)}


def test_every_kind_of_refusal_has_a_status_and_an_address_that_says_what_it_means(db: None):
    ours = {kind for kind in kinds(Refusal) - {Refusal} if kind.__module__ == refusals.__name__}
    assert ours == set(STATUS)
    assert len(KINDS) == len(STATUS), "two kinds of one name"
    for name, kind in KINDS.items():
        page = Phone(None).get(f"/api/problems/{name}/").json()
        assert page == {"kind": name, "title": kind.title, "status": STATUS[kind], "meaning": kind.__doc__}
        assert kind.__doc__


def test_every_call_says_what_it_does_and_names_itself_once(schema: dict[str, Any]):
    calls = [call for methods in schema["paths"].values() for call in methods.values()]
    names = [call["operationId"] for call in calls]
    assert len(names) == len(set(names))
    assert [call["operationId"] for call in calls if not call.get("description", "").strip()] == []


def test_every_shape_is_used_and_every_word_of_it_has_a_type(schema: dict[str, Any]):
    text = str(schema["paths"]) + str(schema["components"]["schemas"])
    for name, shape in schema["components"]["schemas"].items():
        assert f"#/components/schemas/{name}'" in text, f"{name} is described and never used"
        for key, part in shape.get("properties", {}).items():
            assert part, (name, key)
