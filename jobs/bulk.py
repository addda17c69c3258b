"""Many rows in one statement: INSERT ... SELECT FROM unnest, one array a column, under the organisation in scope.

COPY would be quicker still, but PostgreSQL refuses it on a table with row security.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.db import connection

from jobs.tenancy import organisation_in_scope


def rows_insert(
    table: str, types: Mapping[str, str], rows: Sequence[Sequence[Any]], *, returning: str = "", conflict: str = ""
) -> list[Any]:
    """Insert `rows`, whose values follow the columns of `types`, in their order.

    Column and table names are ours, never a user's. `returning` names columns to give back; `conflict` is the columns
    of a unique constraint on which rows are left out in silence (and then not returned).
    """
    if not rows:
        return []
    columns = ", ".join(types)
    # jsonb values travel as text: an array of jsonb would have to be escaped twice.
    arrays = ", ".join(f"%s::{'text' if kind == 'jsonb' else kind}[]" for kind in types.values())
    values = ", ".join(f"r.{name}::jsonb" if kind == "jsonb" else f"r.{name}" for name, kind in types.items())
    statement = (
        f"INSERT INTO {table} (organisation_id, {columns}) "  # noqa: S608 - names are ours
        f"SELECT %s, {values} FROM unnest({arrays}) WITH ORDINALITY AS r({columns}, nth) ORDER BY r.nth"
    )
    if conflict:
        statement += f" ON CONFLICT ({conflict}) DO NOTHING"
    if returning:
        statement += f" RETURNING {returning}"
    with connection.cursor() as cursor:
        cursor.execute(statement, [organisation_in_scope(), *(list(column) for column in zip(*rows, strict=True))])
        return cursor.fetchall() if returning else []


def rows_update(table: str, types: Mapping[str, str], rows: Sequence[Sequence[Any]]) -> None:
    """Update the rows of `table` whose id stands first in each of `rows` with the values after it."""
    if not rows:
        return
    columns = ", ".join(("id", *types))
    arrays = ", ".join(("%s::bigint[]", *(f"%s::{'text' if kind == 'jsonb' else kind}[]" for kind in types.values())))
    values = ", ".join(f"{name} = r.{name}::{kind}" for name, kind in types.items())
    with connection.cursor() as cursor:
        cursor.execute(
            f"UPDATE {table} t SET {values} FROM unnest({arrays}) AS r({columns}) "  # noqa: S608 - names are ours
            "WHERE t.organisation_id = %s AND t.id = r.id",
            [*(list(column) for column in zip(*rows, strict=True)), organisation_in_scope()],
        )
