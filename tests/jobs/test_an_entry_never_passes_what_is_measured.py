"""Invariant: entries never take a work unit past its measured quantity; a correction that lowers always passes."""

from __future__ import annotations

from decimal import Decimal
from uuid import uuid4

import pytest
from django.db import DatabaseError, connection, transaction

from jobs.models import Entry
from jobs.refusals import AlreadyReplaced, Invalid, OverClaim
from jobs.requests import EntryRequest
from jobs.services.entries import entry_batch_log, entry_correct, entry_log
from jobs.services.entry_state import EntryAnswer
from jobs.services.plans import plan_import
from jobs.tenancy import organisation_scope
from tests.jobs.sql import as_application
from tests.jobs.world import DAY, NOW, PLAN, World, entry, plan_bytes, unit_now
from tests.support.at_once import at_once


def test_all_that_is_left_takes_the_whole_and_then_nothing_is_left(world: World):
    unit = world.unit("A", "BOARD", "left")
    measured = unit_now(world, unit).measured
    answer = entry_log(actor=world.foreman, request=entry(world, unit, None), now=NOW)
    assert answer.quantity == measured > 0
    with pytest.raises(OverClaim, match=r"nothing is left|Nothing is left"):
        entry_log(actor=world.foreman, request=entry(world, unit, None), now=NOW)


def test_one_ten_thousandth_too_much_is_refused_and_leaves_nothing(world: World):
    unit = world.unit("A", "TRACK")
    measured = unit_now(world, unit).measured
    with pytest.raises(OverClaim) as refused:
        entry_log(actor=world.foreman, request=entry(world, unit, str(measured + Decimal("0.0001"))), now=NOW)
    assert refused.value.mistakes[0].path == "quantity"
    assert "wall A" in str(refused.value)
    assert unit_now(world, unit).done == 0


def test_a_batch_counts_its_own_entries_against_each_other(world: World):
    unit = world.unit("A", "TRACK")
    half = (unit_now(world, unit).measured * Decimal("0.6")).quantize(Decimal("0.0001"))
    first, second = entry_batch_log(
        actor=world.foreman, requests=[entry(world, unit, str(half)), entry(world, unit, str(half))], now=NOW
    )
    assert isinstance(first, EntryAnswer)
    assert isinstance(second, OverClaim)
    assert unit_now(world, unit).done == half


def test_sixty_four_threads_end_exactly_at_the_measured_quantity(committed_world: World):
    world = committed_world
    unit = world.unit("A", "STUDS")
    measured = unit_now(world, unit).measured
    # Each asks for a third of a tenth or so: far more than there is, in parts that do not divide it.
    part = (measured / 30).quantize(Decimal("0.0001"))
    requests: list[EntryRequest] = [entry(world, unit, str(part)) for _ in range(60)]
    requests += [entry(world, unit, None) for _ in range(4)]
    answers = at_once(lambda request: entry_log(actor=world.foreman, request=request, now=NOW), requests)
    assert all(isinstance(answer, EntryAnswer | OverClaim) for answer in answers)
    taken = sum((answer.quantity for answer in answers if isinstance(answer, EntryAnswer)), Decimal(0))
    stands = unit_now(world, unit)
    assert taken == stands.done == measured


def test_the_database_itself_refuses_past_measured_by_raw_sql(world: World):
    unit = world.unit("A", "TRACK")
    measured = unit_now(world, unit).measured
    with pytest.raises(DatabaseError, match="past its measured"), transaction.atomic():
        raw_entry(world, unit, measured + 1)
    raw_entry(world, unit, measured)
    assert unit_now(world, unit).done == measured


def test_sixty_four_threads_of_raw_sql_do_not_pass_either(committed_world: World):
    world = committed_world
    unit = world.unit("A", "STUDS")
    measured = unit_now(world, unit).measured

    def claim(quantity: Decimal) -> None:
        with transaction.atomic():
            raw_entry(world, unit, quantity)

    outcomes = at_once(claim, [Decimal(1)] * 64)
    assert sum(outcome is None for outcome in outcomes) == measured
    assert unit_now(world, unit).done == measured


