"""What was paid stays paid when a plan shrinks: the office sees it by name, and no later week takes it back."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from decimal import Decimal
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.db import transaction

from jobs.models import WorkUnit
from jobs.services.plans import plan_import
from payroll.models import Statement
from payroll.selectors.paid_units import paid_beyond
from tests.jobs.world import PLAN
from tests.payroll.world import AFTER, LATER, MONDAY, NEXT_MONDAY, World, make_world

IN_MID_DECEMBER = datetime(2026, 12, 15, tzinfo=UTC)


def plan(length: int) -> bytes:
    """One wall W-1 of `length` inches."""
    a = PLAN["levels"][0]["walls"][0] | {"mark": "W-1", "to": [length, 0]}
    return json.dumps(PLAN | {"levels": [{"name": "Level 2", "walls": [a]}]}).encode()


def paid_world() -> tuple[World, WorkUnit]:
    """All the track of a 120 in wall is logged and the week closed: 20 LF at 1.00."""
    world = make_world()
    world.rate("TRACK", "1.00")
    plan_import(actor=world.owner, job=world.job.pk, source=plan(120), source_name="plan.json", now=AFTER)
    with transaction.atomic(), world.scope():
        unit = WorkUnit.objects.get(operation__code="TRACK", wall__mark="W-1")
    person = world.person("One")
    world.entry(unit, str(unit.measured), person)
    world.hours(person, "1")
    world.close()
    return world, unit


def test_statements_stand_and_later_weeks_take_nothing_back(db: None):
    world, unit = paid_world()
    with transaction.atomic(), world.scope():
        before = Statement.objects.get()
        assert before.gross == Decimal("20.00")  # derived: 2 rows of 120 in are 20 LF, at 1.00
    plan_import(actor=world.owner, job=world.job.pk, source=plan(60), source_name="plan.json", now=LATER)
    person = world.person("Two")
    world.hours(person, "1", on=NEXT_MONDAY)
    world.close(NEXT_MONDAY, now=IN_MID_DECEMBER)
    with transaction.atomic(), world.scope():
        first = Statement.objects.get(pk=before.pk)
        assert (first.gross, bytes(first.digest)) == (before.gross, bytes(before.digest))
        assert not Statement.objects.filter(person_id=before.person_id).exclude(pk=before.pk).exists()
        row = paid_beyond(job=world.job.pk)[0]
    assert (row.work_unit, row.measured, row.paid, row.money) == (unit.pk, 10, 20, Decimal("20.00"))
    assert row.beyond == 10


def test_what_fits_its_measure_is_not_listed_nor_anything_of_another_organisation(db: None):
    world, _ = paid_world()
    other, _ = paid_world()
    plan_import(actor=other.owner, job=other.job.pk, source=plan(60), source_name="plan.json", now=LATER)
    with transaction.atomic(), world.scope():
        assert paid_beyond(job=world.job.pk) == []
        assert paid_beyond(job=other.job.pk) == []


def test_a_correction_afterwards_is_what_counts_as_paid(db: None):
    world = make_world()
    world.rate("TRACK", "1.00")
    plan_import(actor=world.owner, job=world.job.pk, source=plan(120), source_name="plan.json", now=AFTER)
    with transaction.atomic(), world.scope():
        unit = WorkUnit.objects.get(operation__code="TRACK", wall__mark="W-1")
    person = world.person("One")
    entry = world.entry(unit, "20", person)
    world.hours(person, "1")
    world.close()
    world.correct(entry, unit, "8", person)
    world.close(NEXT_MONDAY, now=IN_MID_DECEMBER)
    plan_import(actor=world.owner, job=world.job.pk, source=plan(60), source_name="plan.json", now=LATER)
    with transaction.atomic(), world.scope():
        assert paid_beyond(job=world.job.pk) == []


def test_the_command_shows_the_difference_and_applies_it_when_told(db: None, tmp_path: Path):
    world, _ = paid_world()
    path = tmp_path / "plan.json"
    path.write_bytes(plan(60))
    out = StringIO()
    call_command("plan_compare", world.organisation, "HSC", path, stdout=out)
    shown = out.getvalue()
    assert "Level 2, wall W-1: changed" in shown
    assert "lay out and track: 20 -> 10 LF, 20 done, 10 past the new measure" in shown
    assert "Nothing was changed" in shown
    out = StringIO()
    call_command("plan_compare", world.organisation, "HSC", path, "--apply", stdout=out)
    assert "Imported as revision 3." in out.getvalue()
    assert "20 LF are paid (20.00), measured are 10 now: 10 beyond. It stays paid." in out.getvalue()


@pytest.mark.parametrize(
    ("job", "name", "said"),
    [("XYZ", "plan.json", "job 'XYZ' was not found. Known are: HSC."), ("HSC", "none.json", "cannot be read")],
)
def test_the_command_names_what_it_does_not_find(db: None, tmp_path: Path, job: str, name: str, said: str):
    world = make_world()
    (tmp_path / "plan.json").write_bytes(plan(120))
    with pytest.raises(CommandError, match=said):
        call_command("plan_compare", world.organisation, job, tmp_path / name)


def test_monday_is_the_week_that_was_paid(db: None):
    world, _ = paid_world()
    with transaction.atomic(), world.scope():
        assert Statement.objects.get().pay_week.first_day == MONDAY
