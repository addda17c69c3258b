"""The plans that were imported into a job, newest first: what was imported, by whom, when."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from jobs.models import PlanRevision


@dataclass(frozen=True, slots=True)
class RevisionLine:
    """One revision as listed. `who` is empty where a command imported it."""

    number: int
    source_name: str
    source_sha256: str
    reader: str
    who: str
    imported_at: datetime


def revision_lines(job: int) -> list[RevisionLine]:
    """One query, without the sources. Needs the organisation in scope."""
    rows = PlanRevision.objects.filter(job=job).order_by("-number")
    return [
        RevisionLine(number, name, sha256, reader, person or email or "", at)
        for number, name, sha256, reader, person, email, at in rows.values_list(
            "number",
            "source_name",
            "source_sha256",
            "reader",
            "imported_by__person__name",
            "imported_by__user__email",
            "imported_at",
        )
    ]
