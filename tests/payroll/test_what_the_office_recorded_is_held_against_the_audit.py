"""What somebody with all rights over the database does to agreements, minimums, breaks, pay periods, budgets, plans and
measures is found by name, in an organisation as it was written and in one that was restored."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.db import transaction

from jobs.models import WorkUnit
from jobs.services.plans import plan_import
from jobs.services.sites import budget_set
from payroll.law.agreements import GUARANTEE
from payroll.selectors.office_changed import RECORDS, office_changed
from payroll.services.agreements import AgreementFacts, agreement_end, agreement_record
from payroll.services.height_bands import height_band_create
from payroll.services.local_rules import MinimumFacts, local_minimum_record, missed_break_record, missed_break_withdraw
from payroll.services.pay_periods import pay_period_set
from tests.jobs.test_the_audit_chain_shows_what_was_changed import behind_the_triggers
from tests.payroll.test_a_revised_plan_cuts_nobodys_pay import plan
from tests.payroll.world import AFTER, LATER, MONDAY, World, make_world


@pytest.fixture
def world(committed_db: None) -> World:
    """One record of each kind, some of them replaced since, and a plan that came twice."""
    world = make_world()
    person = world.person("Tam Reed").pk
    facts = AgreementFacts(person, GUARANTEE, MONDAY, MONDAY, None, Decimal("22"), "all", "22 an hour", "folder 3")
    made = agreement_record(actor=world.owner, facts=facts, now=AFTER)
    agreement_end(actor=world.owner, agreement=made.pk, ends_on=date(2027, 5, 1), now=AFTER)
    minimum = MinimumFacts(world.job.pk, Decimal("19.10"), date(2027, 1, 1), "Exampleton Code 4.1", MONDAY)
    local_minimum_record(actor=world.owner, facts=minimum, now=AFTER)
    missed: dict[str, Any] = {"person": person, "missed_on": MONDAY, "kind": "meal", "why": "pour next door"}
    wrong = missed_break_record(actor=world.owner, **missed, now=AFTER)
    missed_break_withdraw(actor=world.owner, missed=wrong.pk, now=AFTER)
    pay_period_set(actor=world.owner, starts_on=MONDAY, weeks=2, pay_day_after=5, now=AFTER)
    height_band_create(actor=world.owner, name="high", from_inches=Decimal(120), now=AFTER)
    for money in (4000, 4200):
        budget_set(
            actor=world.owner, job=world.job.pk, operation=world.operations["BOARD"].pk, quantity=Decimal(9000),
            labour_money=Decimal(money), now=AFTER,
        )  # fmt: skip
    for length in (120, 60):
        plan_import(actor=world.owner, job=world.job.pk, source=plan(length), source_name="plan.json", now=LATER)
    return world


def found(world: World) -> list[str]:
    with transaction.atomic(), world.scope():
        return office_changed()


def test_what_stands_as_it_was_written_says_nothing(world: World) -> None:
    assert found(world) == []


NEWEST = "(SELECT max(id) FROM {table} WHERE organisation_id = %s)"
CHANGED = [
    ("payroll_agreement", "rate = 21", "rate is 21.000000, recorded was 22"),
    ("payroll_agreement", "ends_on = NULL", "ends_on is none, recorded was 2027-05-01"),
    ("payroll_localminimum", "amount = 18", "amount is 18.000000, recorded was 19.10"),
    ("payroll_missedbreak", "withdrawn = false", "withdrawn is false, recorded was true"),
    ("payroll_payperiod", "pay_day_after = 9", "pay_day_after is 9, recorded was 5"),
    ("payroll_heightband", "from_inches = 96", "from_inches is 96.0000, recorded was 120"),
    ("jobs_budgetline", "labour_money = 9000", "it is 9000.0000 for 9000.00, set was 9000 for 4200"),
    ("jobs_planrevision", "source = 'x'", "its file is not the one that was imported"),
    ("jobs_workunitmeasure", "measured = measured + 1", "what it measured is not what was written at its import"),
]


@pytest.mark.parametrize(("table", "change", "named"), CHANGED)
def test_a_changed_row_is_named_with_what_was_recorded(world: World, table: str, change: str, named: str) -> None:
    newest = NEWEST.format(table=table)
    behind_the_triggers(table, f"UPDATE {table} SET {change} WHERE id = {newest}", [world.organisation])
    assert any(named in sentence for sentence in found(world)), found(world)


@pytest.mark.parametrize("table", [*(kept.table for kept in RECORDS), "jobs_budgetline", "jobs_workunitmeasure"])
def test_a_removed_row_is_named(world: World, table: str) -> None:
    newest = NEWEST.format(table=table)
    behind_the_triggers(table, f"DELETE FROM {table} WHERE id = {newest}", [world.organisation])
    removed = "what it measured is not" if table == "jobs_workunitmeasure" else "it was removed"
    assert any(removed in sentence for sentence in found(world)), found(world)


def test_an_agreement_that_nobody_recorded_is_named(world: World) -> None:
    columns = "organisation_id, person_id, kind, signed_on, starts_on, words, guarantee_hours, reference, withdrawn"
    forged = (
        f"INSERT INTO payroll_agreement ({columns}, rate, recorded_at) SELECT organisation_id, person_id, kind, "
        "'2026-01-05', '2026-01-05', 'typed in', guarantee_hours, reference, false, 40, now() FROM payroll_agreement "
        f"WHERE id = {NEWEST.format(table='payroll_agreement')}"
    )
    behind_the_triggers("payroll_agreement", forged, [world.organisation])
    (sentence,) = found(world)
    assert sentence.endswith(": no audit record tells of it.")


def test_a_work_unit_that_measures_something_else_is_named(world: World) -> None:
    with transaction.atomic(), world.scope():
        unit = WorkUnit.objects.get(operation__code="TRACK", wall__mark="W-1").pk
    behind_the_triggers("jobs_workunit", "UPDATE jobs_workunit SET measured = 900 WHERE id = %s", [unit])
    # Derived: 2 rows of track of 60 in are 10 LF.
    assert found(world) == [f"work unit {unit}: it measures 900.0000, and its newest measure is 10.0000."]
