"""What the database refuses by itself, to whoever asks: changes of pay, rows of others, sums that do not add up."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

import pytest
from django.db import DatabaseError, connection, transaction

from payroll.models import LineAllotment, PayWeek, Statement
from tests.payroll.world import AFTER, World, make_world

pytestmark = pytest.mark.django_db
NEVER_CHANGED = [
    "payroll_heightband",
    "payroll_rate",
    "payroll_statement",
    "payroll_statementline",
    "payroll_lineallotment",
    "payroll_statementhours",
    "payroll_jobshare",
    "payroll_weeklyreport",
]


@pytest.fixture
def closed() -> World:
    """A closed week with one statement, of one entry shared by two people."""
    world = make_world()
    people = [world.person("One"), world.person("Two")]
    world.rate("BOARD", "0.37")
    world.entry(world.unit("BOARD", face="left", layer=1), "333", *people)
    for person in people:
        world.hours(person, "8")
    world.close()
    return world


def refused(world: World, sql: str, *values: object, before: Callable[[World], list[object]] | None = None) -> str:
    """The error that the application's role meets. `before` runs in the same transaction and may give leading
    values."""
    with pytest.raises(DatabaseError) as met, transaction.atomic(), world.scope(), connection.cursor() as cursor:
        leading = before(world) if before else []
        cursor.execute(sql, [*leading, *values])
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
    return str(met.value)


@pytest.mark.parametrize("table", NEVER_CHANGED)
def test_rows_of_pay_are_never_changed_or_deleted(closed: World, table: str):
    for sql in (
        f"UPDATE {table} SET organisation_id = organisation_id",
        f"DELETE FROM {table}",
        f"TRUNCATE {table} CASCADE",
    ):
        assert "permission denied" in refused(closed, sql)


def test_a_closed_week_is_not_opened_again(closed: World):
    said = refused(closed, "UPDATE payroll_payweek SET state = 'open', closed_by_id = NULL, closed_at = NULL")
    assert "it was closed at" in said
    assert "never changed again" in said
    assert "never changed again" in refused(closed, "UPDATE payroll_payweek SET closed_at = now()")
    assert "permission denied" in refused(closed, "UPDATE payroll_payweek SET first_day = first_day + 7")
    assert "permission denied" in refused(closed, "DELETE FROM payroll_payweek")


def test_a_week_begins_open(closed: World):
    said = refused(
        closed,
        "INSERT INTO payroll_payweek (organisation_id, first_day, state, opened_at, closed_by_id, closed_at, "
        "stopped, pending, "
        "entries_to, hours_to) VALUES (%s, '2026-12-07', 'closed', now(), %s, now(), '[]', '[]', 0, 0)",
        closed.organisation,
        closed.owner.membership,
    )
    assert "a week begins open" in said


COPIED = "INSERT INTO {table} (organisation_id, {columns}) SELECT organisation_id, {values} FROM {table} LIMIT 1"


def test_a_closed_week_takes_no_more_lines_or_statements(closed: World):
    line = "statement_id, code, text, quantity, unit, rate, because"
    more = COPIED.format(table="payroll_statementline", columns=f"{line}, position, amount", values=f"{line}, 99, 0")
    assert "its week is closed" in refused(closed, more)
    with transaction.atomic(), closed.scope():
        other = closed.person("Three").pk
    statement = (
        "pay_week_id, paid_in_id, worker_class, rule_set, rules_version, currency, gross, difference, overpaid, hours, "
        "regular_rate, regular_rate_because, floors, parameters, cautions, previous_digest, digest"
    )
    more = COPIED.format(
        table="payroll_statement", columns=f"{statement}, person_id, number", values=f"{statement}, {other}, 99"
    )
    assert "statements are written into an open week" in refused(closed, more)
    share = "line_id, job_id"
    more = COPIED.format(table="payroll_jobshare", columns=f"{share}, amount", values=f"{share}, 0")
    assert "its week is closed" in refused(closed, more)
    allotment = "line_id, entry_id, rate_used_id"
    more = COPIED.format(
        table="payroll_lineallotment", columns=f"{allotment}, quantity, amount", values=f"{allotment}, 0, 0"
    )
    assert "its week is closed" in refused(closed, more)


def bare_statement(world: World) -> list[object]:
    """A statement of an open week with a gross of 12.00 and no lines yet: the organisation and its id."""
    week = PayWeek.objects.create(first_day="2026-12-07", opened_at=AFTER)
    nothing = {"hours": {}, "floors": [], "parameters": [], "cautions": [], "previous_digest": b"", "digest": b""}
    statement = Statement.objects.create(
        pay_week=week, paid_in=week, person=world.person("Four"), worker_class="journeyman", rule_set="us-federal",
        rules_version="1", currency="USD", gross=Decimal(12), difference=Decimal(12), number=50, **nothing,
    )  # fmt: skip
    return [world.organisation, statement.pk]


def bare_line(world: World) -> list[object]:
    """A piece line of 12.00 for 10 units, that nothing stands behind yet: the organisation and its id."""
    with connection.cursor() as cursor:
        cursor.execute(f"{LINE} RETURNING id", [*bare_statement(world), "piece", "12.00"])
        return [world.organisation, cursor.fetchone()[0]]


LINE = (
    "INSERT INTO payroll_statementline (organisation_id, statement_id, position, code, text, quantity, unit, "
    "rate, amount, "
    "because) VALUES (%s, %s, 1, %s, 'text', 10, 'sq ft', 1, %s, '[]')"
)


def test_lines_add_up_to_the_gross():
    said = refused(make_world(), LINE, "bonus", "11.99", before=bare_statement)
    assert "its lines add up to 11.99, its gross is 12.00" in said


def test_a_statement_without_its_lines_is_refused_at_commit():
    said = refused(make_world(), "SELECT %s, %s", before=bare_statement)
    assert "its lines add up to 0, its gross is 12.00" in said


@pytest.mark.parametrize("code", ["piece", "bonus"])
def test_a_line_names_its_entries_and_the_job_that_bears_it(code: str):
    said = refused(make_world(), LINE, code, "12.00", before=bare_statement)
    assert f"({code}) is not traced whole to its entries and to the jobs that bear it" in said


@pytest.mark.parametrize(("quantity", "amount"), [("10", "11.99"), ("9", "12.00")])
def test_entries_add_up_to_their_line(closed: World, quantity: str, amount: str):
    with transaction.atomic(), closed.scope():
        entry, rate = LineAllotment.objects.values_list("entry_id", "rate_used_id")[0]
    allotment = (
        "INSERT INTO payroll_lineallotment (organisation_id, line_id, entry_id, rate_used_id, quantity, amount) "
        "VALUES (%s, %s, %s, %s, %s, %s)"
    )
    said = refused(closed, allotment, entry, rate, quantity, amount, before=bare_line)
    assert "its entries add up to" in said


def test_what_the_jobs_bear_adds_up_to_the_line(closed: World):
    share = "INSERT INTO payroll_jobshare (organisation_id, line_id, job_id, amount) VALUES (%s, %s, %s, %s)"
    assert "its jobs bear 12.01" in refused(closed, share, closed.job.pk, "12.01", before=bare_line)


def test_a_row_of_pay_points_only_at_its_own_organisation(closed: World):
    other = make_world("Thistle Drywall")
    rate = (
        "INSERT INTO payroll_rate (organisation_id, operation_id, time_kind, amount, starts_on, job_id, "
        "wall_type, height_band, "
        "worker_class, set_at) VALUES (%s, %s, '', 1, '2026-01-01', NULL, '', '', '', now())"
    )
    own, foreign = closed.operations["STUDS"].pk, other.operations["STUDS"].pk
    assert "row-level security" in refused(closed, rate, other.organisation, own)
    assert "payroll_rate_operation_own" in refused(closed, rate, closed.organisation, foreign)
    with transaction.atomic(), other.scope():
        assert not Statement.objects.exists()
        with connection.cursor() as cursor:
            cursor.execute("SELECT count(*) FROM payroll_statement")
            assert cursor.fetchone()[0] == 0


def test_a_scope_starts_once_and_any_is_a_value_of_its_own(closed: World):
    rate = (
        "INSERT INTO payroll_rate (organisation_id, operation_id, time_kind, amount, starts_on, job_id, "
        "wall_type, height_band, "
        "worker_class, set_at) VALUES (%s, %s, '', 2, '2026-01-01', NULL, '', '', '', now())"
    )
    assert "rate_scope_starts_once" in refused(closed, rate, closed.organisation, closed.operations["BOARD"].pk)
