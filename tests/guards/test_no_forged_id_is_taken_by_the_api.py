"""Every id that a call of the API takes, forged: a problem document that does not tell whether the thing is elsewhere.

The ids are read off the OpenAPI schema: a call or a field that is added there must be added to `calls` too.
"""

from __future__ import annotations

import json
import re
from base64 import b64encode
from collections.abc import Iterator
from copy import deepcopy
from dataclasses import dataclass
from functools import cache
from typing import Any
from urllib.parse import parse_qsl, urlencode, urlsplit
from uuid import uuid4

import pytest
from django.db import transaction
from drf_spectacular.generators import SchemaGenerator

from payroll.services.payweeks import payweek_open
from tests.api.client import PROBLEM_MEMBERS, Phone
from tests.guards.forged import NO_IDS, NO_UUID, NOWHERE, Things, rows_written, things_of, things_out_of_reach
from tests.jobs.world import DAY, NOW, World
from tests.pages.paid_week import FIRST_DAY, pay_a_week
from tests.support.camera import shot

MADE_AT = NOW.isoformat()
# Of which kind the id under a name is. `replaces` and `uuid` are told by what they stand in.
KIND = {
    "work_unit": "unit", "crew": "crew", "person": "person", "not_paid[]": "person", "job": "job", "wall": "wall",
    "device": "device", "photo": "photo", "statement": "statement", "pay_week": "week", "about": "entry",
}  # fmt: skip
CURSORS = {"cursor", "since"}
FROM_THE_TOP = b64encode(f"p={NOWHERE}".encode()).decode()
# Numbers that name nothing that stands by itself: the size of a page, the sheets of a drawing and its revision.
NO_IDS_OF_RECORDS = {"page_size", "numbers[]", "plan"}
# Ids that choose among what was found anyway; one of nothing chooses nothing, and is written nowhere.
CHOOSING = {("job_work_units_list", "query.wall"), ("week_close", "body.not_paid[]")}


@dataclass(frozen=True)
class Call:
    """A call that is answered well as it stands: values of its path, of its query, and its body."""

    operation: str
    role: str
    sent: dict[str, Any]


@cache
def schema() -> dict[str, Any]:
    return SchemaGenerator().get_schema(request=None, public=True)


@cache
def operations() -> dict[str, tuple[str, str, dict[str, Any]]]:
    """Operation -> its method, its address and what the schema says of it."""
    return {
        call["operationId"]: (method, path, call)
        for path, methods in schema()["paths"].items()
        for method, call in methods.items()
    }


def leaves(shape: dict[str, Any], path: str) -> Iterator[tuple[str, dict[str, Any]]]:
    """Every single value that a shape takes, by its path; `[]` stands for any item of a list."""
    if "$ref" in shape:
        shape = schema()["components"]["schemas"][shape["$ref"].rsplit("/", 1)[1]]
    for part in (*shape.get("allOf", ()), *shape.get("oneOf", ())):
        yield from leaves(part, path)
    if "properties" in shape:
        for name, inner in shape["properties"].items():
            yield from leaves(inner, f"{path}.{name}")
    elif "items" in shape:
        yield from leaves(shape["items"], f"{path}[]")
    else:
        yield path, shape


def name_of(path: str) -> str:
    return path.rsplit(".", 1)[1]


def ids_of_schema() -> set[tuple[str, str]]:
    """Every (operation, path) of the schema that takes an id or a cursor."""
    found: set[tuple[str, str]] = set()
    for operation, (_, _, call) in operations().items():
        taken = [(f"{one['in']}.{one['name']}", one["schema"]) for one in call.get("parameters", ())]
        body = call.get("requestBody", {}).get("content", {}).get("application/json", {}).get("schema")
        for path, shape in taken + (list(leaves(body, "body")) if body else []):
            is_number = "integer" in shape.get("type", ()) and name_of(path) not in NO_IDS_OF_RECORDS
            # The UUID beside what is sent is the sender's own.
            is_uuid = shape.get("format") == "uuid" and (path == "path.uuid" or name_of(path) != "uuid")
            if is_number or is_uuid or name_of(path) in CURSORS:
                found.add((operation, path))
    return found


def kind_at(operation: str, path: str) -> str:
    name = name_of(path)
    if name in CURSORS:
        return "cursor"
    if name == "replaces":
        return "hours" if "hours" in f"{operation}{path}" else "entry"
    return "entry" if path == "path.uuid" else KIND[name]


