"""Every table of an organisation's records has its locks: scope, policy, composite keys, named constraints."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from django.apps import apps
from django.db import connection, models

from jobs.models import Organisation, SecondFactor, User
from jobs.tenancy import Record

RECORDS = [model for model in apps.get_models() if issubclass(model, Record)]
# Of people, who may be of several organisations; and the organisation itself, which has a policy of its own.
GLOBAL = {User, Organisation, SecondFactor}


def own_keys() -> Iterator[tuple[type[models.Model], models.ForeignKey]]:
    for model in RECORDS:
        for field in model._meta.local_fields:
            if isinstance(field, models.ForeignKey) and issubclass(field.related_model, Record):
                yield model, field


def ask(question: str, *values: object) -> list[tuple]:
    with connection.cursor() as cursor:
        cursor.execute(question, values)
        return cursor.fetchall()


def test_every_model_of_ours_is_a_record_of_an_organisation_or_named_here_as_global():
    ours = {model for model in apps.get_models() if model._meta.app_label in {"jobs", "payroll"}}
    assert ours - set(RECORDS) == GLOBAL


def test_what_belongs_to_no_organisation_is_named_here(db: None):
    # Sign-ins of people and what the framework keeps: nothing that an organisation wrote.
    without = ask(
        "SELECT relname FROM pg_class WHERE relkind = 'r' AND relnamespace = 'public'::regnamespace"
        " AND NOT relrowsecurity AND has_table_privilege(oid, 'SELECT')"
    )
    assert {name for (name,) in without} == {
        "jobs_user", "otp_totp_totpdevice", "otp_static_staticdevice", "otp_static_statictoken",
        "django_session", "django_content_type", "django_migrations",
    }  # fmt: skip


@pytest.mark.parametrize("model", RECORDS, ids=lambda model: model.__name__)
def test_row_security_is_on_with_one_policy_that_covers_reads_and_writes(db: None, model: type[models.Model]):
    table = model._meta.db_table
    assert ask("SELECT relrowsecurity FROM pg_class WHERE relname = %s", table) == [(True,)]
    policies = ask("SELECT cmd, permissive, qual, with_check FROM pg_policies WHERE tablename = %s", table)
    assert len(policies) == 1
    command, permissive, reads, writes = policies[0]
    assert (command, permissive) == ("ALL", "PERMISSIVE")
    assert reads == writes
    assert "organisation_id = (NULLIF(current_setting('piecewall.organisation'" in reads


@pytest.mark.parametrize("model", RECORDS, ids=lambda model: model.__name__)
def test_a_table_can_be_pointed_at_by_organisation_and_id(db: None, model: type[models.Model]):
    assert ("organisation_id", "id") in _unique_columns(model._meta.db_table)


@pytest.mark.parametrize(
    ("model", "field"), list(own_keys()), ids=lambda one: getattr(one, "__name__", getattr(one, "name", ""))
)
def test_every_key_carries_the_organisation(db: None, model: type[models.Model], field: models.ForeignKey):
    keys = ask(
        """
        SELECT array_agg(a.attname ORDER BY k.nth), c.confrelid::regclass::text, c.condeferrable
          FROM pg_constraint c
          CROSS JOIN LATERAL unnest(c.conkey) WITH ORDINALITY AS k (number, nth)
          JOIN pg_attribute a ON a.attrelid = c.conrelid AND a.attnum = k.number
         WHERE c.contype = 'f' AND c.conrelid = %s::regclass GROUP BY c.oid
        """,
        model._meta.db_table,
    )
    # An entry's job is reached through its work unit: (organisation, job, work unit) is one key.
    carrying = [columns for columns, parent, _ in keys if field.column in columns and columns[0] == "organisation_id"]
    assert carrying, f"{model.__name__}.{field.name} has no composite key"
    assert all(columns != [field.column] for columns, _, _ in keys)


def test_managers_of_records_all_ask_for_a_scope():
    for model in RECORDS:
        assert type(model._default_manager).__name__ == "RecordManager", model
        assert type(model._base_manager).__name__ == "RecordManager", model


def test_constraints_bear_names_of_ours(db: None):
    rows = ask(
        "SELECT conrelid::regclass::text, conname FROM pg_constraint WHERE contype IN ('c', 'x')"
        " AND connamespace = 'public'::regnamespace AND conrelid::regclass::text ~ '^(jobs|payroll)_'"
    )
    # Whole numbers that Django calls positive get a check of Django's own, named after the column.
    ours = {name for _, name in rows if not name.endswith("_check")}
    declared = {
        constraint.name
        for model in apps.get_models()
        if model._meta.app_label in {"jobs", "payroll"}
        for constraint in model._meta.constraints
        if isinstance(constraint, models.CheckConstraint)
    }
    assert declared <= ours


def test_an_organisation_sees_itself_alone(db: None):
    policies = ask("SELECT qual, with_check FROM pg_policies WHERE tablename = 'jobs_organisation'")
    assert len(policies) == 1
    assert policies[0][0] == policies[0][1]


def _unique_columns(table: str) -> list[tuple[str, ...]]:
    rows = ask(
        """
        SELECT array_agg(a.attname ORDER BY k.nth) FROM pg_constraint c
          CROSS JOIN LATERAL unnest(c.conkey) WITH ORDINALITY AS k (number, nth)
          JOIN pg_attribute a ON a.attrelid = c.conrelid AND a.attnum = k.number
         WHERE c.contype IN ('u', 'p') AND c.conrelid = %s::regclass GROUP BY c.oid
        """,
        table,
    )
    return [tuple(row[0]) for row in rows]
