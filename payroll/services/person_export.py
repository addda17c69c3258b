"""One person's record over a span of days as a zip for an inspector or the person: tables, statements, hashes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from itertools import chain
from typing import IO, Any

from jobs.actors import Actor
from jobs.models import Organisation
from jobs.services.office import office_work, write_down
from payroll.reports.bundle import Bundle, bundle
from payroll.reports.csv_out import written
from payroll.reports.statement_pdf import statement_pdf
from payroll.selectors.person_record import (
    STATEMENT_LINES,
    PersonRecord,
    person_record,
    record_tables,
    statement_lines,
)
from payroll.selectors.statement_figures import figures_of

FORMAT = "piecewall person 1"


@dataclass(frozen=True, slots=True)
class PersonExported:
    """A name for the file, rows by table, and the number of statements."""

    file_name: str
    rows: dict[str, int]
    statements: int


def person_export(
    *, actor: Actor, person: int, first: date, last: date, to: IO[bytes], now: datetime
) -> PersonExported:
    """Pack a person's record into `to` and write down that it was taken. Raises NotAllowed, NotFound, Invalid."""
    with office_work(actor), bundle(to) as files:
        record = person_record(person=person, first=first, last=last)
        organisation = Organisation.objects.get(pk=actor.organisation)
        for name, columns, rows in record_tables(record):
            files.table(name, written(chain([columns], rows)))
        # The lines of a few hundred statements are held until their papers are written: each is worked out once.
        lines = list(_papers(files, record))
        files.table("statements.csv", written([STATEMENT_LINES, *lines]))
        files.manifest(
            {
                "format": FORMAT,
                "organisation": organisation.legal_name or organisation.name,
                "person": {
                    "number": record.person.number,
                    "name": record.person.name,
                    "class": record.person.worker_class,
                },
                "from": first.isoformat(),
                "to": last.isoformat(),
                "made_at": now.isoformat(),
                "rows": files.rows,
                "note": (
                    "Entries, hours, rates and statements as recorded, with those that were replaced. Weeks that touch "
                    "the span have their whole statement. Times are in UTC. This is a copy of records, not legal "
                    "advice."
                ),
            }
        )
        after = {"from": first.isoformat(), "to": last.isoformat(), "statements": len(record.statements)}
        write_down(actor, now, "person_export", "person", record.person.pk, after)
        return PersonExported(_file_name(record), files.rows, len(record.statements))


def _papers(files: Bundle, record: PersonRecord) -> Iterator[tuple[Any, ...]]:
    """Write each statement's paper; yields its lines."""
    for one in record.statements:
        figures = figures_of(one, "en")
        files.write(f"statements/{one.pay_week.first_day}-{one.number}.pdf", statement_pdf(figures))
        yield from statement_lines(one, figures)


def _file_name(record: PersonRecord) -> str:
    number = "".join(letter if letter.isascii() and letter.isalnum() else "-" for letter in record.person.number)
    return f"person-{number}-{record.first}-{record.last}.zip"
