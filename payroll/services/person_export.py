"""One person's record over a span of days as a zip for an inspector or the person: tables, statements, hashes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from jobs.actors import Actor
from jobs.models import Organisation
from jobs.services.office import office_work, write_down
from payroll.reports.bundle import bundle
from payroll.reports.csv_out import csv_bytes
from payroll.reports.statement_pdf import statement_pdf
from payroll.selectors.person_record import PersonRecord, person_record
from payroll.selectors.statements import statement_detail

FORMAT = "piecewall person 1"


@dataclass(frozen=True, slots=True)
class PersonExported:
    """The zip, a name for its file, and rows by table."""

    content: bytes
    file_name: str
    rows: dict[str, int]
    statements: int


def person_export(*, actor: Actor, person: int, first: date, last: date, now: datetime) -> PersonExported:
    """Pack a person's record and write down that it was taken. Raises NotAllowed, NotFound, Invalid."""
    with office_work(actor):
        record = person_record(actor=actor, person=person, first=first, last=last)
        organisation = Organisation.objects.get(pk=actor.organisation)
        files = {name: csv_bytes(*table) for name, table in record.tables.items()}
        for pk, number, week in record.statements:
            detail = statement_detail(actor=actor, statement=pk)
            files[f"statements/{week}-{number}.pdf"] = statement_pdf(detail.figures)
        rows = {name: len(table[1]) for name, table in record.tables.items()}
        about = {
            "format": FORMAT,
            "organisation": organisation.legal_name or organisation.name,
            "person": {"number": record.number, "name": record.name, "class": record.worker_class},
            "from": first.isoformat(),
            "to": last.isoformat(),
            "made_at": now.isoformat(),
            "rows": rows,
            "note": (
                "Entries, hours, rates and statements as recorded, with those that were replaced. Weeks that touch the "
                "span have their whole statement. Times are in UTC. This is a copy of records, not legal advice."
            ),
        }
        after = {"from": first.isoformat(), "to": last.isoformat(), "statements": len(record.statements)}
        write_down(actor, now, "person_export", "person", record.person, after)
        return PersonExported(bundle(about, files), _file_name(record), rows, len(record.statements))


def _file_name(record: PersonRecord) -> str:
    number = "".join(letter if letter.isascii() and letter.isalnum() else "-" for letter in record.number)
    return f"person-{number}-{record.first}-{record.last}.zip"
