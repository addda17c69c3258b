"""A phone back on line: operations of every kind in any order, each on its own, exactly once, whatever is cut off."""

from __future__ import annotations

import json
import random
import socket
from datetime import UTC, datetime
from typing import Any
from urllib.parse import urlsplit
from uuid import uuid4

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from jobs.models import Entry, Hours, Inspection, Receipt
from jobs.tenancy import organisation_scope
from tests.api.client import Phone, expect_problem
from tests.jobs.world import DAY, NOW, World, entry_json, unit_now
from tests.support.at_once import at_once


@pytest.fixture
def phone(world: World) -> Phone:
    return Phone(world.tokens["foreman"])


def hours_json(world: World, person: int = 0, hours: str = "0:10", **changes: Any) -> dict[str, Any]:
    return {
        "uuid": str(uuid4()), "job": world.job, "person": world.people[person], "worked_on": DAY.isoformat(),
        "kind": "piece", "hours": hours, "made_at": NOW.isoformat(),
    } | changes  # fmt: skip


def inspection_json(unit: int, **changes: Any) -> dict[str, Any]:
    return {
        "uuid": str(uuid4()), "work_unit": unit, "verdict": "accepted", "inspected_on": DAY.isoformat(),
        "made_at": NOW.isoformat(),
    } | changes  # fmt: skip


def correction_json(world: World, of: str, quantity: str) -> dict[str, Any]:
    body = entry_json(world, 1, quantity, replaces=of)
    del body["work_unit"]
    return body


def mixed(world: World, count: int) -> list[dict[str, Any]]:
    """Entries, hours and inspections, four in five of them the first two."""
    track = world.unit("A", "TRACK")
    kinds = (
        lambda n: {"entry": entry_json(world, track, "0.01")},
        lambda n: {"hours": hours_json(world, n % 5, "0:01")},
        lambda n: {"entry": entry_json(world, world.unit("B", "TRACK"), "0.01")},
        lambda n: {"hours": hours_json(world, (n + 1) % 5, "0:01")},
        lambda n: {"inspection": inspection_json(track)},
    )
    return [kinds[n % 5](n) for n in range(count)]


def send(phone: Phone, operations: list[Any]) -> list[dict[str, Any]]:
    answer = phone.post("/api/sync/", {"operations": operations})
    assert answer.status_code == 200, answer.content
    return answer.json()["operations"]


def test_every_kind_in_scrambled_order_with_corrections_before_their_firsts(world: World, phone: Phone):
    first, time = entry_json(world, world.unit("A", "TRACK"), "5"), hours_json(world, hours="8:00")
    operations = [
        {"entry": correction_json(world, first["uuid"], "4")},
        {"hours": hours_json(world, hours="7:30", replaces=time["uuid"])},
        {"inspection": inspection_json(world.unit("A", "TRACK"), verdict="reopened", reason="a pin is out")},
        {"entry": first},
        {"hours": time},
    ]
    dice = random.Random(3)
    dice.shuffle(operations)
    outcomes = send(phone, operations)
    assert [one["status"] for one in outcomes] == [201] * 5
    assert [set(one) & {"entry", "hours", "inspection"} for one in outcomes] == [set(one) for one in operations]
    assert unit_now(world, world.unit("A", "TRACK")).done == 4
    with organisation_scope(world.organisation):
        assert Hours.objects.get(replaces__isnull=False).minutes == 450


def test_what_is_refused_leaves_the_others_alone_and_names_its_path(world: World, other: World, phone: Phone):
    track = world.unit("A", "TRACK")
    outcomes = send(
        phone,
        [
            {"entry": entry_json(world, track, "1")},
            {"entry": entry_json(world, track, "99999")},
            {"entry": entry_json(world, other.unit("A", "TRACK"), "1")},
            {"hours": hours_json(world, hours="25:01")},
            {"hours": hours_json(world, kind="golf")},
            {"inspection": inspection_json(track, verdict="reopened")},
            {"hours": hours_json(world)},
            {"entry": {}, "hours": {}},
            {"song": {}},
            "rubbish",
            {"entry": correction_json(world, str(uuid4()), "1")},
        ],
    )
    assert [one["status"] for one in outcomes] == [201, 409, 404, 400, 400, 400, 201, 400, 400, 400, 404]
    paths = [{error["path"] for error in one["problem"]["errors"]} for one in outcomes if "problem" in one]
    assert paths[:5] == [{"quantity"}, {"work_unit"}, {"hours"}, {"kind"}, {"reason"}]
    assert unit_now(world, track).done == 1


def test_sent_again_whole_or_in_part_the_answers_are_the_same(world: World, phone: Phone):
    operations = mixed(world, 20)
    first = send(phone, operations)
    assert send(phone, operations) == first
    assert send(phone, operations[7:12]) == first[7:12]
    assert send(phone, operations[::-1]) == first[::-1]
    assert unit_now(world, world.unit("A", "TRACK")).done * 100 == 4


def test_a_uuid_under_two_kinds_in_one_list_stands_once(world: World, phone: Phone):
    uuid = str(uuid4())
    operations = [
        {"inspection": inspection_json(world.unit("A", "TRACK"), uuid=uuid)},
        {"hours": hours_json(world, uuid=uuid)},
        {"entry": entry_json(world, world.unit("A", "TRACK"), "1", uuid=uuid)},
        {"hours": hours_json(world, uuid=uuid)},
    ]
    assert [one["status"] for one in send(phone, operations)] == [409, 409, 201, 409]
    with organisation_scope(world.organisation):
        assert Receipt.objects.filter(uuid=uuid).count() == 1


