"""Pricing one person's week: typed records in, priced and explained lines out, no database."""

from __future__ import annotations

import random
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from payroll.law import PieceWork, TimeWorked, WorkerWeek, price
from tests.bench.harness import Figure

MONDAY = date(2026, 3, 2)
WEEKS = 200
ENTRIES = 24
OPERATIONS = ("hang board", "stand studs", "lay out and track", "corner bead")


def weeks(rules: str) -> list[WorkerWeek]:
    """Person-weeks of 24 entries over four operations and two jobs, 45 to 50 hours, the same in every run."""
    pick = random.Random(7)
    return [_week(pick, rules) for _ in range(WEEKS)]


def _week(pick: random.Random, rules: str) -> WorkerWeek:
    pieces = tuple(
        PieceWork(
            MONDAY + timedelta(days=pick.randrange(5)),
            pick.choice(OPERATIONS),
            Fraction(pick.randrange(1, 200_000), 1000),
            "unit",
            Decimal("0.40"),
            job=pick.choice(("Library", "Clinic")),
        )
        for _ in range(ENTRIES)
    )
    hours = [TimeWorked(MONDAY + timedelta(days=day), "piece", Fraction(pick.randrange(35, 39), 4)) for day in range(5)]
    hours.append(TimeWorked(MONDAY, "waiting", Fraction(5, 4), Decimal("18.50")))
    return WorkerWeek(rules, MONDAY, "A. Example", "journeyman", pieces, tuple(hours))


def figures() -> list[Figure]:
    """One rate: person-weeks a second on one core."""
    prepared = weeks("us-federal")

    def ours() -> int:
        for one in prepared:
            price(one)
        return len(prepared)

    return [Figure("price a person-week", "weeks", ours, None, "", 1000, "at least")]
