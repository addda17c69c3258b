"""Restoring an organisation from its export: new ids, the same UUIDs, the same records, the same hashes.

Everything is written as the application's role, so every constraint, trigger and composite key of the database is met
again on the way: weeks are opened, filled and closed in the order in which they were, and work is counted anew. All of
it is one transaction. What cannot be, is refused, and nothing is left behind.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from typing import IO, Any

from django.db import DatabaseError, connection, transaction

from jobs import audit
from jobs.actors import system
from jobs.models import User
from jobs.refusals import invalid
from jobs.selectors.audit_chain import audit_breaks
from jobs.tenancy import organisation_scope
from payroll.exchange_tables import (
    DIGEST,
    DOCUMENT,
    FORMER_IDS,
    JSON_WITH_IDS,
    REFERENCE,
    ROWS_UP_TO,
    USER,
    Column,
    Table,
    ids_in,
    ids_replaced,
    tables,
)
from payroll.selectors.chain_check import chain_breaks
from payroll.services.archive_reading import UNREADABLE, Archive, Stream, archive_read
from payroll.services.organisation_export import ORGANISATION_FIELDS

CHUNK = 500
# What a work unit may measure at most: room for every entry of its history; its own measure is set after them.
_ROOM = "9999999999.9999"
_SEEN = ("entries_to", "hours_to", "agreements_to", "minimums_to", "breaks_to")
_CLOSING = ("state", "closed_by_id", "closed_at", "stopped", "pending", *_SEEN)
# Columns that do not travel and may not be empty. Nobody holds a token of a device's new digest; work done is counted.
_NOT_EXPORTED = {
    "jobs.device": (", token_digest", ", sha256(convert_to(gen_random_uuid()::text || gen_random_uuid(), 'UTF8'))"),
    "jobs.workunit": (", done", ", 0"),
}
_OF_A_WEEK = (
    "payroll.statement",
    "payroll.statementline",
    "payroll.lineallotment",
    "payroll.statementhours",
    "payroll.jobshare",
)
_PARENT = {
    "payroll.statementline": "statement_id",
    "payroll.lineallotment": "line_id",
    "payroll.statementhours": "statement_id",
    "payroll.jobshare": "line_id",
}
_STATEMENTS_FILE = "tables/statement.csv"
Row = dict[str, str]


@dataclass(frozen=True, slots=True)
class Restored:
    """A restored organisation: its id, rows by file, and sentences of the chains about what was not whole before."""

    organisation: int
    rows: dict[str, int]
    breaks: tuple[str, ...]


def organisation_restore(*, source: IO[bytes], now: datetime) -> Restored:
    """Make an organisation of an export. Users are found by e-mail, or made and must reset their password; devices
    sign in anew.

    Raises Invalid, naming file and rows, for an archive that is not whole or whose rows the database refuses.
    """
    archive = archive_read(source)
    try:
        return _restored(archive, now)
    except UNREADABLE as error:
        said = f"the file is not as an export is written ({str(error)[:200] or type(error).__name__})"
        raise invalid("file", f"{said}. Take the export again.") from error


def _restored(archive: Archive, now: datetime) -> Restored:
    with transaction.atomic():
        organisation = _organisation_id()
        with organisation_scope(organisation):
            _organisation(archive, organisation)
            writer = _Writer(archive, organisation)
            writer.write_all()
            _former_ids(archive, organisation)
            manifest = json.dumps(archive.manifest, sort_keys=True).encode()
            after = {"written_in": archive.manifest["written_in"], "export": hashlib.sha256(manifest).hexdigest()}
            change = audit.Change("organisation_restore", "organisation", str(organisation), after)
            audit.record(actor=system(organisation), at=now, changes=[change])
            with _refused("tables", 1, sum(archive.manifest["rows"].values())), connection.cursor() as cursor:
                cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
            return Restored(organisation, archive.manifest["rows"], (*audit_breaks(), *chain_breaks()))


def _organisation_id() -> int:
    with connection.cursor() as cursor:
        cursor.execute("SELECT nextval(pg_get_serial_sequence('jobs_organisation', 'id'))")
        found: int = cursor.fetchone()[0]
        return found


def _organisation(archive: Archive, organisation: int) -> None:
    facts = archive.organisation()
    names = (*ORGANISATION_FIELDS, "created_at")
    if set(facts) != set(names):
        differing = ", ".join(sorted(set(facts) ^ set(names)))
        raise invalid("organisation.json", f"its keys differ in: {differing}. Use the version that made it.")
    with _refused("organisation.json", 1, 1), connection.cursor() as cursor:
        cursor.execute(
            f"INSERT INTO jobs_organisation (id, {', '.join(names)}) "  # noqa: S608 - names are ours
            f"VALUES (%s, {', '.join(['%s'] * len(names))})",
            [organisation, *(facts[name] for name in names)],
        )


class _Writer:
    """Writes the tables of one archive. Knows the new id of every row that was written, in the database."""

    def __init__(self, archive: Archive, organisation: int) -> None:
        self._archive = archive
        self._organisation = organisation
        self._tables = tables()
        self._users: dict[str, int] = {}
        with connection.cursor() as cursor:
            # Plans that check keys are kept as long as the session lives; made now, on tables that may be empty, they
            # would read them whole for every row after.
            cursor.execute("SET LOCAL enable_seqscan = off")
            cursor.execute(
                "CREATE TEMPORARY TABLE restored_row (kind text, nth bigint, id bigint, PRIMARY KEY (kind, nth)) "
                "ON COMMIT DROP"
            )
            cursor.execute("SELECT table_name, column_name, udt_name FROM information_schema.columns "
                           "WHERE table_schema = 'public' AND table_name = ANY(%s)",
                           [[table.name for table in self._tables.values()]])  # fmt: skip
            self._types = {(table, column): kind for table, column, kind in cursor.fetchall()}

    def write_all(self) -> None:
        for label, table in self._tables.items():
            if label == "payroll.payweek":
                self._weeks(table)
            elif label not in _OF_A_WEEK:
                changed = {"measured": _ROOM} if label == "jobs.workunit" else {}
                self._write(table, self._archive.rows(table.file), changed)
            if label == "jobs.entry":
                self._measures(self._tables["jobs.workunit"])

    def _measures(self, table: Table) -> None:
        """Once all entries are counted, each work unit gets its measure, even one that is below what is done."""
        for chunk in _chunked(self._archive.rows(table.file), lambda row, chunk: False):
            with _refused(table.file, int(chunk[0]["row"]), int(chunk[-1]["row"])), connection.cursor() as cursor:
                cursor.execute(
                    "UPDATE jobs_workunit w SET measured = r.measured::numeric "
                    "FROM unnest(%s::bigint[], %s::text[]) AS r (nth, measured) "
                    "JOIN restored_row x ON x.kind = 'jobs.workunit' AND x.nth = r.nth "
                    "WHERE w.organisation_id = %s AND w.id = x.id",
                    [[row["row"] for row in chunk], [row["measured"] for row in chunk], self._organisation],
                )

    def _weeks(self, table: Table) -> None:
        """Open every week, then fill and close those that were closed, in the order of their closing.

        Final pay was written into its week before that closed, and other weeks may have closed in between.
        """
        weeks = list(self._archive.rows(table.file))
        opened = dict.fromkeys(_CLOSING, "") | {"state": "open", "stopped": "[]", "pending": "[]"}
        self._write(table, weeks, opened | dict.fromkeys(_SEEN, "0"))
        streams = {label: self._archive.stream(self._tables[label]) for label in _OF_A_WEEK}
        last_of = {row["paid_in_id"]: int(row["row"]) for row in self._archive.rows(_STATEMENTS_FILE)}
        closed = sorted((week for week in weeks if week["state"] == "closed"), key=_closed_at)
        for week in closed:
            self._statements(last_of.get(week["row"], 0), streams)
            self._close(table, week)
        self._statements(max(last_of.values(), default=0), streams)

    def _statements(self, to: int, streams: dict[str, Stream]) -> None:
        """Statements up to a row, which stand in the order of the chain, and all that hangs on them."""
        written: dict[str, int] = {}
        for label in _OF_A_WEEK:
            table, parent = self._tables[label], _PARENT.get(label)
            if parent is None:
                rows = list(streams[label].take(lambda row: int(row["row"]) <= to))
            else:
                upto = written.get("payroll.statementline" if parent == "line_id" else "payroll.statement", 0)
                rows = list(streams[label].take(_hangs_on(parent, upto)))
            written[label] = int(rows[-1]["row"]) if rows else 0
            self._write(table, rows, {}, together=parent)

    def _close(self, table: Table, week: Row) -> None:
        columns = [column for column in table.columns if column.name in _CLOSING]
        values = self._values(table, columns)
        changes = ", ".join(f'"{column.name}" = {value}' for column, value in zip(columns, values, strict=True))
        arrays = ", ".join(["%s::text[]"] * (len(columns) + 1))
        names = ", ".join(["nth", *(f'"{column.name}"' for column in columns)])
        row = self._ids_found(table, [week])[0]
        with _refused(table.file, int(week["row"]), int(week["row"])), connection.cursor() as cursor:
            cursor.execute(
                f"UPDATE payroll_payweek w SET {changes} FROM unnest({arrays}) AS r ({names}), restored_row x "  # noqa: S608
                "WHERE x.kind = 'payroll.payweek' AND x.nth = r.nth::bigint AND w.organisation_id = %s AND w.id = x.id",
                [[row["row"]], *([row[column.name]] for column in columns), self._organisation],
            )

    def _write(
        self, table: Table, rows: Iterable[Row], changed: dict[str, str], *, together: str | None = None
    ) -> None:
        """Insert rows in their order. Rows with the same `together` go into one statement, as triggers ask."""

        def apart(row: Row, chunk: Sequence[Row]) -> bool:
            numbers = {one["row"] for one in chunk} if table.itself else set()
            return any(row[column] in numbers for column in table.itself)

        for chunk in _chunked(rows, apart, together):
            first, last = int(chunk[0]["row"]), int(chunk[-1]["row"])
            with _refused(table.file, first, last):
                self._insert(table, self._ids_found(table, [row | changed for row in chunk]))

    def _insert(self, table: Table, chunk: list[Row]) -> None:
        names = [column.name for column in table.columns]
        values = self._values(table, table.columns)
        extra, extra_value = _NOT_EXPORTED.get(table.label, ("", ""))
        arrays = ", ".join(["%s::text[]"] * (len(names) + 1))
        written = ", ".join(f'"{column.name}"' for column in table.columns)
        read = ", ".join(f'"{name}"' for name in names)
        statement = (
            f"INSERT INTO {table.name} (organisation_id, {written}{extra}) "  # noqa: S608
            f"SELECT %s, {', '.join(values)}{extra_value} FROM unnest({arrays}) AS r (nth, {read}) "
            "ORDER BY r.nth::bigint RETURNING id"
        )
        columns: list[list[Any]] = [[row["row"] for row in chunk]]
        for name in names:
            kind = next((column.kind for column in table.columns if column.name == name), "")
            columns.append([self._cell(kind, row[name]) for row in chunk])
        with connection.cursor() as cursor:
            cursor.execute(statement, [self._organisation, *columns])
            ids = sorted(found for (found,) in cursor.fetchall())
            # Ids were given in the order of the rows.
            cursor.execute(
                "INSERT INTO restored_row SELECT %s, r.nth::bigint, r.id "
                "FROM unnest(%s::text[], %s::bigint[]) AS r (nth, id)",
                [table.label, columns[0], ids],
            )

    def _cell(self, kind: str, value: str) -> str:
        if kind == USER:
            return str(self._user(value)) if value else ""
        if kind == DOCUMENT:
            return self._archive.document(value).hex()
        return value

    def _user(self, email: str) -> int:
        """Users are the installation's, not the organisation's."""
        if email not in self._users:
            user = User.objects.filter(email=email).first() or User.objects.create_user(email)
            self._users[email] = user.pk
        return self._users[email]

    def _values(self, table: Table, columns: Iterable[Column]) -> list[str]:
        """For each column the SQL that makes its value of the cell `r.name`."""
        return [_value(column, self._types[table.name, column.name]) for column in columns]

    def _ids_found(self, table: Table, chunk: list[Row]) -> list[Row]:
        """Numbers in JSON become the ids of the rows they name."""
        names = [column.name for column in table.columns if (table.label, column.name) in JSON_WITH_IDS]
        if not names:
            return chunk
        read = [(row, name, json.loads(row[name])) for row in chunk for name in names if row[name]]
        wanted = {one for _, name, value in read for one in ids_in(table.label, name, value)}
        with connection.cursor() as cursor:
            cursor.execute(
                "SELECT x.kind, x.nth, x.id FROM restored_row x "
                "JOIN unnest(%s::text[], %s::bigint[]) AS w (kind, nth) ON w.kind = x.kind AND w.nth = x.nth",
                [[kind for kind, _ in wanted], [nth for _, nth in wanted]],
            )
            ids = {(kind, nth): found for kind, nth, found in cursor.fetchall()}
        changed = [dict(row) for row in chunk]
        places = {row["row"]: place for place, row in enumerate(chunk)}
        for row, name, value in read:
            mended = ids_replaced(table.label, name, value, lambda kind, nth: ids[kind, nth])
            changed[places[row["row"]]][name] = json.dumps(mended)
        return changed


def _value(column: Column, kind: str) -> str:
    cell = f'r."{column.name}"'
    if column.kind == REFERENCE:
        nth = f"NULLIF({cell}, '')::bigint"
        return f"(SELECT x.id FROM restored_row x WHERE x.kind = '{column.of}' AND x.nth = {nth})"  # noqa: S608
    if column.kind == ROWS_UP_TO:
        found = f"SELECT x.id FROM restored_row x WHERE x.kind = '{column.of}' AND x.nth = {cell}::bigint"  # noqa: S608
        return f"COALESCE(({found}), 0)"
    if column.kind in {DIGEST, DOCUMENT}:
        return f"decode({cell}, 'hex')"
    return (
        f"NULLIF({cell}, '')::{kind}"
        if column.empty_is_null or (kind != "text" and kind != "varchar")
        else f"{cell}::{kind}"
    )


def _hangs_on(parent: str, upto: int) -> Callable[[Row], bool]:
    return lambda row: int(row[parent]) <= upto


def _closed_at(week: Row) -> tuple[datetime, int]:
    return datetime.fromisoformat(week["closed_at"]), int(week["row"])


def _chunked(
    rows: Iterable[Row], apart: Callable[[Row, Sequence[Row]], bool], together: str | None = None
) -> Iterator[list[Row]]:
    """Rows by the handful: a new one begins where `apart` says so, and never between rows of one `together`."""
    chunk: list[Row] = []
    for row in rows:
        full = len(chunk) >= CHUNK and (together is None or row[together] != chunk[-1][together])
        if chunk and (full or apart(row, chunk)):
            yield chunk
            chunk = []
        chunk.append(row)
    if chunk:
        yield chunk


def _former_ids(archive: Archive, organisation: int) -> None:
    for chunk in _chunked(archive.rows(FORMER_IDS), lambda row, chunk: False):
        with _refused(FORMER_IDS, 1, len(chunk)), connection.cursor() as cursor:
            cursor.execute(
                "INSERT INTO jobs_formerid (organisation_id, written_in, kind, former, now) "
                "SELECT %s, r.written_in::bigint, r.kind, r.former::bigint, x.id "
                "FROM unnest(%s::text[], %s::text[], %s::text[], %s::text[]) AS r (written_in, kind, nth, former) "
                "JOIN restored_row x ON x.kind = r.kind AND x.nth = r.nth::bigint",
                [organisation, *([row[name] for row in chunk] for name in ("written_in", "kind", "row", "id"))],
            )


@contextmanager
def _refused(file: str, first: int, last: int) -> Iterator[None]:
    """Turn what the database refuses into an answer that names file and rows."""
    try:
        yield
    except (DatabaseError, KeyError, ValueError) as error:
        said = (str(error).strip() or type(error).__name__).splitlines()[0]
        raise invalid(
            file, f"rows {first} to {last} cannot be restored: {said}. Take the export again, or ask why."
        ) from error
