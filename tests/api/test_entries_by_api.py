"""Entries by the API: one, a batch, corrections; what is refused, with which status and which path."""

from __future__ import annotations

import json
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from jobs.models import AuditRecord, Device, Entry, JobAccess
from jobs.tenancy import organisation_scope
from tests.api.client import Phone, expect_problem
from tests.jobs.world import World, entry_json, unit_now
from tests.support.at_once import at_once


@pytest.fixture
def phone(world: World) -> Phone:
    return Phone(world.tokens["foreman"])


def test_an_entry_is_received_and_told_back(world: World, phone: Phone):
    body = entry_json(world, world.unit("A", "TRACK"), "12.5", note="north end")
    answer = phone.post("/api/entries/", body)
    assert answer.status_code == 201, answer.content
    told = answer.json()
    assert told["uuid"] == body["uuid"]
    assert told["quantity"] == "12.5"
    assert told["shares"] == [{"person": person, "quantity": "2.5"} for person in world.people]
    assert unit_now(world, world.unit("A", "TRACK")).done == 12.5
    with organisation_scope(world.organisation):
        audited = AuditRecord.objects.get(action="entry_log")
        assert audited.device_id == Device.objects.get(membership=world.foreman.membership).pk


def test_an_entry_sent_again_gets_the_same_answer_byte_for_byte(world: World, phone: Phone):
    body = entry_json(world, world.unit("A", "TRACK"), "all left")
    first, again = phone.post("/api/entries/", body), phone.post("/api/entries/", body)
    assert (first.status_code, again.status_code) == (201, 201)
    assert first.content == again.content


def test_thirty_two_phones_with_one_uuid_get_equal_answers(committed_world: World):
    world = committed_world
    body = entry_json(world, world.unit("A", "TRACK"), "2")
    answers = at_once(lambda _: Phone(world.tokens["foreman"]).post("/api/entries/", body).content, range(32))
    assert answers == [answers[0]] * 32
    assert unit_now(world, world.unit("A", "TRACK")).done == 2


def test_sixty_four_phones_end_exactly_at_the_measured_quantity(committed_world: World):
    world = committed_world
    unit = world.unit("A", "BOARD", "right")

    def claim(_: int) -> int:
        return Phone(world.tokens["foreman"]).post("/api/entries/", entry_json(world, unit, "3.3333")).status_code

    statuses = at_once(claim, range(64))
    assert set(statuses) <= {201, 409}
    rest = Phone(world.tokens["foreman"]).post("/api/entries/", entry_json(world, unit, "all left"))
    assert rest.status_code == 201
    stands = unit_now(world, unit)
    assert stands.done == stands.measured


def test_over_claim_is_a_conflict_that_says_what_is_left(world: World, phone: Phone):
    answer = phone.post("/api/entries/", entry_json(world, world.unit("A", "STUDS"), "9.5"))
    sentence = expect_problem(answer, 409, "over-claim")["quantity"]
    assert sentence == "Level 1, wall A, stand studs: 9.5 asked, 9 left of 9 each. Claim what is left."


def test_a_uuid_with_other_content_is_a_conflict_that_names_the_field(world: World, phone: Phone):
    body = entry_json(world, world.unit("A", "TRACK"), "2")
    phone.post("/api/entries/", body)
    sentence = expect_problem(phone.post("/api/entries/", body | {"quantity": "3"}), 409, "uuid-reused")["quantity"]
    assert "first sent with quantity 2, now with 3" in sentence


def test_another_member_s_uuid_is_a_conflict_without_content(world: World, phone: Phone):
    body = entry_json(world, world.unit("A", "TRACK"), "2.75")
    phone.post("/api/entries/", body)
    answer = Phone(world.tokens["office"]).post("/api/entries/", body)
    assert list(expect_problem(answer, 409, "uuid-reused")) == ["uuid"]
    assert b"2.75" not in answer.content


