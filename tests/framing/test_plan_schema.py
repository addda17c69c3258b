"""The JSON Schema describes the format that the reader reads: what it refuses, the reader refuses too.

Ground: JSON Schema 2020-12, checked by the `jsonschema` library against its own metaschema.
"""

from __future__ import annotations

import json
from dataclasses import fields
from pathlib import Path
from typing import Any

from hypothesis import given, settings
from jsonschema import Draft202012Validator

import framing.readers
from framing.plan import PlanMistakes
from framing.practice import SOURCES, FramingPractice
from framing.readers import read_plan
from tests.framing.floor import Json, room
from tests.framing.test_plan_fuzz import SMALL, mutated

SCHEMA: dict[str, Any] = json.loads((Path(framing.readers.__file__).parent / "plan.schema.json").read_text())
VALIDATOR = Draft202012Validator(SCHEMA)


def refused(made: Json) -> bool:
    try:
        read_plan(json.dumps(made).encode())
    except PlanMistakes:
        return True
    return False


def test_the_schema_is_a_schema():
    Draft202012Validator.check_schema(SCHEMA)


def test_plans_that_are_read_are_valid():
    for made in (room(), SMALL):
        assert not refused(made)
        assert VALIDATOR.is_valid(made)


@settings(max_examples=300)
@given(mutated())
def test_what_the_schema_refuses_the_reader_refuses(made: Json):
    try:
        text = json.dumps(made, allow_nan=False)
    except ValueError:
        return  # no JSON text holds it
    if not VALIDATOR.is_valid(json.loads(text)):
        assert refused(made)


def test_every_allowance_may_be_overridden_and_has_a_source():
    names = {field.name for field in fields(FramingPractice)}
    assert set(SCHEMA["$defs"]["practice"]["properties"]) == names == set(SOURCES)
    assert all(SOURCES.values())
