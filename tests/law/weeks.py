"""Weeks in short, for the tests: hours are spread over the days of the week, pieces lie on its first day.

How a check's ground is named beside it: "read in the official text", "read in a secondary source", "derived" (our own
arithmetic from the stated rule) or "from memory".
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

from payroll.law import Bonus, PieceWork, PricedWeek, Terms, TimeWorked, WeekBefore, WorkerWeek

MONDAY = date(2026, 3, 2)
DAY_HOURS = 12


def spread(kind: str, total: Any, rate: str | None = None, start: date = MONDAY, first: int = 0) -> list[TimeWorked]:
    """Hours of one kind over the days, at most 12 a day, from the day number `first` on."""
    left, entries, day = Fraction(total), [], start + timedelta(days=first)
    while left > 0:
        part = min(left, Fraction(DAY_HOURS))
        entries.append(TimeWorked(day, kind, part, None if rate is None else Decimal(rate)))
        left -= part
        day += timedelta(days=1)
    return entries


def pieces(earned: Any, start: date = MONDAY, operation: str = "hang board") -> list[PieceWork]:
    """Pieces worth a sum: one for each dollar."""
    return [PieceWork(start, operation, Fraction(earned), "piece", Decimal("1"))]


def week(
    earned: Any = None,
    producing: Any = 0,
    waiting: Any = 0,
    waiting_rate: str | None = None,
    bonuses: Iterable[tuple[str, str]] = (),
    start: date = MONDAY,
    rules: str = "us-federal",
    **more: Any,
) -> WorkerWeek:
    """A week of pieces worth `earned`, `producing` piece hours and `waiting` hours; `bonuses` are (kind, amount)."""
    return WorkerWeek(
        rules=rules,
        week_start=start,
        worker_name="A. Example",
        worker_class="journeyman",
        pieces=tuple(pieces(earned, start)) if earned is not None else (),
        hours=(
            *spread("piece", producing, start=start),
            *spread("waiting", waiting, waiting_rate, start=start, first=5),
        ),
        bonuses=tuple(Bonus(start, Decimal(amount), kind, "agreed") for kind, amount in bonuses),
        **more,
    )


def hourly(*times: tuple[str, Any, str], start: date = MONDAY, **more: Any) -> WorkerWeek:
    """A week without pieces: (kind, hours, rate) one after the other, each from a day of its own on."""
    entries: list[TimeWorked] = []
    for kind, total, rate in times:
        entries += spread(kind, total, rate, start, first=len(entries))
    return replace(week(start=start, **more), hours=tuple(entries))


def terms(**agreed: Any) -> Terms:
    """Agreed terms, the guarantee as a text."""
    if "hourly_guarantee" in agreed:
        agreed["hourly_guarantee"] = Decimal(agreed["hourly_guarantee"])
    return Terms(**agreed)


def amounts(priced: Any) -> dict[str, Decimal]:
    """What a statement pays by line code."""
    found: dict[str, Decimal] = {}
    for line in priced.lines:
        found[line.code] = found.get(line.code, Decimal("0.00")) + line.amount
    return found


def told(priced: PricedWeek) -> WeekBefore:
    """A priced week as the week after it in the same pay period is told of it."""
    paid, hours = amounts(priced), priced.hours
    premiums = paid.get("overtime", Decimal("0.00")) + paid.get("double", Decimal("0.00"))
    wages = (priced.regular_rate or Fraction(0)) * hours.total
    return WeekBefore(hours.total, hours.overtime, hours.double, wages, premiums)
