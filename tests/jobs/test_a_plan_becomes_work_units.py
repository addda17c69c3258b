"""A plan's counts become measured work units; a revised plan measures them anew and forgets nothing."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from django.db import transaction

from jobs.actors import Actor
from jobs.measures import half_up, measured
from jobs.models import AuditRecord, PlanRevision, Wall, WallVersion, WorkUnit, WorkUnitMeasure
from jobs.refusals import Conflict, Invalid, NotAllowed
from jobs.services.entries import entry_log
from jobs.services.operations import OperationFacts, operation_create
from jobs.services.plans import plan_import
from jobs.tenancy import organisation_scope
from tests.jobs.world import NOW, PLAN, World, entry, plan_bytes, unit_now


def revise(world: World, *walls: dict[str, Any], actor: Actor | None = None) -> PlanRevision:
    source = plan_bytes(levels=[{"name": "Level 1", "walls": list(walls)}])
    return plan_import(actor=actor or world.owner, job=world.job, source=source, source_name="room.json", now=NOW)


def wall(mark: str, **changes: Any) -> dict[str, Any]:
    found = next(one for one in PLAN["levels"][0]["walls"] if one["mark"] == mark)
    return dict(found) | changes


@pytest.mark.parametrize(
    ("mark", "operation", "part", "count", "per"),
    [
        # derived: both rows of A are 121.8125 in long.
        ("A", "TRACK", "", "243.625", 12),
        # derived: B's top row 97.8125, its bottom 31.8125 and 28 at the door, the head 38 + 12 bent.
        ("B", "TRACK", "", "207.625", 12),
        ("B", "OPENING", "D1", "1", 1),
        # derived: run x (108 - 1/2) of A's left and right face, 121.8125 and 122.1875 in.
        ("A", "BOARD", "left", "13094.84375", 144),
        ("A", "BOARD", "right", "13135.15625", 144),
    ],
)
def test_quantities_are_the_engine_s_counts_in_the_operation_s_unit(
    world: World, mark: str, operation: str, part: str, count: str, per: int
):
    unit = unit_now(world, world.unit(mark, operation, part))
    assert unit.measured == half_up(Fraction(count) / per)
    assert {"rule", "source", "term"} <= set(unit.because[0]), "a quantity must say why"


@pytest.mark.parametrize(
    ("exact", "rounded"), [("0.00005", "0.0001"), ("0.00004999", "0"), ("2.00015", "2.0002"), ("-0.00005", "-0.0001")]
)
def test_quantities_round_half_up_at_four_decimals(exact: str, rounded: str):
    assert half_up(Fraction(exact)) == Decimal(rounded)


def test_what_is_not_measured_makes_no_work_unit():
    # No count of tape, and none of bead above zero: nothing is guessed.
    found: dict[str, Any] = {"counts": {"bead_in": "0"}, "faces": []}
    assert list(measured("tape", "wall", found)) == list(measured("bead", "wall", found)) == []


def test_a_rounded_quantity_says_that_it_was_rounded(world: World):
    because = unit_now(world, world.unit("A", "TRACK")).because
    assert because[-1]["rule"].startswith("quantity rounded half up to four decimals")


def test_a_revision_keeps_its_source_and_every_wall_its_versions(world: World):
    revise(world, wall("A"), wall("B", height="8'-0\""))
    with organisation_scope(world.organisation):
        first, second = PlanRevision.objects.filter(job=world.job).order_by("number")
        assert (first.number, second.number) == (1, 2)
        assert bytes(first.source) == plan_bytes()
        assert WallVersion.objects.filter(wall__mark="B").count() == 2
        assert Wall.objects.filter(job=world.job).count() == 2


def test_a_revised_wall_is_measured_anew_and_the_difference_written_down(world: World):
    unit = world.unit("A", "BOARD", "left")
    before = unit_now(world, unit).measured
    revise(world, wall("A", height="8'-0\""), wall("B"))
    after = unit_now(world, unit).measured
    assert after < before
    with organisation_scope(world.organisation):
        history = WorkUnitMeasure.objects.filter(work_unit=unit).order_by("pk").values_list("before", "measured")
        assert list(history) == [(0, before), (before, after)]
        written = AuditRecord.objects.filter(action="plan_import").latest("pk").after
    assert written["work_units"]["changed"] > 0


def test_a_wall_that_is_gone_has_work_units_of_nothing_and_keeps_its_entries(world: World):
    unit = world.unit("B", "STUDS")
    entry_log(actor=world.foreman, request=entry(world, unit, "2"), now=NOW)
    revise(world, wall("A"))
    stands = unit_now(world, unit)
    assert (stands.measured, stands.done) == (0, 2)
    revise(world, wall("A"), wall("B"))
    assert unit_now(world, unit).measured > 0


def test_the_same_plan_again_is_no_new_revision_but_serves_new_operations(world: World):
    with organisation_scope(world.organisation):
        before = WorkUnit.objects.count()
    operation_create(actor=world.owner, facts=OperationFacts("SEAL", "seal track", "sealant", "wall"), now=NOW)
    revision = plan_import(actor=world.owner, job=world.job, source=plan_bytes(), source_name="room.json", now=NOW)
    assert revision.number == 1
    with organisation_scope(world.organisation):
        assert WorkUnit.objects.count() == before + 2
        assert WorkUnit.objects.filter(operation__code="SEAL", wall__mark="A").get().measured == half_up(
            Fraction("121.8125") / 12
        )


def test_an_operation_by_level_is_one_work_unit_a_floor(world: World):
    operation_create(actor=world.owner, facts=OperationFacts("ALL", "board of the floor", "board", "level"), now=NOW)
    plan_import(actor=world.owner, job=world.job, source=plan_bytes(), source_name="room.json", now=NOW)
    with organisation_scope(world.organisation):
        unit = WorkUnit.objects.get(operation__code="ALL")
        by_face = WorkUnit.objects.filter(operation__code="BOARD").values_list("measured", flat=True)
        assert unit.wall_id is None
        assert abs(unit.measured - sum(by_face)) < Decimal("0.001")


def test_a_plan_with_mistakes_is_refused_whole_and_every_mistake_said(world: World):
    wrong = wall("B", to=[0, 0]), wall("A", type="P9")
    with pytest.raises(Invalid) as refused, transaction.atomic():
        revise(world, *wrong)
    sentences = [mistake.sentence for mistake in refused.value.mistakes]
    assert any("wall B" in sentence for sentence in sentences)
    assert any("P9" in sentence for sentence in sentences)
    with organisation_scope(world.organisation):
        assert PlanRevision.objects.count() == 1


def test_only_the_office_imports_plans_and_makes_operations(world: World):
    with pytest.raises(NotAllowed):
        revise(world, wall("A"), actor=world.foreman)
    with pytest.raises(NotAllowed):
        operation_create(actor=world.actors["worker"], facts=OperationFacts("X", "x", "studs", "wall"), now=NOW)


def test_an_operation_says_what_is_wrong_with_it(world: World):
    with pytest.raises(Invalid) as refused:
        operation_create(actor=world.owner, facts=OperationFacts("", "", "nails", "room"), now=NOW)
    assert [mistake.path for mistake in refused.value.mistakes] == ["code", "name", "measure", "grain"]
    with pytest.raises(Conflict, match="Another operation has this code"):
        operation_create(actor=world.owner, facts=OperationFacts("TRACK", "again", "track", "wall"), now=NOW)