def calls(mine: Things, open_week: int) -> Iterator[Call]:
    """Calls that name, between them, every id there is to name."""
    common = {"made_at": MADE_AT}
    entry = common | {"work_unit": mine.unit, "worked_on": DAY.isoformat(), "quantity": "0.5"}
    entry |= {"shares": {"by": "equal", "crew": mine.crew}}
    people = {"by": "equal", "people": [{"person": mine.person}]}
    correction = entry | {"replaces": mine.entry, "shares": people, "work_unit": mine.board_logged}
    hours = common | {"job": mine.job, "person": mine.person, "worked_on": DAY.isoformat(), "kind": "rest"}
    hours |= {"hours": "0:10"}
    mended = hours | {"replaces": mine.hours, "kind": "piece", "hours": "7:00"}
    inspection = common | {"work_unit": mine.unit, "verdict": "accepted", "inspected_on": DAY.isoformat()}
    told = [("entry", entry), ("entry", correction), ("hours", hours), ("hours", mended), ("inspection", inspection)]
    named = [(kind, {"uuid": str(uuid4())} | body) for kind, body in told]
    for kind, body in named:
        operation = "inspection_record" if kind == "inspection" else f"{kind}_log"
        yield Call(operation, "foreman", {"body": body})
        if kind == "entry":
            yield Call("entry_batch_log", "foreman", {"body": {"entries": [body]}})
        yield Call("sync", "foreman", {"body": {"operations": [{kind: body}], "since": None}})
    word = common | {"uuid": str(uuid4()), "about": mine.entry, "person": mine.person, "says": "confirmed"}
    yield Call("word_say", "worker", {"body": word})
    photo = common | {"uuid": str(uuid4()), "photo": b64encode(shot()).decode()}
    yield Call("photo_add", "foreman", {"path": {"uuid": mine.entry}, "body": photo})
    yield Call("entry_photos_list", "foreman", {"path": {"uuid": mine.entry}})
    yield Call("photo", "foreman", {"path": {"photo": mine.photo}})
    yield Call("device_rename", "foreman", {"path": {"device": mine.device}, "body": {"name": "left"}})
    yield Call("device_revoke", "foreman", {"path": {"device": mine.device}, "body": {}})
    yield Call("changes", "foreman", {"query": {"since": ""}})
    yield Call("job_walls_list", "foreman", {"path": {"job": mine.job}, "query": {"cursor": FROM_THE_TOP}})
    units = {"cursor": FROM_THE_TOP, "wall": mine.wall}
    yield Call("job_work_units_list", "foreman", {"path": {"job": mine.job}, "query": units})
    for listed in ("crews", "devices", "entries", "hours", "jobs", "people", "statements", "words"):
        yield Call(f"{listed}_list", "foreman", {"query": {"cursor": FROM_THE_TOP}})
    yield Call("weeks_list", "office", {"query": {"cursor": FROM_THE_TOP}})
    yield Call("statement_read", "worker", {"path": {"statement": mine.statement}})
    yield Call("week_preview", "office", {"path": {"pay_week": mine.week}})
    closed = {"path": {"pay_week": open_week}, "body": {"not_paid": [mine.person]}}
    yield Call("week_close", "office", closed)


@dataclass(frozen=True)
class Firms:
    """Two organisations with records of their own, and the calls of the first."""

    world: World
    other: World
    own: Things
    beyond: dict[str, Things]
    calls: list[Call]


@pytest.fixture
def firms(world: World, other: World) -> Firms:
    paid = pay_a_week(world)
    own = things_of(world, paid)
    beyond = {
        "another job": things_out_of_reach(world, paid.statements[world.people[1]], paid.pay_week),
        "another firm": things_of(other, pay_a_week(other)),
    }
    week = payweek_open(actor=world.owner, first_day=FIRST_DAY.replace(day=9), now=NOW)
    return Firms(world, other, own, beyond, list(calls(own, week.pk)))


def ids_sent(call: Call) -> Iterator[tuple[str, tuple[str | int, ...]]]:
    """The ids of a call: the path of the schema, and the keys that lead to the value."""
    known = {path for operation, path in ids_of_schema() if operation == call.operation}

    def walk(value: Any, path: str, keys: tuple[str | int, ...]) -> Iterator[tuple[str, tuple[str | int, ...]]]:
        if path in known:
            yield path, keys
        elif isinstance(value, dict):
            for name, inner in value.items():
                yield from walk(inner, f"{path}.{name}" if path else name, (*keys, name))
        elif isinstance(value, list):
            for place, inner in enumerate(value):
                yield from walk(inner, f"{path}[]", (*keys, place))

    return walk(call.sent, "", ())


def with_value(sent: dict[str, Any], keys: tuple[str | int, ...], value: Any) -> dict[str, Any]:
    forged: Any = deepcopy(sent)
    inner = forged
    for key in keys[:-1]:
        inner = inner[key]
    inner[keys[-1]] = value
    return forged


def undone(world: World, call: Call, sent: dict[str, Any]) -> tuple[int, Any]:
    """What a call is answered; where it was taken, what it wrote is undone."""
    with transaction.atomic():
        status, body = answered(world, call, sent)
        transaction.set_rollback(status < 400)
    return status, body


