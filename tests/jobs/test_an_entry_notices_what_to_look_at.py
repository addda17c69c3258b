"""Notices, not refusals: a face before the loose stud is tied, out of order, before framing, after an inspection.

Which face goes first at the test world's corner is common practice, no source: wall A runs through, so the board on
its left face stands in wall B's slot and ties its loose stud; then B's right face, then B's left, then A's right.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.notices import Notice
from jobs.requests import FEET, SHEETS, EntryRequest, InspectionRequest, PartAsked
from jobs.services.entries import entry_batch_log, entry_log
from jobs.services.entry_state import EntryAnswer
from jobs.services.inspections import inspection_record
from jobs.services.sync import operations_receive
from tests.jobs.world import DAY, NOW, World, entry


def notices(world: World, mark: str, operation: str, part: str = "", quantity: str | None = "1") -> list[Notice]:
    request = entry(world, world.unit(mark, operation, part), quantity)
    return list(entry_log(actor=world.foreman, request=request, now=NOW).notices)


def kinds(found: Iterable[Notice]) -> list[str]:
    return [notice.kind for notice in found if notice.kind != "no price"]


def stand(world: World, *marks: str) -> None:
    """Track and studs of the walls are done."""
    for mark in marks:
        for operation in ("TRACK", "STUDS"):
            entry_log(actor=world.foreman, request=entry(world, world.unit(mark, operation), None), now=NOW)


def test_board_before_framing_names_what_does_not_stand(world: World):
    found = [one for one in notices(world, "A", "BOARD", "left") if one.kind == "framing first"]
    assert len(found) == 2
    assert "stand studs stands at 0 of 9" in found[0].sentence + found[1].sentence
    assert all(one.next for one in found)
    stand(world, "A")
    assert kinds(notices(world, "A", "BOARD", "left")) == []


def test_the_face_that_ties_the_loose_stud_goes_first(world: World):
    stand(world, "A", "B")
    found = notices(world, "B", "BOARD", "right")
    assert kinds(found) == ["loose stud"]
    assert "wall A, left face" in found[0].sentence
    assert "loose stud of wall B" in found[0].sentence
    notices(world, "A", "BOARD", "left", None)
    assert kinds(notices(world, "B", "BOARD", "right")) == []


def test_the_outside_before_the_inside_is_out_of_order(world: World):
    stand(world, "A", "B")
    notices(world, "A", "BOARD", "left", None)
    assert kinds(notices(world, "B", "BOARD", "left")) == ["hanging order"]


def test_named_sheets_away_from_the_corner_are_not_noticed(world: World):
    stand(world, "A", "B")
    away = entry(world, world.unit("B", "BOARD", "right"), None, part=PartAsked(SHEETS, steps=(12,)))
    at_the_corner = entry(world, world.unit("B", "BOARD", "right"), None, part=PartAsked(SHEETS, steps=(9,)))
    first, second = entry_batch_log(actor=world.foreman, requests=[away, at_the_corner], now=NOW)
    assert isinstance(first, EntryAnswer)
    assert isinstance(second, EntryAnswer)
    assert kinds(first.notices) == []
    assert kinds(second.notices) == ["loose stud"]


def test_what_comes_in_the_same_batch_counts_in_any_order(world: World):
    stand(world, "A", "B")
    inside = entry(world, world.unit("B", "BOARD", "right"), "1")
    first = entry(world, world.unit("A", "BOARD", "left"), None)
    answers = operations_receive(actor=world.foreman, operations=[inside, first], now=NOW)
    assert all(isinstance(one, EntryAnswer) and kinds(one.notices) == [] for one in answers)


def test_more_work_after_an_inspection_is_noticed(world: World):
    unit = world.unit("A", "TRACK")
    notices(world, "A", "TRACK", quantity="2")
    for verdict, reason in (("accepted", ""), ("reopened", "a splice stands open")):
        asked = InspectionRequest(uuid4(), unit, verdict, reason, DAY, made_at=NOW)
        inspection_record(actor=world.foreman, request=asked, now=NOW)
        found = [one for one in notices(world, "A", "TRACK") if one.kind == "inspected"]
        assert [verdict in one.sentence for one in found] == [True]


def test_a_request_sent_again_gets_the_notices_of_the_first(world: World):
    request = entry(world, world.unit("B", "BOARD", "right"), "1")
    first = entry_log(actor=world.foreman, request=request, now=NOW)
    stand(world, "A", "B")
    assert entry_log(actor=world.foreman, request=request, now=NOW) == first
    assert first.notices


@pytest.mark.parametrize("size", [8, 40])
def test_one_entry_takes_as_many_statements_as_many_do(world: World, size: int):
    def asked(size: int) -> list[EntryRequest]:
        faces = [("A", "left"), ("A", "right"), ("B", "left"), ("B", "right")] * (size // 4)
        tenth = PartAsked(FEET, Fraction(1, 10))
        return [entry(world, world.unit(mark, "BOARD", face), None, part=tenth) for mark, face in faces]

    def taken(size: int) -> int:
        requests = asked(size)
        with CaptureQueriesContext(connection) as seen:
            answers = entry_batch_log(actor=world.foreman, requests=requests, now=NOW)
        assert all(isinstance(one, EntryAnswer) and one.notices for one in answers)
        return len(seen)

    assert taken(4) == taken(size)
