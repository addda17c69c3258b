"""A complete export of an organisation: a zip of its tables as CSV, of JSON that says what it is, and of its documents.

Written as it is read, a row at a time, from one snapshot of the database; memory does not grow with the organisation.
The format is documented in DEVELOPERS.md.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import chain
from typing import IO, Any

from django.db import connection, transaction

from jobs.actors import Actor
from jobs.models import Organisation, Person
from jobs.refusals import Mistake, NotAllowed
from jobs.tenancy import organisation_in_scope, organisation_scope
from payroll.exchange_tables import (
    DIGEST,
    DOCUMENT,
    DOCUMENTS,
    FORMAT,
    FORMER_IDS,
    JSON_WITH_IDS,
    ORGANISATION,
    REFERENCE,
    ROWS_UP_TO,
    TOLD,
    USER,
    Column,
    Table,
    ids_in,
    ids_replaced,
    tables,
)
from payroll.models import Statement
from payroll.reports.bundle import Bundle, bundle
from payroll.reports.canonical import canonical
from payroll.reports.csv_out import written
from payroll.reports.statement_pdf import statement_pdf
from payroll.selectors.statements import statement_detail

MAY_EXPORT = frozenset({"owner", "system"})
CHUNK = 500
ORGANISATION_FIELDS = (
    "name", "legal_name", "address", "workweek_start", "language", "accent_colour", "time_zone",
    "second_factor_required",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Exported:
    """What an export holds: rows by file, and the SHA-256 of every file in it."""

    rows: dict[str, int]
    sha256: dict[str, str]


def organisation_export(*, actor: Actor, to: IO[bytes], now: datetime) -> Exported:
    """Write the actor's organisation to `to`, which need not be seekable. Changes nothing.

    Cannot run inside another transaction: it reads one snapshot from start to end. Raises NotAllowed: only an owner
    takes everything away.
    """
    if actor.role not in MAY_EXPORT:
        raise NotAllowed(Mistake("", f"the role {actor.role} does not export the organisation. Ask an owner."))
    with transaction.atomic(durable=True), bundle(to) as archive:
        with connection.cursor() as cursor:
            cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
        with organisation_scope(actor.organisation):
            _organisation(archive)
            known = tables()
            _number_rows(known)
            for table in known.values():
                _table(archive, table)
            _former_ids(archive)
            _papers(archive)
            _manifest(archive, now)
            return Exported(archive.rows, archive.sha256)


def _organisation(archive: Bundle) -> None:
    organisation = Organisation.objects.get(pk=organisation_in_scope())
    facts = {name: getattr(organisation, name) for name in ORGANISATION_FIELDS}
    archive.write(ORGANISATION, canonical(facts | {"created_at": organisation.created_at.isoformat()}))


def _manifest(archive: Bundle, now: datetime) -> None:
    archive.manifest(
        {
            "format": FORMAT,
            "exported_at": now.isoformat(),
            "written_in": organisation_in_scope(),
            "rows": archive.rows,
        }
    )


def _number_rows(known: dict[str, Table]) -> None:
    """Give every row its number, in a table of this transaction."""
    with connection.cursor() as cursor:
        cursor.execute(
            "CREATE TEMPORARY TABLE exported_row (kind text, id bigint, nth bigint, PRIMARY KEY (kind, id)) "
            "ON COMMIT DROP"
        )
        for table in known.values():
            order = table.order.replace(
                "line_place(line_id)",
                "(SELECT x.nth FROM exported_row x WHERE x.kind = 'payroll.statementline' AND x.id = line_id)",
            )
            cursor.execute(
                f"INSERT INTO exported_row SELECT %s, id, row_number() OVER (ORDER BY {order}) "  # noqa: S608
                f"FROM {table.name} WHERE organisation_id = %s",
                [table.label, organisation_in_scope()],
            )
        cursor.execute("ANALYZE exported_row")


def _table(archive: Bundle, table: Table) -> None:
    """One table as CSV, then its documents, which stand in files of their own."""
    chunks = _chunks(_select(table), [organisation_in_scope(), table.label])
    rows = (row for chunk in chunks for row in _ids_numbered(table, chunk))
    archive.table(table.file, written(chain([["row", *(column.name for column in table.columns)]], rows), guard=False))
    for nth, column in enumerate(table.columns):
        if column.kind == DOCUMENT:
            _documents(archive, table, table.columns[nth])


def _select(table: Table) -> str:
    values = ", ".join(_value(table, column) for column in table.columns)
    return (
        f"SELECT m.nth, {values} FROM {table.name} t "  # noqa: S608 - names are ours
        "JOIN exported_row m ON m.id = t.id WHERE t.organisation_id = %s AND m.kind = %s ORDER BY m.nth"
    )


def _value(table: Table, column: Column) -> str:
    name = f't."{column.name}"'
    if column.kind == REFERENCE:
        return f"(SELECT x.nth FROM exported_row x WHERE x.kind = '{column.of}' AND x.id = {name})"  # noqa: S608
    if column.kind == ROWS_UP_TO:
        return f"(SELECT count(*) FROM exported_row x WHERE x.kind = '{column.of}' AND x.id <= {name})"  # noqa: S608
    if column.kind == USER:
        return f"(SELECT u.email FROM jobs_user u WHERE u.id = {name})"  # noqa: S608
    if column.kind == DIGEST:
        return f"encode({name}, 'hex')"
    if column.kind == DOCUMENT:
        return "'" + DOCUMENTS[table.label, column.name].replace("{nth}", "' || m.nth || '") + "'"
    if column.name == "written_in":
        return f"COALESCE({name}, t.organisation_id)::text"
    return f"{name}::text"


def _chunks(statement: str, values: Sequence[Any]) -> Iterator[list[tuple[Any, ...]]]:
    with connection.chunked_cursor() as cursor:
        cursor.execute(statement, values)
        while chunk := cursor.fetchmany(CHUNK):
            yield chunk


def _ids_numbered(table: Table, chunk: list[tuple[Any, ...]]) -> list[list[Any]]:
    """Ids in JSON become the numbers of the rows they name."""
    places = [nth for nth, column in enumerate(table.columns, start=1) if (table.label, column.name) in JSON_WITH_IDS]
    rows = [list(row) for row in chunk]
    if not places:
        return rows
    names = {place: table.columns[place - 1].name for place in places}
    read = [(row, place, json.loads(row[place])) for row in rows for place in places if row[place] is not None]
    wanted = {one for _, place, value in read for one in ids_in(table.label, names[place], value)}
    numbers = _numbers(wanted)
    for row, place, value in read:
        known = ids_replaced(table.label, names[place], value, lambda kind, found: numbers[kind, found])
        row[place] = canonical(known).decode()
    return rows


def _numbers(wanted: set[tuple[str, int]]) -> dict[tuple[str, int], int]:
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT x.kind, x.id, x.nth FROM exported_row x "
            "JOIN unnest(%s::text[], %s::bigint[]) AS w (kind, id) ON w.kind = x.kind AND w.id = x.id",
            [[kind for kind, _ in wanted], [found for _, found in wanted]],
        )
        return {(kind, found): nth for kind, found, nth in cursor.fetchall()}


def _documents(archive: Bundle, table: Table, column: Column) -> None:
    """One document at a time: it is read whole, so the largest one is what memory must hold."""
    statement = (
        f"SELECT m.nth, t.{column.name} FROM {table.name} t "  # noqa: S608 - names are ours
        "JOIN exported_row m ON m.id = t.id WHERE t.organisation_id = %s AND m.kind = %s ORDER BY m.nth"
    )
    with connection.chunked_cursor() as cursor:
        cursor.execute(statement, [organisation_in_scope(), table.label])
        while row := cursor.fetchone():
            archive.write(DOCUMENTS[table.label, column.name].format(nth=row[0]), bytes(row[1]))


def _former_ids(archive: Bundle) -> None:
    """Ids under which rows are named in hashes and audit records: of organisations before this one, and its own."""
    statement = """
        SELECT f.written_in, f.kind, x.nth, f.former FROM jobs_formerid f
          JOIN exported_row x ON x.kind = f.kind AND x.id = f.now WHERE f.organisation_id = %s
         UNION ALL
        SELECT %s, x.kind, x.nth, x.id FROM exported_row x WHERE x.kind = ANY(%s)
         ORDER BY 1, 2, 3
    """
    organisation = organisation_in_scope()
    rows = chain.from_iterable(_chunks(statement, [organisation, organisation, sorted(TOLD)]))
    archive.table(FORMER_IDS, written(chain([("written_in", "kind", "row", "id")], rows), guard=False))


def _papers(archive: Bundle) -> None:
    """Statements as people got them. They are drawn from the tables and are not read again by a restore."""
    owner = Actor(organisation_in_scope(), None, "owner")
    people = dict(Person.objects.values_list("pk", "number"))
    numbers = Statement.objects.order_by("number").values_list("pk", "number", "person_id", "pay_week__first_day")
    for pk, number, person, first_day in numbers.iterator(chunk_size=CHUNK):
        detail = statement_detail(actor=owner, statement=pk, language=None)
        name = "".join(letter if letter.isalnum() else "-" for letter in people[person])
        archive.write(f"documents/statements/{first_day}-{name}-{number}.pdf", statement_pdf(detail.figures))