@pytest.mark.parametrize("made_at", ["1970-01-01T00:00:00+00:00", "2099-12-31T23:59:59-12:00"])
def test_a_phone_s_clock_may_be_as_wrong_as_it_likes(world: World, phone: Phone, made_at: str):
    before = datetime.now(UTC)
    outcomes = send(
        phone,
        [
            {"entry": entry_json(world, world.unit("A", "TRACK"), "1", made_at=made_at)},
            {"hours": hours_json(world, made_at=made_at)},
            {"inspection": inspection_json(world.unit("A", "TRACK"), made_at=made_at)},
        ],
    )
    assert [one["status"] for one in outcomes] == [201] * 3
    told = [datetime.fromisoformat(next(v for k, v in one.items() if k not in {"uuid", "status"})["received_at"])
            for one in outcomes]  # fmt: skip
    assert all(before <= moment <= datetime.now(UTC) for moment in told)


def test_the_number_of_queries_does_not_grow_with_the_list(world: World, phone: Phone):
    def queries(count: int) -> int:
        operations = mixed(world, count)
        with CaptureQueriesContext(connection) as captured:
            outcomes = send(phone, operations)
        assert {one["status"] for one in outcomes} == {201}
        return len(captured)

    phone.get("/api/jobs/")
    assert queries(10) == queries(100) == queries(500)


@pytest.mark.parametrize(
    "body", [{}, {"operations": {}}, {"operations": [1] * 501}, {"items": []}, {"operations": [], "since": 7}, []]
)
def test_what_is_no_list_of_five_hundred_at_most_is_refused(phone: Phone, body: Any):
    expect_problem(phone.post("/api/sync/", body), 400, "invalid")


def test_the_changes_come_in_the_same_answer_with_what_was_just_received(world: World, phone: Phone):
    unit = world.unit("A", "TRACK")
    body = {"operations": [{"entry": entry_json(world, unit, "5")}], "since": None}
    changes = phone.post("/api/sync/", body).json()["changes"]
    assert changes["whole"] and changes["reach"]["jobs"] == [world.job]
    assert next(one for one in changes["work_units"] if one["id"] == unit)["done"] == "5"
    assert "changes" not in phone.post("/api/sync/", {"operations": []}).json()
    again = phone.get("/api/changes/", since=changes["cursor"])
    assert again.status_code == 200 and not again.json()["whole"]
    assert "since" in expect_problem(phone.get("/api/changes/", since="mine"), 400, "invalid")


def test_thirty_two_threads_with_the_same_list_get_equal_answers(committed_world: World):
    world = committed_world
    body = {"operations": mixed(world, 5)}
    answers = at_once(lambda _: Phone(world.tokens["foreman"]).post("/api/sync/", body).content, range(32))
    assert answers == [answers[0]] * 32
    assert {one["status"] for one in json.loads(answers[0])["operations"]} == {201}
    assert _count(world) == (2, 2, 1)


def test_lists_that_name_the_same_units_and_people_in_opposite_order_end(committed_world: World):
    world = committed_world

    def turn(nth: int) -> set[int]:
        operations = mixed(world, 25)
        return {one["status"] for one in send(Phone(world.tokens["foreman"]), operations[:: 1 if nth % 2 else -1])}

    assert at_once(turn, range(12)) == [{201}] * 12
    assert _count(world) == (12 * 10, 12 * 10, 12 * 5)


CUTS = ["request line", "headers", "before the body", "first byte", "middle", "last byte missing", "before the answer"]


@pytest.mark.parametrize("cut", CUTS)
def test_a_list_cut_off_on_the_line_and_sent_again_is_received_once(committed_world: World, live_site: str, cut: str):
    world = committed_world
    operations = mixed(world, 5)
    body = json.dumps({"operations": operations}).encode()
    head = (
        f"POST /api/sync/ HTTP/1.1\r\nHost: {urlsplit(live_site).netloc}\r\nContent-Type: application/json\r\n"
        f"Authorization: Token {world.tokens['foreman']}\r\nContent-Length: {len(body)}\r\nConnection: close\r\n\r\n"
    ).encode()
    whole = head + body
    upto = {
        "request line": 9, "headers": len(head) - 30, "before the body": len(head), "first byte": len(head) + 1,
        "middle": len(head) + len(body) // 2, "last byte missing": len(whole) - 1, "before the answer": len(whole),
    }[cut]  # fmt: skip
    _say(live_site, whole[:upto])
    if cut != "before the answer":
        assert _count(world) == (0, 0, 0)
    answer = _say(live_site, whole, listen=True)
    assert b" 200 " in answer.split(b"\r\n")[0]
    told = json.loads(answer.partition(b"\r\n\r\n")[2])["operations"]
    assert [one["status"] for one in told] == [201] * 5
    assert _count(world) == (2, 2, 1)
    assert send(Phone(world.tokens["foreman"]), operations) == told


def _say(address: str, what: bytes, *, listen: bool = False) -> bytes:
    parts = urlsplit(address)
    with socket.create_connection((parts.hostname, parts.port), timeout=30) as line:
        line.sendall(what)
        if not listen:
            return b""
        heard = b""
        while part := line.recv(65536):
            heard += part
        return heard


def _count(world: World) -> tuple[int, int, int]:
    with transaction.atomic(), organisation_scope(world.organisation):
        return Entry.objects.count(), Hours.objects.count(), Inspection.objects.count()
