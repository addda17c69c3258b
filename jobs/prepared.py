"""Statements that PostgreSQL plans once for a connection instead of once for each request.

Planning takes the greater part of a long statement about one row. A batch is planned anew each time: its best plan
depends on how many rows it holds, and planning is a small part of it.
"""

from __future__ import annotations

from django.db import connection
from django.db.backends.postgresql.base import ServerBindingCursor
from django.db.backends.utils import CursorWrapper


def cursor_for(rows: int) -> CursorWrapper:
    """A cursor for a statement about so many rows; its values travel apart from the statement where that is one.

    Then every `%s` needs a type that PostgreSQL can tell, as in `%s::date[]`. Names in the statement are never values.
    """
    if rows != 1:
        return connection.cursor()
    connection.ensure_connection()
    cursor = ServerBindingCursor(connection.connection)
    return connection.make_debug_cursor(cursor) if connection.queries_logged else connection.make_cursor(cursor)