def test_a_correction_takes_the_place_of_an_entry(world: World, phone: Phone):
    first = entry_json(world, world.unit("A", "TRACK"), "5")
    phone.post("/api/entries/", first)
    correction = entry_json(world, 1, "4", replaces=first["uuid"])
    del correction["work_unit"]
    answer = phone.post("/api/entries/", correction)
    assert answer.status_code == 201, answer.content
    assert answer.json()["replaces"] == first["uuid"]
    assert unit_now(world, world.unit("A", "TRACK")).done == 4
    again = correction | {"uuid": str(uuid4())}
    assert "replaces" in expect_problem(phone.post("/api/entries/", again), 409, "already-replaced")


BAD: list[tuple[dict[str, Any], set[str]]] = [
    ({"uuid": "no"}, {"uuid"}),
    ({"uuid": None}, {"uuid"}),
    ({"work_unit": None}, {"work_unit"}),
    ({"work_unit": True}, {"work_unit"}),
    ({"work_unit": 2**63}, {"work_unit"}),
    ({"worked_on": "2026-02-30"}, {"worked_on"}),
    ({"worked_on": "20261118"}, {"worked_on"}),
    ({"worked_on": "9999-12-31"}, {"worked_on"}),
    ({"made_at": "2026-11-18T10:00:00"}, {"made_at"}),
    ({"quantity": 1.5}, {"quantity"}),
    ({"quantity": "-1"}, {"quantity"}),
    ({"quantity": "1.00001"}, {"quantity"}),
    ({"quantity": "0"}, {"quantity"}),
    ({"quantity": "NaN"}, {"quantity"}),
    ({"shares": None}, {"shares"}),
    ({"shares": []}, {"shares"}),
    ({"shares": {"by": "luck", "crew": 1}}, {"shares.by"}),
    ({"shares": {"by": "equal"}}, {"shares"}),
    ({"shares": {"by": "quantity", "crew": 1}}, {"shares.by"}),
    ({"shares": {"people": [{"person": 1}, {"person": 1}]}}, {"shares.people[1].person"}),
    ({"shares": {"people": [{"person": "x", "weight": "1"}]}}, {"shares.people[0].person", "shares.people[0].weight"}),
    ({"shares": {"by": "weight", "people": [{"person": 1, "weight": "0"}]}}, {"shares.people[0].weight"}),
    ({"note": "x" * 501}, {"note"}),
    ({"note": "\x00"}, {"note"}),
    ({"note": "\ud800"}, {"note"}),
    ({"colour": "red"}, {"colour"}),
    ({"uuid": 1, "quantity": {}, "worked_on": 3}, {"uuid", "quantity", "worked_on"}),
]


@pytest.mark.parametrize(("change", "paths"), BAD)
def test_every_value_that_cannot_be_used_is_named_by_its_path(
    world: World, phone: Phone, change: dict[str, Any], paths: set[str]
):
    body = entry_json(world, world.unit("A", "TRACK"), "1") | change
    assert set(expect_problem(phone.post("/api/entries/", body), 400, "invalid")) == paths
    with organisation_scope(world.organisation):
        assert not Entry.objects.exists()


@pytest.mark.parametrize(
    "body", [b"", b"{", b"[1, 2]", b'"text"', b"null", b"\xff\xfe", b'{"quantity": NaN}', b"1" * 5000]
)
def test_what_is_no_json_object_is_refused(phone: Phone, body: bytes):
    answer = phone.post("/api/entries/", body)
    assert answer.status_code == 400
    assert answer["Content-Type"] == "application/problem+json"


def test_what_is_not_there_or_not_his_is_said_alike(world: World, other: World, phone: Phone):
    def said(unit: int) -> str:
        answer = phone.post("/api/entries/", entry_json(world, unit, "1"))
        return expect_problem(answer, 404, "not-found")["work_unit"].replace(str(unit), "N")

    with organisation_scope(world.organisation):
        missing = said(10**15)
        assert said(other.unit("A", "TRACK")) == missing
        JobAccess.objects.filter(membership=world.foreman.membership).delete()
    assert said(world.unit("A", "TRACK")) == missing


