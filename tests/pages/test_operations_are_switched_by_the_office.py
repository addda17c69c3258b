"""Operations are listed with measure, unit and grain; one that is off keeps its work units and gets no new ones."""

from __future__ import annotations

import re
from html import unescape

import pytest
from django.db import connection, transaction
from django.http import HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.measures import MEASURES
from jobs.models import AuditRecord, Operation, WorkUnit
from jobs.refusals import OverClaim
from jobs.selectors.plan_difference import plan_difference
from jobs.services.entries import entry_log
from jobs.services.operations import STARTING_SET, OperationFacts, operation_create
from jobs.services.plans import plan_import
from jobs.tenancy import organisation_scope
from tests.jobs.fixtures import committed_world, committed_worlds
from tests.jobs.world import NOW, PLAN, World, entry, plan_bytes, unit_now
from tests.pages.conftest import signed_in
from tests.support.at_once import at_once

__all__ = ["committed_world", "committed_worlds"]


@pytest.fixture
def client(world: World) -> Client:
    return signed_in(world.actors["office"])


def operation(world: World, code: str = "BOARD") -> Operation:
    with transaction.atomic(), organisation_scope(world.organisation):
        return Operation.objects.get(code=code)


def switch(client: Client, number: object, to: str) -> HttpResponse:
    return client.post(reverse("operations"), {"operation": str(number), "to": to})


def records(world: World) -> list[AuditRecord]:
    with transaction.atomic(), organisation_scope(world.organisation):
        return list(AuditRecord.objects.filter(action="operation_switch").order_by("pk"))


def text_of(answer: HttpResponse) -> str:
    return unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode())))


def revise(world: World, *walls: dict[str, object]) -> None:
    source = plan_bytes(levels=[{"name": "Level 1", "walls": list(walls)}])
    plan_import(actor=world.owner, job=world.job, source=source, source_name="room.json", now=NOW)


def test_the_starting_set_is_listed_with_what_measures_it(world: World, client: Client) -> None:
    page = text_of(client.get(reverse("operations")))
    for facts in STARTING_SET:
        assert facts.grain in MEASURES[facts.measure].grains
        grain = "layer of a face" if facts.grain == "layer" else facts.grain
        row = f"{facts.name} {facts.code} {facts.measure} {MEASURES[facts.measure].unit} {grain}"
        assert row in page, row
    assert re.search(r"frame opening OPENING openings each opening 1 on 1 job on", page)


def test_one_that_is_off_keeps_its_work_and_gets_none(world: World, client: Client) -> None:
    a, b = PLAN["levels"][0]["walls"]
    unit = world.unit("A", "BOARD", "left")
    measured = unit_now(world, unit).measured
    board = operation(world)
    answer = client.post(reverse("operations"), {"operation": board.pk, "to": "off"}, follow=True)
    assert re.search(r"Hang board is off\. \d+ work units with something left stay open\.", text_of(answer))
    revise(world, a | {"height": "8'-0\""}, b, a | {"mark": "C", "from": [300, 0], "to": [420, 0]})
    assert unit_now(world, unit).measured == measured
    entry_log(actor=world.foreman, request=entry(world, unit, None), now=NOW)
    assert unit_now(world, unit).done == measured
    with organisation_scope(world.organisation):
        assert set(WorkUnit.objects.filter(wall__mark="C").values_list("operation__code", flat=True)) >= {"TRACK"}
        assert not WorkUnit.objects.filter(wall__mark="C", operation=board.pk).exists()
    assert "Hang board is on." in text_of(
        client.post(reverse("operations"), {"operation": board.pk, "to": "on"}, follow=True)
    )
    revise(world, a | {"height": "8'-0\""}, b, a | {"mark": "C", "from": [300, 0], "to": [420, 0]})
    assert unit_now(world, unit).measured < measured == unit_now(world, unit).done
    with organisation_scope(world.organisation):
        assert WorkUnit.objects.filter(wall__mark="C", operation=board.pk).exists()


def test_a_wall_that_leaves_the_plan_leaves_nothing_to_log(world: World, client: Client) -> None:
    a, b = PLAN["levels"][0]["walls"]
    kept, gone = world.unit("A", "BOARD", "left"), world.unit("B", "BOARD", "right")
    measured, paid = unit_now(world, kept).measured, entry(world, gone, "5")
    entry_log(actor=world.foreman, request=paid, now=NOW)
    switch(client, operation(world).pk, "off")
    source = plan_bytes(levels=[{"name": "Level 1", "walls": [a]}])
    with transaction.atomic(), organisation_scope(world.organisation):
        shown = plan_difference(actor=world.owner, job=world.job, source=source, source_name="room.json")
    [wall] = [one for one in shown.walls if one.mark == "B"]
    assert [(one.after, one.done, one.past) for one in wall.units if one.id == gone] == [(0, 5, 5)]
    revise(world, a)
    assert unit_now(world, kept).measured == measured
    assert (unit_now(world, gone).measured, unit_now(world, gone).done) == (0, 5)
    with pytest.raises(OverClaim):
        entry_log(actor=world.foreman, request=entry(world, gone, "1"), now=NOW)
    # Drawn again while the operation is in use, it is measured again.
    switch(client, operation(world).pk, "on")
    revise(world, a, b)
    assert unit_now(world, gone).measured > 0


def test_it_is_audited_and_twice_is_once(world: World, client: Client) -> None:
    board = operation(world)
    assert switch(client, board.pk, "off").status_code == switch(client, board.pk, "off").status_code == 302
    (record,) = records(world)
    assert (record.actor_id, record.subject_key) == (world.actors["office"].membership, str(board.pk))
    assert (record.before, record.after) == ({"active": True}, {"active": False})


@pytest.mark.parametrize("number", ["", "x", "-1", "1.5", "9" * 30, "٣", "\0"])
def test_garbage_switches_nothing(world: World, client: Client, number: str) -> None:
    assert switch(client, number, "off").status_code == 400
    assert switch(client, operation(world).pk, "sideways").status_code == 400
    assert switch(client, 10**15, "off").status_code == 404
    assert records(world) == []


def test_nobody_else_switches(world: World, other: World) -> None:
    board = operation(world)
    assert switch(signed_in(other.owner), board.pk, "off").status_code == 404
    for role in ("foreman", "worker"):
        assert switch(signed_in(world.actors[role]), board.pk, "off").status_code == 403
    assert operation(world).active


def test_two_at_once_are_one_change(committed_world: World) -> None:
    board = operation(committed_world)
    clients = [signed_in(committed_world.actors[role]) for role in ("owner", "office")]
    assert at_once(lambda one: switch(one, board.pk, "off").status_code, clients) == [302, 302]
    assert len(records(committed_world)) == 1


def test_queries_do_not_grow_with_operations(world: World, client: Client) -> None:
    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            client.get(reverse("operations"))
        return len(queries)

    before = asked()
    for n in range(5):
        operation_create(actor=world.owner, facts=OperationFacts(f"X{n}", f"extra {n}", "extras", "wall"), now=NOW)
    assert asked() == before
