"""Invariant: every row belongs to one organisation and points only at rows of the same one, in code and database."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.db import DatabaseError, IntegrityError, connection, transaction
from django.db.transaction import TransactionManagementError

from jobs.models import Crew, Job, Level, Operation, Person
from jobs.refusals import NotFound
from jobs.services.entries import entry_log
from jobs.services.plans import plan_import
from jobs.services.sites import job_access_give
from jobs.tenancy import NoOrganisation, WrongOrganisation, organisation_ids, organisation_scope
from tests.jobs.sql import as_owner
from tests.jobs.world import DAY, NOW, World, entry, plan_bytes

WITHOUT_SCOPE: dict[str, Callable[[], Any]] = {
    "all": lambda: list(Person.objects.all()),
    "exists": Person.objects.exists,
    "count": Person.objects.count,
    "aggregate": Person.objects.aggregate,
    "get": lambda: Person.objects.get(pk=1),
    "first": Person.objects.first,
    "iterator": lambda: list(Person.objects.iterator()),
    "values": lambda: list(Person.objects.values("name")),
    "create": lambda: Person.objects.create(name="X", number="X", started_on=DAY),
    "bulk_create": lambda: Person.objects.bulk_create([Person(name="X", number="X", started_on=DAY)]),
    "bulk_update": lambda: Person.objects.bulk_update([Person(pk=1, name="X")], ["name"]),
    "update": lambda: Person.objects.update(name="X"),
    "get_or_create": lambda: Person.objects.get_or_create(number="X", defaults={"started_on": DAY}),
    "update_or_create": lambda: Person.objects.update_or_create(number="X", defaults={"started_on": DAY}),
    "delete": lambda: Person.objects.filter(pk=1).delete(),
    "save": lambda: Person(name="X", number="X", started_on=DAY).save(),
    "instance delete": lambda: Person(pk=1).delete(),
    "explain": Person.objects.explain,
}


@pytest.mark.parametrize("act", WITHOUT_SCOPE)
def test_without_a_scope_nothing_is_read_or_written(world: World, act: str):
    with pytest.raises(NoOrganisation):
        WITHOUT_SCOPE[act]()


@pytest.mark.parametrize(
    "run",
    [
        list,
        lambda query: query.exists(),
        lambda query: query.count(),
        lambda query: query.update(name="X"),
        lambda query: query.aggregate(),
        lambda query: list(query.filter(number="001")),
    ],
)
def test_a_query_made_in_one_scope_does_not_run_in_another_or_in_none(
    world: World, other: World, run: Callable[[Any], Any]
):
    with organisation_scope(world.organisation):
        query = Person.objects.all()
    with pytest.raises(NoOrganisation):
        run(query)
    with organisation_scope(other.organisation), pytest.raises(WrongOrganisation):
        run(query)


def test_a_row_of_one_organisation_is_not_saved_in_the_scope_of_another(world: World, other: World):
    with organisation_scope(world.organisation):
        person = Person.objects.first()
    with organisation_scope(other.organisation), pytest.raises(WrongOrganisation):
        person.save(update_fields=["name"])


def test_a_scope_needs_an_organisation_and_a_transaction(committed_db: None):
    with transaction.atomic(), pytest.raises(NoOrganisation), organisation_scope(None):  # type: ignore[arg-type]
        pytest.fail("a scope of None was opened")
    with pytest.raises(TransactionManagementError), organisation_scope(1):
        pytest.fail("a scope was opened outside a transaction")


def test_a_scope_ends_where_it_began_also_after_an_error_and_when_nested(world: World, other: World):
    with organisation_scope(world.organisation):
        with organisation_scope(other.organisation):
            assert _database_scope() == str(other.organisation)
        assert _database_scope() == str(world.organisation)
        with pytest.raises(IntegrityError), transaction.atomic(), organisation_scope(other.organisation):
            Person.objects.create(name="Twice", number="001", started_on=DAY)
        assert _database_scope() == str(world.organisation)
        assert Person.objects.count() == 5
    assert _database_scope() == ""


def test_row_security_hides_and_refuses_what_sql_asks_for(world: World, other: World):
    with organisation_scope(world.organisation), connection.cursor() as cursor:
        cursor.execute("SELECT count(*) FROM jobs_person WHERE organisation_id = %s", [other.organisation])
        assert cursor.fetchone()[0] == 0
        cursor.execute("UPDATE jobs_person SET name = 'taken' WHERE id = %s", [other.people[0]])
        assert cursor.rowcount == 0
        with pytest.raises(DatabaseError, match="row-level security"), transaction.atomic():
            cursor.execute(
                "INSERT INTO jobs_person (organisation_id, name, number, worker_class, started_on, language)"
                " VALUES (%s, 'X', 'X', 'journeyman', '2026-01-01', 'en')",
                [other.organisation],
            )


def test_without_a_scope_sql_sees_nothing(world: World):
    with connection.cursor() as cursor:
        cursor.execute("SELECT count(*) FROM jobs_person")
        assert cursor.fetchone()[0] == 0
        cursor.execute("SELECT count(*) FROM jobs_organisation")
        assert cursor.fetchone()[0] == 0


def test_foreign_keys_refuse_another_organisation_even_where_row_security_is_not_looked_at(
    committed_worlds: tuple[World, World, Any],
):
    # As the owner of the tables, whom row security does not bind: the composite key alone stands in the way.
    world, other, _ = committed_worlds
    with pytest.raises(IntegrityError, match="jobs_crewmember_person_own"):
        as_owner(
            "INSERT INTO jobs_crewmember (organisation_id, crew_id, person_id, weight, active)"
            " VALUES (%s, %s, %s, 1, true)",
            [world.organisation, world.crew, other.people[0]],
        )
    level = as_owner("SELECT id FROM jobs_level WHERE organisation_id = %s", [other.organisation])[0][0]
    with pytest.raises(IntegrityError, match="jobs_wall_level_own"):
        as_owner(
            "INSERT INTO jobs_wall (organisation_id, job_id, level_id, mark) VALUES (%s, %s, %s, 'Z')",
            [world.organisation, world.job, level],
        )


def test_the_orm_cannot_point_across_either(world: World, other: World):
    with organisation_scope(world.organisation), pytest.raises(IntegrityError, match="jobs_level_job_own"):
        Level.objects.create(job_id=other.job, name="Level 9", position=9)
        with connection.cursor() as cursor:
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")


def test_services_say_not_found_of_what_is_another_s(world: World, other: World):
    with pytest.raises(NotFound):
        entry_log(actor=world.foreman, request=entry(world, other.unit("A", "TRACK"), "1"), now=NOW)
    with pytest.raises(NotFound):
        plan_import(actor=world.owner, job=other.job, source=plan_bytes(), source_name="room.json", now=NOW)
    with pytest.raises(NotFound):
        job_access_give(actor=world.owner, job=world.job, membership=other.foreman.membership or 0, now=NOW)


def test_scheduled_work_finds_every_organisation(world: World, other: World):
    assert {world.organisation, other.organisation} <= set(organisation_ids())


def test_each_organisation_sees_its_own_and_only_its_own(world: World, other: World):
    for mine, theirs in ((world, other), (other, world)):
        with organisation_scope(mine.organisation):
            for model in (Person, Job, Crew, Operation):
                found = set(model.objects.values_list("organisation_id", flat=True))
                assert found == {mine.organisation} != {theirs.organisation}


def _database_scope() -> str:
    with connection.cursor() as cursor:
        cursor.execute("SELECT current_setting('piecewall.organisation', true)")
        return cursor.fetchone()[0] or ""