def test_the_application_cannot_write_what_is_done(world: World):
    with pytest.raises(DatabaseError, match="permission denied"):
        as_application(world, "UPDATE jobs_workunit SET done = 0")
    columns = "organisation_id, job_id, level_id, wall_id, operation_id, face, opening, measured, revision_id, because"
    copy = f"INSERT INTO jobs_workunit ({columns}, layer, done) SELECT {columns}, layer + 7, 1"
    with pytest.raises(DatabaseError, match="done starts at 0"):
        as_application(world, f"{copy} FROM jobs_workunit LIMIT 1")


def test_a_correction_passes_the_guard_without_the_entry_it_replaces(world: World):
    unit = world.unit("A", "TRACK")
    measured = unit_now(world, unit).measured
    first = entry(world, unit, "5")
    entry_log(actor=world.foreman, request=first, now=NOW)
    whole = entry(world, None, str(measured), replaces=first.uuid)
    assert entry_correct(actor=world.foreman, request=whole, now=NOW).quantity == measured
    over = entry(world, None, str(measured + 1), replaces=whole.uuid)
    with pytest.raises(OverClaim):
        entry_correct(actor=world.foreman, request=over, now=NOW)
    nothing = entry(world, None, "0", replaces=whole.uuid)
    assert entry_correct(actor=world.foreman, request=nothing, now=NOW).quantity == 0
    assert unit_now(world, unit).done == 0


def test_an_entry_is_replaced_at_most_once(world: World):
    unit = world.unit("A", "TRACK")
    first = entry(world, unit, "5")
    entry_log(actor=world.foreman, request=first, now=NOW)
    entry_correct(actor=world.foreman, request=entry(world, None, "4", replaces=first.uuid), now=NOW)
    with pytest.raises(AlreadyReplaced):
        entry_correct(actor=world.foreman, request=entry(world, None, "3", replaces=first.uuid), now=NOW)
    assert unit_now(world, unit).done == 4


def test_thirty_two_corrections_of_one_entry_at_once_leave_one(committed_world: World):
    world = committed_world
    unit = world.unit("A", "TRACK")
    first = entry(world, unit, "5")
    entry_log(actor=world.foreman, request=first, now=NOW)
    requests = [entry(world, None, str(n % 9), replaces=first.uuid) for n in range(32)]
    outcomes = at_once(lambda request: entry_correct(actor=world.foreman, request=request, now=NOW), requests)
    stand = [outcome for outcome in outcomes if isinstance(outcome, EntryAnswer)]
    assert len(stand) == 1
    assert all(isinstance(outcome, EntryAnswer | AlreadyReplaced) for outcome in outcomes)
    assert unit_now(world, unit).done == stand[0].quantity


def test_a_correction_and_its_original_may_stand_in_one_batch_in_any_order(world: World):
    unit = world.unit("A", "TRACK")
    first = entry(world, unit, "5")
    second = entry(world, None, "3", replaces=first.uuid)
    third = entry(world, None, "2", replaces=second.uuid)
    outcomes = entry_batch_log(actor=world.foreman, requests=[third, second, first], now=NOW)
    assert [outcome.quantity for outcome in outcomes if isinstance(outcome, EntryAnswer)] == [2, 3, 5]
    assert unit_now(world, unit).done == 2


def test_of_two_corrections_of_one_entry_in_a_batch_the_first_stands(world: World):
    unit = world.unit("A", "TRACK")
    first = entry(world, unit, "5")
    entry_log(actor=world.foreman, request=first, now=NOW)
    corrections = [entry(world, None, quantity, replaces=first.uuid) for quantity in ("4", "3")]
    stands, refused, other = entry_batch_log(
        actor=world.foreman, requests=[*corrections, entry(world, unit, "1")], now=NOW
    )
    assert isinstance(stands, EntryAnswer)
    assert isinstance(refused, AlreadyReplaced)
    assert isinstance(other, EntryAnswer)
    assert unit_now(world, unit).done == 5


