"""SQL round every service: as the application's role in an organisation's scope, or as the owner of the tables."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.db import connections, transaction

from jobs.tenancy import organisation_scope
from tests.jobs.world import World


def as_application(world: World, statement: str, values: Sequence[Any] | Mapping[str, Any] = ()) -> list[Any]:
    """Run a statement, and its deferred checks, as the application; the rows it gives. Undone if it fails."""
    with transaction.atomic(), organisation_scope(world.organisation), connections["default"].cursor() as cursor:
        cursor.execute(statement, values)
        rows = cursor.fetchall() if cursor.description else []
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        return rows


def as_owner(statement: str, values: Sequence[Any] = ()) -> list[Any]:
    """Run a statement as the owner of the tables, whom row security does not bind. Undone if it fails."""
    with transaction.atomic(using="owner"), connections["owner"].cursor() as cursor:
        cursor.execute(statement, values)
        return cursor.fetchall() if cursor.description else []
