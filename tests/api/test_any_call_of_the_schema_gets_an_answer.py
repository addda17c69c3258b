"""Calls made up from the whole schema, good and bad, against the served site: nothing breaks, every answer is one that
the schema describes, and every error is a problem document with a path."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any
from urllib.parse import quote

import pytest
import schemathesis
from drf_spectacular.generators import SchemaGenerator
from hypothesis import HealthCheck, assume, settings
from pytest_django import DjangoDbBlocker
from schemathesis.checks import load_all_checks, not_a_server_error
from schemathesis.config import SchemathesisConfig
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from jobs.services.entries import entry_log
from tests.api.client import PROBLEM_MEMBERS
from tests.jobs.world import NOW, World, entry, two_worlds

load_all_checks()
DESCRIBED = [not_a_server_error, status_code_conformance, content_type_conformance, response_schema_conformance]
# So many calls an operation and role: most of a minute in all.
CALLS = 15
LONGEST_LINE = 4094
schema = schemathesis.openapi.from_dict(
    SchemaGenerator().get_schema(request=None, public=True),
    config=SchemathesisConfig.from_dict({"phases": {"coverage": {"enabled": False}}}),
)


@pytest.fixture(scope="module")
def world(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[World]:
    """A committed world of its own, with work to read, and ids that calls can hit."""
    with django_db_blocker.unblock():
        made, _, _ = two_worlds()
        entry_log(actor=made.foreman, request=entry(made, made.unit("A", "TRACK"), "1"), now=NOW)
        yield made


def aimed(case: Any, world: World) -> None:
    """Half of the made-up ids become ones that stand, so that calls come further than 'not found'."""
    real = {"job": world.job, "work_unit": world.unit("A", "TRACK"), "person": world.people[0], "crew": world.crew}

    def aim(given: Any) -> None:
        if isinstance(given, list):
            for one in given:
                aim(one)
        elif isinstance(given, dict):
            for name, value in given.items():
                if name in real and isinstance(value, int) and value % 2 == 0:
                    given[name] = real[name]
                aim(value)

    for given in (case.path_parameters, case.query, case.body):
        aim(given)


@schema.parametrize()
@settings(max_examples=CALLS, deadline=None, suppress_health_check=list(HealthCheck))
@pytest.mark.parametrize("role", ["foreman", "worker", "owner", None])
def test_it_is_answered_as_described(case: Any, role: str | None, world: World, live_site: str):
    aimed(case, world)
    # The server itself cuts off a longer request line, before any of the site is asked.
    assume(len(quote(str(case.query or {}))) < LONGEST_LINE // 4)
    headers = {"Authorization": f"Token {world.tokens[role]}"} if role else {}
    answer = case.call(base_url=live_site, headers=headers)
    case.validate_response(answer, checks=DESCRIBED)
    if answer.status_code >= 400:
        problem = answer.json()
        assert set(problem) == PROBLEM_MEMBERS, problem
        assert problem["status"] == answer.status_code
        assert problem["errors"], problem
        for error in problem["errors"]:
            assert isinstance(error["path"], str)
            assert error["detail"].strip(), problem
    if role is None and not case.path.startswith("/api/schema"):
        # 404 for a made-up part that no address has, such as -1.
        assert answer.status_code in {401, 404}
