"""A plan imported again is told wall by wall before it is applied; walls keep their work under whatever mark."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.db import DatabaseError, transaction

from jobs.models import AuditRecord, PlanRevision, Wall, WallVersion, WorkUnit, WorkUnitMeasure
from jobs.refusals import Conflict, Invalid, NotAllowed, NotFound, OverClaim
from jobs.selectors.plan_difference import PlanDifference, plan_difference
from jobs.services.entries import entry_log
from jobs.services.operations import OperationFacts, operation_create
from jobs.services.plans import plan_import
from jobs.tenancy import organisation_scope
from tests.jobs.sql import as_application
from tests.jobs.world import NOW, PLAN, World, entry, plan_bytes, unit_now
from tests.support.at_once import at_once

# A third wall, free of the corner; invented.
C = {"mark": "C", "type": "P1", "from": [300, 0], "to": [420, 0], "height": "9'-0\""}


def wall(standing: str, **changes: Any) -> dict[str, Any]:
    found = next(one for one in [*PLAN["levels"][0]["walls"], C] if one["mark"] == standing)
    return dict(found) | changes


def source(*walls: dict[str, Any]) -> bytes:
    return plan_bytes(levels=[{"name": "Level 1", "walls": list(walls)}])


def compare(world: World, *walls: dict[str, Any]) -> PlanDifference:
    with transaction.atomic(), organisation_scope(world.organisation):
        return plan_difference(actor=world.owner, job=world.job, source=source(*walls), source_name="room.json")


def revise(world: World, *walls: dict[str, Any], seen: int | None = None) -> PlanRevision:
    return plan_import(
        actor=world.owner, job=world.job, source=source(*walls), source_name="room.json", now=NOW, seen=seen
    )


def told(difference: PlanDifference) -> dict[str, tuple[str, str]]:
    return {one.mark: (one.kind, one.former_mark) for one in difference.walls}


def test_walls_added_removed_and_changed_are_told_and_the_rest_left_out(world: World):
    difference = compare(world, wall("A", height="8'-0\""), wall("C"))
    assert told(difference) == {"A": ("changed", ""), "B": ("removed", ""), "C": ("added", "")}
    assert (difference.seen, difference.same) == (1, 0)
    changed = next(one for one in difference.walls if one.mark == "A")
    assert "height 108 -> 96" in changed.changes
    nothing = compare(world, wall("A"), wall("B"))
    assert (nothing.walls, nothing.levels, nothing.same) == ((), (), 2)


def test_what_is_told_is_what_the_import_does(world: World):
    operation_create(actor=world.owner, facts=OperationFacts("ALL", "board of the floor", "board", "level"), now=NOW)
    plans = (
        [wall("A", height="8'-0\""), wall("B", mark="B2"), wall("C")],
        [wall("A", mark="B2"), wall("B", mark="A", openings=[])],
        [wall("A"), wall("B"), wall("C", mark="D")],
    )
    for walls in plans:
        difference = compare(world, *walls)
        before = measures(world)
        revise(world, *walls, seen=difference.seen)
        after = measures(world)
        moved = {unit: (before.get(unit, Decimal(0)), now) for unit, now in after.items() if before.get(unit, 0) != now}
        units = [one for found in difference.walls for one in found.units] + [one for _, one in difference.levels]
        assert {one.id: (one.before, one.after) for one in units if one.id} == {
            unit: change for unit, change in moved.items() if unit in before
        }
        assert sorted(one.after for one in units if one.id is None) == sorted(
            now for unit, (_, now) in moved.items() if unit not in before
        )


def measures(world: World) -> dict[int, Decimal]:
    with organisation_scope(world.organisation):
        return dict(WorkUnit.objects.filter(job=world.job).values_list("pk", "measured"))


def test_comparing_changes_nothing(world: World):
    with organisation_scope(world.organisation):
        before = [model.objects.count() for model in (PlanRevision, Wall, WallVersion, WorkUnit, WorkUnitMeasure)]
    compare(world, wall("A", mark="Z"), wall("C"))
    with organisation_scope(world.organisation):
        after = [model.objects.count() for model in (PlanRevision, Wall, WallVersion, WorkUnit, WorkUnitMeasure)]
    assert before == after


def test_a_wall_under_another_mark_is_the_same_wall_with_its_work(world: World):
    unit = world.unit("B", "STUDS")
    entry_log(actor=world.foreman, request=entry(world, unit, "3"), now=NOW)
    assert told(compare(world, wall("A"), wall("B", mark="B-7"))) == {"B-7": ("renamed", "B")}
    revise(world, wall("A"), wall("B", mark="B-7"))
    with organisation_scope(world.organisation):
        stands = WorkUnit.objects.get(pk=unit)
        assert (stands.wall.mark, stands.done) == ("B-7", 3)
        assert stands.measured == unit_now(world, unit).measured > 0
        assert Wall.objects.filter(job=world.job).count() == 2
        written = AuditRecord.objects.filter(action="plan_import").latest("pk").after
        assert written["renamed"] == [[stands.wall_id, "B", "B-7"]]


def test_marks_that_change_places_take_no_work_with_them(world: World):
    a, b = world.unit("A", "TRACK"), world.unit("B", "TRACK")
    before = unit_now(world, a).measured, unit_now(world, b).measured
    entry_log(actor=world.foreman, request=entry(world, a, "1"), now=NOW)
    swapped = wall("A", mark="B"), wall("B", mark="A")
    assert told(compare(world, *swapped)) == {"A": ("renamed", "B"), "B": ("renamed", "A")}
    revise(world, *swapped)
    assert (unit_now(world, a).measured, unit_now(world, b).measured) == before
    assert (unit_now(world, a).done, unit_now(world, b).done) == (1, 0)


def test_the_mark_of_a_wall_that_is_gone_may_be_used_again(world: World):
    gone, stays = world.unit("B", "STUDS"), world.unit("A", "STUDS")
    entry_log(actor=world.foreman, request=entry(world, gone, "2"), now=NOW)
    revise(world, wall("A"))
    revise(world, wall("A", mark="B"))
    with organisation_scope(world.organisation):
        assert WorkUnit.objects.get(pk=stays).wall.mark == "B"
        former = WorkUnit.objects.get(pk=gone)
        assert (former.wall.mark, former.measured, former.done) == ("B (gone)", 0, 2)


def test_a_wall_drawn_again_after_a_pause_is_itself_and_not_claimed_twice(world: World):
    unit = world.unit("B", "STUDS")
    measured = unit_now(world, unit).measured
    entry_log(actor=world.foreman, request=entry(world, unit, str(measured)), now=NOW)
    revise(world, wall("A"))
    revise(world, wall("A"), wall("B"))
    assert unit_now(world, unit).measured == measured
    with pytest.raises(OverClaim):
        entry_log(actor=world.foreman, request=entry(world, unit, "1"), now=NOW)


def test_an_opening_under_another_mark_is_the_same_opening(world: World):
    unit = world.unit("B", "OPENING", "D1")
    entry_log(actor=world.foreman, request=entry(world, unit, "1"), now=NOW)
    door = PLAN["levels"][0]["walls"][1]["openings"][0]
    again = wall("A"), wall("B", openings=[door | {"mark": "D101"}])
    assert compare(world, *again).walls[0].changes == ("opening D1 renamed D101",)
    revise(world, *again)
    with organisation_scope(world.organisation):
        stands = WorkUnit.objects.get(pk=unit)
        assert (stands.opening, stands.measured, stands.done) == ("D101", 1, 1)
        assert WorkUnit.objects.filter(wall__mark="B", operation__code="OPENING").count() == 1


def test_work_done_past_a_smaller_measure_is_shown_stays_done_and_nothing_is_left(world: World):
    unit = world.unit("A", "TRACK")
    entry_log(actor=world.foreman, request=entry(world, unit, None), now=NOW)
    done = unit_now(world, unit).done
    shorter = wall("A", to=[60, 0]), wall("B")
    (place, past), *_ = [one for one in compare(world, *shorter).past() if one[1].id == unit]
    assert place == "Level 1, wall A"
    assert past.past == done - past.after > 0
    revise(world, *shorter)
    stands = unit_now(world, unit)
    assert (stands.measured, stands.done) == (past.after, done)
    for quantity in ("0.0001", None):
        with pytest.raises((OverClaim, Invalid)):
            entry_log(actor=world.foreman, request=entry(world, unit, quantity), now=NOW)
    with organisation_scope(world.organisation):
        history = list(WorkUnitMeasure.objects.filter(work_unit=unit).order_by("pk").values_list("before", "measured"))
    assert history[-1] == (done, past.after)


def test_the_database_refuses_more_on_a_work_unit_that_shrank(world: World):
    unit = world.unit("A", "TRACK")
    entry_log(actor=world.foreman, request=entry(world, unit, None), now=NOW)
    revise(world, wall("A", to=[60, 0]), wall("B"))
    with pytest.raises(DatabaseError, match="past its measured"):
        as_application(
            world,
            "WITH r AS (INSERT INTO jobs_receipt (organisation_id, uuid, kind, request, membership_id, made_at, "
            "received_at) VALUES (%(o)s, gen_random_uuid(), 'entry', '{}', %(m)s, now(), now()) RETURNING uuid) "
            "INSERT INTO jobs_entry (organisation_id, uuid, job_id, work_unit_id, worked_on, quantity, logged_by_id, "
            "received_at) SELECT %(o)s, uuid, %(j)s, %(u)s, '2026-11-18', 0.0001, %(m)s, now() FROM r",
            {"o": world.organisation, "m": world.owner.membership, "j": world.job, "u": unit},
        )


def test_a_difference_shown_before_somebody_else_imported_is_not_applied(world: World):
    seen = compare(world, wall("A")).seen
    revise(world, wall("A"), wall("B"), wall("C"))
    with pytest.raises(Conflict, match="shown against revision 1, and the newest is 2 by now"):
        revise(world, wall("A"), seen=seen)
    with organisation_scope(world.organisation):
        assert PlanRevision.objects.filter(job=world.job).count() == 2


def test_of_two_imports_at_once_that_saw_the_same_one_is_applied(committed_world: World):
    world = committed_world
    plans = [[wall("A", height=f"{height}'-0\""), wall("B")] for height in (8, 7, 6)]

    def attempt(walls: list[dict[str, Any]]) -> PlanRevision | Conflict:
        try:
            return revise(world, *walls, seen=1)
        except Conflict as refused:
            return refused

    outcomes = at_once(attempt, plans)
    assert sum(isinstance(one, PlanRevision) for one in outcomes) == 1
    with transaction.atomic(), organisation_scope(world.organisation):
        assert PlanRevision.objects.filter(job=world.job).count() == 2


def test_a_refused_import_changes_nothing(world: World):
    before = measures(world)
    with pytest.raises(Invalid), transaction.atomic():
        revise(world, wall("A", mark="Z"), wall("B", type="P9"))
    assert measures(world) == before
    with organisation_scope(world.organisation):
        assert set(Wall.objects.filter(job=world.job).values_list("mark", flat=True)) == {"A", "B"}


def test_plans_are_compared_by_the_office_for_its_own_jobs(world: World, other: World):
    for actor in (world.foreman, world.actors["worker"]):
        with pytest.raises(NotAllowed), organisation_scope(world.organisation):
            plan_difference(actor=actor, job=world.job, source=source(wall("A")), source_name="room.json")
    with pytest.raises(NotFound), organisation_scope(other.organisation):
        plan_difference(actor=other.owner, job=world.job, source=source(wall("A")), source_name="room.json")
