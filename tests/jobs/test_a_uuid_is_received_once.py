"""Invariant: a UUID seen again returns the first answer; with other content it is refused, naming the difference."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.db import IntegrityError, transaction

from jobs.models import Entry, Receipt, User
from jobs.refusals import UuidReused
from jobs.requests import InspectionRequest, PersonAsked, SharesAsked
from jobs.services.entries import entry_batch_log, entry_correct, entry_log
from jobs.services.entry_state import EntryAnswer
from jobs.services.hours import hours_log
from jobs.services.inspections import inspection_record
from jobs.tenancy import organisation_scope
from tests.jobs.sql import as_application
from tests.jobs.world import DAY, NOW, World, entry, hours, unit_now
from tests.support.at_once import at_once


def test_the_first_answer_comes_again_even_when_nothing_is_left(world: World):
    unit = world.unit("A", "TRACK")
    request = entry(world, unit, None)
    first = entry_log(actor=world.foreman, request=request, now=NOW)
    assert entry_log(actor=world.foreman, request=request, now=NOW.replace(hour=23)) == first
    assert unit_now(world, unit).done == first.quantity


def test_thirty_two_threads_with_one_uuid_make_one_row_and_equal_answers(committed_world: World):
    world = committed_world
    unit = world.unit("A", "TRACK")
    request = entry(world, unit, "1.5")
    answers = at_once(lambda one: entry_log(actor=world.foreman, request=one, now=NOW), [request] * 32)
    assert answers == [answers[0]] * 32
    assert isinstance(answers[0], EntryAnswer)
    with transaction.atomic(), organisation_scope(world.organisation):
        assert Entry.objects.filter(uuid=request.uuid).count() == 1
    assert unit_now(world, unit).done == Decimal("1.5")


def test_thirty_two_threads_with_one_uuid_on_different_units_leave_one(committed_world: World):
    world = committed_world
    uuid = uuid4()
    units = [world.unit("A", "TRACK"), world.unit("B", "TRACK"), world.unit("A", "STUDS"), world.unit("B", "STUDS")]
    requests = [entry(world, units[n % 4], "1", uuid=uuid) for n in range(32)]
    outcomes = at_once(lambda one: entry_log(actor=world.foreman, request=one, now=NOW), requests)
    stand = {outcome for outcome in outcomes if isinstance(outcome, EntryAnswer)}
    assert len(stand) == 1
    assert all(isinstance(outcome, EntryAnswer | UuidReused) for outcome in outcomes)
    assert sum(unit_now(world, unit).done for unit in units) == 1


@pytest.mark.parametrize(
    ("field", "change"),
    [
        ("quantity", {"quantity": Decimal(3)}),
        ("quantity", {"quantity": None}),
        ("worked_on", {"worked_on": DAY.replace(day=17)}),
        ("note", {"note": "by the lift"}),
        ("shares", {"shares": SharesAsked(people=(PersonAsked(1),))}),
        ("work_unit", {"work_unit": 10**15}),
    ],
)
def test_other_content_under_the_same_uuid_is_refused_naming_the_field(
    world: World, field: str, change: dict[str, Any]
):
    request = entry(world, world.unit("A", "TRACK"), "2")
    entry_log(actor=world.foreman, request=request, now=NOW)
    with pytest.raises(UuidReused) as refused:
        entry_log(actor=world.foreman, request=replace(request, **change), now=NOW)
    assert [mistake.path for mistake in refused.value.mistakes] == [field]


def test_the_phone_s_clock_is_no_part_of_the_content(world: World):
    request = entry(world, world.unit("A", "TRACK"), "2")
    first = entry_log(actor=world.foreman, request=request, now=NOW)
    again = entry(world, request.work_unit, "2", uuid=request.uuid, made_at=NOW.replace(year=2031))
    assert entry_log(actor=world.foreman, request=again, now=NOW) == first


def test_another_user_s_uuid_is_answered_without_its_content(world: World):
    request = entry(world, world.unit("A", "TRACK"), "7.25")
    entry_log(actor=world.foreman, request=request, now=NOW)
    with pytest.raises(UuidReused) as refused:
        entry_log(actor=world.actors["office"], request=request, now=NOW)
    assert [mistake.path for mistake in refused.value.mistakes] == ["uuid"]
    assert "7.25" not in str(refused.value)


def test_a_uuid_is_used_once_over_every_kind_of_operation(world: World):
    request = entry(world, world.unit("A", "TRACK"), "2")
    entry_log(actor=world.foreman, request=request, now=NOW)
    with pytest.raises(UuidReused, match="first sent for entry, now for hours"):
        hours_log(actor=world.foreman, request=hours(world, world.people[0], 60, uuid=request.uuid), now=NOW)
    verdict = InspectionRequest(request.uuid, world.unit("A", "TRACK"), "accepted", "", DAY, NOW)
    with pytest.raises(UuidReused, match="now for inspection"):
        inspection_record(actor=world.foreman, request=verdict, now=NOW)


def test_two_organisations_may_use_the_same_uuid(worlds: tuple[World, World, User]):
    world, other, _ = worlds
    uuid = uuid4()
    first = entry_log(actor=world.foreman, request=entry(world, world.unit("A", "TRACK"), "1", uuid=uuid), now=NOW)
    second = entry_log(actor=other.foreman, request=entry(other, other.unit("A", "TRACK"), "2", uuid=uuid), now=NOW)
    assert (first.quantity, second.quantity) == (1, 2)


def test_a_uuid_twice_in_one_batch_is_one_entry_or_a_refusal(world: World):
    unit = world.unit("A", "TRACK")
    request = entry(world, unit, "2")
    changed = entry(world, unit, "3", uuid=request.uuid)
    first, same, other = entry_batch_log(actor=world.foreman, requests=[request, request, changed], now=NOW)
    assert first == same
    assert isinstance(other, UuidReused)
    assert unit_now(world, unit).done == 2


def test_a_refused_entry_leaves_its_uuid_free(world: World):
    unit = world.unit("A", "TRACK")
    request = entry(world, unit, "2", shares=SharesAsked(crew=world.crew + 999_999))
    outcome = entry_batch_log(actor=world.foreman, requests=[request], now=NOW)[0]
    assert type(outcome).__name__ == "NotFound"
    assert entry_log(actor=world.foreman, request=entry(world, unit, "2", uuid=request.uuid), now=NOW).quantity == 2


def test_a_correction_sent_again_gets_its_first_answer(world: World):
    first = entry(world, world.unit("A", "TRACK"), "5")
    entry_log(actor=world.foreman, request=first, now=NOW)
    correction = entry(world, None, "4", replaces=first.uuid)
    answer = entry_correct(actor=world.foreman, request=correction, now=NOW)
    assert entry_correct(actor=world.foreman, request=correction, now=NOW) == answer
    assert answer.replaces == first.uuid


def test_the_database_refuses_a_second_receipt_and_an_entry_without_one(world: World):
    request = entry(world, world.unit("A", "TRACK"), "2")
    answer = entry_log(actor=world.foreman, request=request, now=NOW)
    with organisation_scope(world.organisation):
        receipt = Receipt.objects.get(uuid=request.uuid)
        receipt.pk = None
        with pytest.raises(IntegrityError, match="receipt_uuid_is_used_once"), transaction.atomic():
            receipt.save(force_insert=True)
    columns = "organisation_id, job_id, work_unit_id, worked_on, quantity, logged_by_id, received_at"
    copy = f"INSERT INTO jobs_entry (uuid, {columns}) SELECT gen_random_uuid(), {columns} FROM jobs_entry"
    with pytest.raises(IntegrityError, match="jobs_entry_uuid_own"):
        as_application(world, f"{copy} WHERE id = %s", [answer.id])
