"""How the API hands out long lists."""

from __future__ import annotations

from rest_framework.pagination import CursorPagination


class NewestFirst(CursorPagination):
    """Pages by cursor on the id: rows added while someone pages through are neither repeated nor skipped."""

    ordering = "-id"
    page_size = 100
    page_size_query_param = "page_size"
    max_page_size = 500
