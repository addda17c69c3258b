"""People by CSV: number, name, class, started_on, left_on, language."""

from __future__ import annotations

from datetime import date, datetime

from jobs.actors import Actor
from jobs.csv_rows import Columns, Row, rows_read
from jobs.models import Person
from jobs.services.csv_import import Imported, row_refusals, whole_file
from jobs.services.people import PersonFacts, person_create, person_leave

COLUMNS = Columns(("number", "name", "class", "started_on", "left_on", "language"), ("number", "name", "started_on"))


def people_import(*, actor: Actor, source: bytes, now: datetime, dry_run: bool) -> Imported:
    """Take on the people of a file. A number that stands with the same facts changes nothing; a last day is noted.

    With any mistake, and in a dry run, nothing is kept. Raises NotAllowed.
    """
    rows, mistakes = rows_read(source, COLUMNS)
    imported = Imported(mistakes=mistakes)
    with whole_file(actor, imported, dry_run=dry_run):
        known = {person.number: person for person in Person.objects.all()}
        seen: dict[str, int] = {}
        for row in rows:
            _one(row, actor, now, known, seen, imported)
    return imported


def _one(
    row: Row, actor: Actor, now: datetime, known: dict[str, Person], seen: dict[str, int], imported: Imported
) -> None:
    before = len(row.mistakes)
    facts, left_on = _facts(row)
    if facts is not None and facts.number in seen:
        row.note("number", f"number {facts.number} stands in row {seen[facts.number]} already. Keep one of them.")
    if facts is None or len(row.mistakes) > before:
        return
    seen[facts.number] = row.number
    person = known.get(facts.number)
    if person is not None and not _same(row, person, facts):
        return
    with row_refusals(row):
        if person is None:
            person = person_create(actor=actor, facts=facts, now=now)
            imported.made += 1
        elif left_on is None or left_on == person.left_on:
            imported.standing += 1
            return
        else:
            imported.made += 1
        if left_on is not None:
            person_leave(actor=actor, person=person.pk, left_on=left_on, now=now)


def _facts(row: Row) -> tuple[PersonFacts | None, date | None]:
    number, name = row.text("number", 20), row.text("name")
    started_on, left_on = row.day("started_on"), row.day("left_on")
    worker_class, language = row.text("class", 40) or "journeyman", row.text("language", 12) or "en"
    if not number or not name or started_on is None:
        return None, left_on
    return PersonFacts(name, number, started_on, worker_class, language), left_on


def _same(row: Row, person: Person, facts: PersonFacts) -> bool:
    """Whether a person who stands is the one of the row; otherwise every difference is noted."""
    pairs = (
        ("name", person.name, facts.name),
        ("class", person.worker_class, facts.worker_class),
        ("started_on", person.started_on.isoformat(), facts.started_on.isoformat()),
    )
    differing = [(column, stands, given) for column, stands, given in pairs if stands != given]
    for column, stands, given in differing:
        row.note(
            column,
            f"number {facts.number} stands with {column} {stands}, the file says {given}. "
            "Give another number, or leave the row out and change the person.",
        )
    return not differing
