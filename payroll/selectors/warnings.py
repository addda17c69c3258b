"""What deserves a second look in a week that can be priced: sentences, not refusals."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from jobs.selectors.words import Dispute
from payroll.law.week import PIECE_TIME, UNPAID_TIME
from payroll.selectors.gathered import PersonWeek


def warnings_of(week: PersonWeek, disputes: Sequence[Dispute] = ()) -> tuple[str, ...]:
    """What the person disputes; hours without pieces and pieces without hours, in the week and on single days."""
    return (*(_disputed(week, one) for one in disputes), *_one_without_the_other(week))


def _disputed(week: PersonWeek, one: Dispute) -> str:
    return (
        f"{week.name} disputes {one.told}, on {one.worked_on.isoformat()}: {one.reason or 'the reason was forgotten'}. "
        "Correct it, or settle it with a word, before the week is closed."
    )


def _one_without_the_other(week: PersonWeek) -> tuple[str, ...]:
    piece_hours = {time.worked_on for time in week.times if time.kind == PIECE_TIME}
    worked = {time.worked_on for time in week.times if time.kind != UNPAID_TIME}
    pieces = {piece.worked_on for piece in week.pieces}
    if pieces and not worked:
        return (
            f"{week.name}: pieces but no hours. Neither overtime nor the minimum wage can be tested; ask for the "
            f"hours of the week.",
        )
    found = []
    if worked and not pieces:
        found.append(f"{week.name}: hours but no pieces. Ask whether entries are missing.")
        return tuple(found)
    if bare := sorted(pieces - worked):
        found.append(f"{week.name}: pieces but no hours on {_days(bare)}. Ask for the hours of those days.")
    if idle := sorted(piece_hours - pieces):
        found.append(f"{week.name}: piece hours but no pieces on {_days(idle)}. Ask whether entries are missing.")
    return tuple(found)


def _days(days: list[date]) -> str:
    return ", ".join(day.isoformat() for day in days)
