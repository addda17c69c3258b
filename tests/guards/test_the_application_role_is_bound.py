"""Tests, and the site, meet the database as a role that row security and triggers bind."""

from __future__ import annotations

import pytest
from django.conf import settings
from django.db import connection, connections
from django.db.utils import ProgrammingError


def ask(question: str, *values: str) -> list[tuple]:
    with connection.cursor() as cursor:
        cursor.execute(question, values)
        return cursor.fetchall()


def test_it_is_neither_superuser_nor_exempt_nor_able_to_make_anything(db: None):
    assert ask("select current_user::text = %s, current_user = session_user", settings.DATABASE_APP_ROLE) == [
        (True, True)
    ]
    assert ask(
        "select rolsuper, rolbypassrls, rolcreaterole, rolcreatedb, rolreplication from pg_roles"
        " where rolname = current_user"
    ) == [(False, False, False, False, False)]
    assert ask("select has_schema_privilege('public', 'create')") == [(False,)]


def test_it_owns_no_relation_and_belongs_to_no_role(db: None):
    assert ask("select relname from pg_class where pg_get_userbyid(relowner) = current_user") == []
    assert ask("select r.rolname from pg_auth_members m join pg_roles r on r.oid = m.roleid"
               " join pg_roles u on u.oid = m.member where u.rolname = current_user") == []  # fmt: skip
    assert settings.DATABASES["owner"]["USER"] != settings.DATABASES["default"]["USER"]


def test_it_may_empty_no_table(db: None):
    tables = ask("select relname from pg_class where relkind in ('r', 'p') and relnamespace = 'public'::regnamespace")
    assert tables
    allowed = ask(
        "select relname from pg_class where relkind in ('r', 'p') and relnamespace = 'public'::regnamespace"
        " and has_table_privilege(oid, 'truncate')"
    )
    assert allowed == []


def test_it_may_not_change_tables(committed_db: None):
    with pytest.raises(ProgrammingError), connections["default"].cursor() as cursor:
        cursor.execute("alter table django_migrations add column mine int")