def answered(world: World, call: Call, sent: dict[str, Any]) -> tuple[int, Any]:
    """Status and body of the one thing asked for."""
    method, path, _ = operations()[call.operation]
    for name, value in sent.get("path", {}).items():
        path = path.replace(f"{{{name}}}", str(value))
    if query := sent.get("query"):
        path += "?" + urlencode(query)
    phone = Phone(world.tokens[call.role])
    answer = phone.get(path) if method == "get" else phone.post(path, sent.get("body"))
    body = json.loads(answer.content) if "json" in answer["Content-Type"] else None
    for key in ("operations", "entries"):
        if answer.status_code == 200 and isinstance(body, dict) and body.get(key) and "status" in body[key][0]:
            return body[key][0]["status"], body[key][0].get("problem")
    return answer.status_code, body


def test_every_id_of_the_schema_is_forged_here(firms: Firms) -> None:
    walked = {(call.operation, path) for call in firms.calls for path, _ in ids_sent(call)}
    assert walked == ids_of_schema(), "add a call that names the id to `calls`, or its name to NO_IDS_OF_RECORDS"


def test_the_calls_are_answered_well_as_they_stand(firms: Firms) -> None:
    for call in firms.calls:
        status, body = undone(firms.world, call, call.sent)
        assert status in {200, 201}, (call.operation, status, body)


def test_an_id_of_elsewhere_is_answered_as_one_of_nothing_and_nothing_is_written(firms: Firms) -> None:
    before = rows_written(firms.world, firms.other)
    for call in firms.calls:
        for path, keys in ids_sent(call):
            kind = kind_at(call.operation, path)
            if kind == "cursor":
                continue
            nothing = NO_UUID if kind in {"entry", "hours", "photo"} else NOWHERE
            status, expected = undone(firms.world, call, with_value(call.sent, keys, nothing))
            if (call.operation, path) not in CHOOSING:
                assert status in {400, 403, 404, 409}, (call.operation, path, status)
                assert set(expected) == PROBLEM_MEMBERS
            for where, things in firms.beyond.items():
                if where == "another job" and call.role == "office":
                    continue  # The office reaches every job.
                forged = getattr(things, kind)
                found = undone(firms.world, call, with_value(call.sent, keys, forged))
                same = json.loads(re.sub(rf"\b{forged}\b", str(nothing), json.dumps(found)))
                assert same == [status, expected], (call.operation, path, where)
    assert rows_written(firms.world, firms.other) == before


def test_what_is_no_id_is_refused_and_nothing_is_written(firms: Firms) -> None:
    before = rows_written(firms.world, firms.other)
    for call in firms.calls:
        for path, keys in ids_sent(call):
            for value in NO_IDS:
                if kind_at(call.operation, path) == "cursor" and value == "":
                    continue
                status, body = undone(firms.world, call, with_value(call.sent, keys, value))
                assert status in {400, 404}, (call.operation, path, value, status)
                assert set(body) == PROBLEM_MEMBERS, (call.operation, path, value)
    assert rows_written(firms.world, firms.other) == before


def test_a_cursor_of_another_firm_shows_nothing_of_it(firms: Firms) -> None:
    ours, theirs = Phone(firms.world.tokens["office"]), Phone(firms.other.tokens["office"])
    for operation, path in sorted(ids_of_schema()):
        if name_of(path) != "cursor":
            continue
        address = operations()[operation][1]
        there = theirs.get(address.format(job=firms.other.job), page_size=1).json()["next"]
        if there is None:
            continue
        cursor = dict(parse_qsl(urlsplit(there).query))["cursor"]
        own = ours.get(address.format(job=firms.world.job), page_size=200).json()["results"]
        answer = ours.get(address.format(job=firms.world.job), cursor=cursor).json()
        assert all(one in own for one in answer["results"]), operation
    changes = theirs.get("/api/changes/").json()
    assert firms.own.entry not in json.dumps(changes)
    answer = ours.get("/api/changes/", since=changes["cursor"])
    assert firms.beyond["another firm"].entry not in answer.content.decode()


def test_a_uuid_that_another_firm_used_is_free_and_one_of_another_job_tells_nothing(firms: Firms) -> None:
    for kind in ("entry", "hours"):
        call = next(call for call in firms.calls if call.operation == f"{kind}_log")
        theirs, far = (getattr(firms.beyond[where], kind) for where in ("another firm", "another job"))
        assert undone(firms.world, call, with_value(call.sent, ("body", "uuid"), theirs))[0] == 201
        status, problem = undone(firms.world, call, with_value(call.sent, ("body", "uuid"), far))
        assert (status, problem["type"]) == (409, "/api/problems/uuid-reused/")
        assert str(firms.beyond["another job"].unit) not in re.findall(r"\d+", problem["detail"].replace(far, ""))
