"""Whether a statement with a hash stands: the one question about pay that is answered without signing in."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db import connection


@dataclass(frozen=True, slots=True)
class Standing:
    """The week that a statement is for, whether another took its place, and whether an amount is its gross (None where
    none was given)."""

    first_day: date
    superseded: bool
    agrees: bool | None


def statement_standing(digest: bytes, gross: Decimal | None = None) -> Standing | None:
    """What may be said of a hash; None where no statement has it. Needs no organisation in scope."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT first_day, superseded, agrees FROM piecewall_statement_stands(%s, %s)", [digest, gross])
        row = cursor.fetchone()
    return None if row is None else Standing(row[0], bool(row[1]), None if gross is None else bool(row[2]))