def test_a_batch_answers_each_item_on_its_own(world: World, other: World, phone: Phone):
    track, studs = world.unit("A", "TRACK"), world.unit("A", "STUDS")
    good = entry_json(world, track, "1")
    first = entry_json(world, studs, "9")
    items: list[Any] = [
        good,
        entry_json(world, studs, "10"),
        first,
        entry_json(world, studs, "0.5"),
        good,
        entry_json(world, other.unit("A", "TRACK"), "1"),
        "rubbish",
        {"uuid": "x"},
        entry_json(world, track, "2", replaces=str(uuid4())),
    ]
    answer = phone.post("/api/entries/batch/", {"entries": items})
    assert answer.status_code == 200, answer.content
    outcomes = answer.json()["entries"]
    assert [one["status"] for one in outcomes] == [201, 409, 201, 409, 201, 404, 400, 400, 404]
    assert outcomes[0]["entry"] == outcomes[4]["entry"]
    assert [one["uuid"] for one in outcomes[:2]] == [items[0]["uuid"], items[1]["uuid"]]
    assert unit_now(world, track).done == 1
    assert unit_now(world, studs).done == 9


def test_a_batch_sent_again_after_a_cut_line_changes_nothing(world: World, phone: Phone):
    items = [entry_json(world, world.unit("A", "TRACK"), "1") for _ in range(5)]
    phone.post("/api/entries/batch/", {"entries": items[:3]})
    whole, again = (phone.post("/api/entries/batch/", {"entries": items}).json()["entries"] for _ in range(2))
    assert whole == again
    assert unit_now(world, world.unit("A", "TRACK")).done == 5


@pytest.mark.parametrize("body", [{}, {"entries": []}, {"entries": {}}, {"entries": [1] * 501}, {"items": []}])
def test_a_batch_has_one_to_five_hundred_items(phone: Phone, body: Any):
    assert "entries" in expect_problem(phone.post("/api/entries/batch/", body), 400, "invalid")


def test_the_number_of_queries_does_not_grow_with_the_batch(world: World, phone: Phone):
    def queries(count: int) -> int:
        items = [entry_json(world, world.unit("A", "TRACK"), "0.01") for _ in range(count)]
        with CaptureQueriesContext(
            connection,
        ) as captured:
            outcomes = phone.post("/api/entries/batch/", {"entries": items}).json()["entries"]
        assert {one["status"] for one in outcomes} == {201}
        return len(captured)

    phone.get("/api/jobs/")
    one = queries(1)
    assert queries(100) == queries(500) == one
    # BEGIN and COMMIT are a savepoint here: device, scope, lock, crew, receipts, and the one that writes.
    assert one <= 10


def test_two_batches_that_name_the_same_units_in_opposite_order_do_not_wait_for_ever(committed_world: World):
    world = committed_world
    units = [world.unit("A", "TRACK"), world.unit("B", "TRACK"), world.unit("A", "STUDS"), world.unit("B", "STUDS")]

    def send(turn: int) -> set[int]:
        order = units if turn % 2 else units[::-1]
        items = [entry_json(world, unit, "0.01") for unit in order * 5]
        answer = Phone(world.tokens["foreman"]).post("/api/entries/batch/", {"entries": items})
        return {one["status"] for one in answer.json()["entries"]}

    assert at_once(send, range(16)) == [{201}] * 16
    assert sum(float(unit_now(world, unit).done) for unit in units) == pytest.approx(16 * 20 * 0.01)


def test_an_accident_in_the_middle_of_a_request_leaves_nothing(committed_world: World, monkeypatch: pytest.MonkeyPatch):
    world = committed_world

    def accident(*_: object, **__: object) -> None:
        raise RuntimeError("the line was cut before the answer")

    monkeypatch.setattr("jobs.api.answers.entry_answer", accident)
    body = entry_json(world, world.unit("A", "TRACK"), "1")
    with pytest.raises(RuntimeError, match="cut before"):
        Phone(world.tokens["foreman"]).post("/api/entries/", body)
    assert unit_now(world, world.unit("A", "TRACK")).done == 0
    monkeypatch.undo()
    assert Phone(world.tokens["foreman"]).post("/api/entries/", body).status_code == 201
    with transaction.atomic(), organisation_scope(world.organisation):
        assert Entry.objects.filter(uuid=json.loads(json.dumps(body))["uuid"]).count() == 1
