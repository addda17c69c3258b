"""Work that no rate holds for: the sentence that stops a statement, and what the office would have to set."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from payroll.selectors.gathered import Names, PersonWeek


@dataclass(frozen=True, slots=True)
class MissingRate:
    """An operation done on a job by a class of worker, without a rate, first on a day of the week."""

    operation: int
    thing: str
    job: int
    job_name: str
    worker_class: str
    first_on: date


def missing_rates(week: PersonWeek, names: Names) -> tuple[MissingRate, ...]:
    """By operation and job, in the order of their first day."""
    found: dict[tuple[int, int], MissingRate] = {}
    for piece in sorted(week.pieces, key=lambda one: (one.worked_on, one.operation, one.job)):
        if piece.rate is None:
            found.setdefault(
                (piece.operation, piece.job),
                MissingRate(
                    piece.operation,
                    names.operations[piece.operation].name,
                    piece.job,
                    names.jobs[piece.job].name,
                    week.worker_class,
                    piece.worked_on,
                ),
            )
    return tuple(found.values())
