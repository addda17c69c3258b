"""One writer at a time for what a closing reads and writes as a whole: the chain of statements, and office records.

A record of the office is made under the same lock, so that a closing has seen every one with a lower id than its own
newest, and what is newer is late.
"""

from __future__ import annotations

from django.db import connection

from jobs.tenancy import organisation_in_scope


def closing_lock() -> None:
    """Wait for the organisation's lock; it is held until the transaction ends."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT pg_advisory_xact_lock(hashtextextended('piecewall statements', %s))", [organisation_in_scope()]
        )