def test_corrections_that_name_each_other_in_a_ring_are_refused(world: World):
    one, two = uuid4(), uuid4()
    ring = [entry(world, None, "1", uuid=one, replaces=two), entry(world, None, "1", uuid=two, replaces=one)]
    outcomes = entry_batch_log(actor=world.foreman, requests=ring, now=NOW)
    assert [type(outcome).__name__ for outcome in outcomes] == ["NotFound", "NotFound"]


def test_a_wall_that_shrank_below_what_is_done_has_nothing_left_and_lowering_passes(world: World):
    unit = world.unit("A", "TRACK")
    first = entry(world, unit, None)
    whole = entry_log(actor=world.foreman, request=first, now=NOW).quantity
    wall_a, wall_b = (dict(wall) for wall in _walls())
    wall_a["to"] = [60, 0]
    shorter = plan_bytes(levels=[{"name": "Level 1", "walls": [wall_a, wall_b]}])
    plan_import(actor=world.owner, job=world.job, source=shorter, source_name="room.json", now=NOW)
    stands = unit_now(world, unit)
    assert stands.measured < stands.done == whole
    with pytest.raises(OverClaim, match=r"(?i)nothing is left"):
        entry_log(actor=world.foreman, request=entry(world, unit, "0.5"), now=NOW)
    lowered = entry(world, None, str(whole - Decimal(1)), replaces=first.uuid)
    assert entry_correct(actor=world.foreman, request=lowered, now=NOW).quantity == whole - 1
    raised = entry(world, None, str(whole), replaces=lowered.uuid)
    with pytest.raises(OverClaim):
        entry_correct(actor=world.foreman, request=raised, now=NOW)


def test_a_correction_stays_on_its_work_unit_in_the_service_and_in_the_database(world: World):
    unit, elsewhere = world.unit("A", "TRACK"), world.unit("B", "TRACK")
    first = entry(world, unit, "5")
    answer = entry_log(actor=world.foreman, request=first, now=NOW)
    with pytest.raises(Invalid, match="Correct that entry to 0"):
        entry_log(actor=world.foreman, request=entry(world, elsewhere, "4", replaces=first.uuid), now=NOW)
    with pytest.raises(DatabaseError, match="jobs_entry_replaces_own"), transaction.atomic():
        raw_entry(world, elsewhere, Decimal(4), replaces=answer.id)


def test_done_is_always_the_sum_of_the_entries_in_force(world: World):
    unit = world.unit("B", "TRACK")
    first = entry(world, unit, "3")
    entry_batch_log(
        actor=world.foreman,
        requests=[first, entry(world, unit, "2.5"), entry(world, None, "1.25", replaces=first.uuid)],
        now=NOW,
    )
    with organisation_scope(world.organisation):
        in_force = Entry.objects.filter(work_unit=unit, replaced_by__isnull=True)
        assert sum(one.quantity for one in in_force) == unit_now(world, unit).done == Decimal("3.75")


def raw_entry(world: World, unit: int, quantity: Decimal, replaces: int | None = None) -> None:
    """Insert an entry with its share by SQL, round every service, as the application's role."""
    uuid = uuid4()
    with organisation_scope(world.organisation), connection.cursor() as cursor:
        cursor.execute(
            "INSERT INTO jobs_receipt (organisation_id, uuid, kind, request, membership_id, made_at, received_at)"
            " VALUES (%s, %s, 'entry', '{}', %s, now(), now())",
            [world.organisation, uuid, world.foreman.membership],
        )
        cursor.execute(
            "INSERT INTO jobs_entry (organisation_id, uuid, job_id, work_unit_id, worked_on, quantity, logged_by_id,"
            " received_at, replaces_id) VALUES (%s, %s, %s, %s, %s, %s, %s, now(), %s) RETURNING id",
            [world.organisation, uuid, world.job, unit, DAY, quantity, world.foreman.membership, replaces],
        )
        entry_id = cursor.fetchone()[0]
        cursor.execute(
            "INSERT INTO jobs_entryshare (organisation_id, entry_id, person_id, quantity) VALUES (%s, %s, %s, %s)",
            [world.organisation, entry_id, world.people[0], quantity],
        )
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")


def _walls() -> list[dict[str, object]]:
    return list(PLAN["levels"][0]["walls"])
