"""How the API hands out long lists."""

from __future__ import annotations

from typing import Any

from rest_framework.exceptions import NotFound
from rest_framework.pagination import CursorPagination


class NewestFirst(CursorPagination):
    """Pages by cursor on the id: rows added while someone pages through are neither repeated nor skipped."""

    ordering = "-id"
    page_size = 100
    page_size_query_param = "page_size"
    max_page_size = 500

    def decode_cursor(self, request: Any) -> Any:
        """The place of a cursor. Raises NotFound for one that names none, which would lead back to the first page."""
        cursor = super().decode_cursor(request)
        if cursor is not None and cursor.position is None:
            raise NotFound("This cursor is not one of ours.")
        return cursor
