"""What somebody with all rights over the database does to closed weeks is found: opened again, or the end cut off."""

from __future__ import annotations

import pytest
from django.db import transaction

from jobs.selectors.audit_facts import facts_changed
from payroll.law.pay_days import LET_GO
from payroll.selectors.chain_check import chain_breaks
from payroll.selectors.closing_facts import closings_changed
from payroll.selectors.rate_facts import rates_changed
from payroll.services.final_pay import Leaving, final_pay_close
from tests.jobs.test_the_audit_chain_shows_what_was_changed import behind_the_triggers
from tests.payroll.test_a_week_is_closed_once import small_week
from tests.payroll.world import LATER, NEXT_MONDAY, World, another_job

LAST = "(SELECT max(id) FROM payroll_statement WHERE organisation_id = %s)"
LINES = f"(SELECT id FROM payroll_statementline WHERE statement_id = {LAST})"


@pytest.fixture
def closed(committed_db: None) -> World:
    world = small_week()
    world.close()
    return world


def found(world: World) -> list[str]:
    with transaction.atomic(), world.scope():
        return [*chain_breaks(), *closings_changed(), *rates_changed()]


def test_a_closed_week_as_it_was_written_says_nothing(closed: World) -> None:
    assert found(closed) == []


def test_a_week_that_was_opened_again_is_named(closed: World) -> None:
    opened = (
        "UPDATE payroll_payweek SET state = 'open', closed_at = NULL, closed_by_id = NULL WHERE organisation_id = %s"
    )
    behind_the_triggers("payroll_payweek", opened, [closed.organisation])
    assert found(closed) == ["week of 2026-11-02: it was closed, and it is open."]


def test_statements_cut_off_from_the_end_of_their_chain_are_missed(closed: World) -> None:
    for table, whose in (
        ("payroll_statementhours", f"statement_id = {LAST}"),
        ("payroll_lineallotment", f"line_id IN {LINES}"),
        ("payroll_jobshare", f"line_id IN {LINES}"),
        ("payroll_statementline", f"statement_id = {LAST}"),
        ("payroll_statement", f"id = {LAST}"),
    ):
        behind_the_triggers(table, f"DELETE FROM {table} WHERE {whose}", [closed.organisation])
    assert found(closed) == [
        "statements: closings wrote 3, and 2 are there.",
        "statements 1 to 3: their lines are shared out otherwise.",
    ]


@pytest.mark.parametrize(
    ("table", "change"),
    [
        ("payroll_lineallotment", "amount = amount + 1"),
        ("payroll_lineallotment", "quantity = quantity + 1"),
        ("payroll_jobshare", "amount = amount + 1"),
    ],
)
def test_a_line_that_is_shared_out_otherwise_is_named(closed: World, table: str, change: str) -> None:
    newest = f"(SELECT max(id) FROM {table} WHERE organisation_id = %s)"
    behind_the_triggers(table, f"UPDATE {table} SET {change} WHERE id = {newest}", [closed.organisation])
    assert "statements 1 to 3: their lines are shared out otherwise." in found(closed)


def test_a_line_whose_cost_was_moved_to_another_job_is_named(closed: World) -> None:
    other = another_job(closed, "Mallow Lane School", "MLS", "us-federal").job.pk
    behind_the_triggers(
        "payroll_jobshare",
        f"UPDATE payroll_jobshare SET job_id = {other} WHERE organisation_id = %s",
        [closed.organisation],
    )
    assert found(closed) == ["statements 1 to 3: their lines are shared out otherwise."]


def test_final_pay_that_pays_what_an_earlier_week_owes_is_as_it_was_written(closed: World) -> None:
    person = closed.person("Leaver")
    unit = closed.unit("BOARD", face="left", layer=7)
    closed.entry(unit, "1000", person)
    closed.hours(person, "8")
    closed.entry(unit, "1000", person, on=NEXT_MONDAY)
    closed.hours(person, "8", on=NEXT_MONDAY)
    closed.week(NEXT_MONDAY)
    final_pay_close(actor=closed.owner, asked=Leaving(person.pk, NEXT_MONDAY, LET_GO), now=LATER)
    assert found(closed) == []


def test_a_rate_that_was_removed_is_named(closed: World) -> None:
    closed.rate("BOARD", "0.50", starts_on=NEXT_MONDAY)
    newest = "(SELECT max(id) FROM payroll_rate WHERE organisation_id = %s)"
    behind_the_triggers("payroll_rate", f"DELETE FROM payroll_rate WHERE id = {newest}", [closed.organisation])
    (sentence,) = found(closed)
    assert sentence.endswith(": it was removed.")


def test_a_share_that_was_given_to_another_person_is_named(closed: World) -> None:
    other = closed.person("Another")
    last = "(SELECT max(id) FROM jobs_entryshare WHERE organisation_id = %s)"
    forge = f"UPDATE jobs_entryshare SET person_id = {other.pk} WHERE id = {last}"
    behind_the_triggers("jobs_entryshare", forge, [closed.organisation])
    with transaction.atomic(), closed.scope():
        (sentence,) = facts_changed()
    assert "its shares are not those that were logged" in sentence
