"""What every CSV import shares: all of a file or nothing, a dry run, and every mistake with its row."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from uuid import UUID, uuid5

from django.db import transaction

from jobs.actors import Actor
from jobs.csv_rows import Row
from jobs.models import Person
from jobs.refusals import Mistake, NotAllowed, Refusal
from jobs.services.office import OFFICE
from jobs.tenancy import organisation_scope

_SPACE = UUID("5f0c1f3e-52a5-4c3c-9d4a-6a2f3a1f8a37")
_PERSON = re.compile(r"\bperson (\d+)\b")


@dataclass(slots=True)
class Imported:
    """How a file went: rows made, rows that stand already, mistakes by row. With mistakes nothing is kept."""

    made: int = 0
    standing: int = 0
    mistakes: list[Mistake] = field(default_factory=list)
    applied: bool = False


@contextmanager
def whole_file(actor: Actor, imported: Imported, *, dry_run: bool) -> Iterator[None]:
    """One transaction for a file. It is undone for a dry run, and when any mistake was noted in it.

    Raises NotAllowed for a role that is not the office's.
    """
    if actor.role not in OFFICE:
        raise NotAllowed(Mistake("", f"the role {actor.role} does not import files. Ask the office."))
    with transaction.atomic(), organisation_scope(actor.organisation):
        kept = transaction.savepoint()
        yield
        imported.applied = not (dry_run or imported.mistakes)
        if imported.applied:
            transaction.savepoint_commit(kept)
        else:
            transaction.savepoint_rollback(kept)


@contextmanager
def row_refusals(row: Row, say: Callable[[str], str] = str) -> Iterator[None]:
    """Note what a service refuses as mistakes of the row, and go on with the next row behind a savepoint."""
    try:
        with transaction.atomic():
            yield
    except Refusal as refusal:
        note_refusal(row, refusal, say)


def note_refusal(row: Row, refusal: Refusal, say: Callable[[str], str] = str) -> None:
    for mistake in refusal.mistakes:
        row.note(mistake.path, say(mistake.sentence))


def numbers_for_ids(people: Mapping[str, int]) -> Callable[[str], str]:
    """Put a person's own number in the place of the record's id in a sentence; the file knows the number."""
    numbers = {pk: number for number, pk in people.items()}

    def say(sentence: str) -> str:
        return _PERSON.sub(lambda found: f"person {numbers.get(int(found[1]), found[1])}", sentence)

    return say


class RowNames:
    """A UUID for each row of a file that gives none: the same file again gets the same ones, so nothing comes twice.

    Two rows of the same content in one file are two; a row that was changed is another row.
    """

    def __init__(self, organisation: int, kind: str) -> None:
        self._before = f"{organisation} {kind} "
        self._seen: Counter[str] = Counter()

    def name(self, row: Row) -> UUID:
        content = self._before + "\x1f".join(
            f"{column}={cell.strip()}" for column, cell in sorted(row.cells.items()) if cell.strip()
        )
        self._seen[content] += 1
        return uuid5(_SPACE, f"{content}\x1f{self._seen[content]}")


def people_by_number() -> dict[str, int]:
    """Number -> id of every person. Needs the organisation in scope."""
    return dict(Person.objects.values_list("number", "pk"))
