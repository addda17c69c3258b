"""Which tables an organisation's export holds, in the order in which a restore writes them, and how columns travel.

No database id leaves in a table. Every row is numbered by its place in its file and points at others by that number, so
that an export of what was restored is the same again. Ids stand in `former-ids.csv` alone: hashes made under them are
checked with them, and ids in old audit records read.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from django.apps import apps
from django.db import models

from jobs.models import User
from jobs.tenancy import Record

FORMAT = "piecewall organisation 1"
ORGANISATION, FORMER_IDS = "organisation.json", "tables/former-ids.csv"

# Model -> what its rows are numbered by, after which each statement's lines and each line's parts stand together.
ORDER: dict[str, str] = {
    "jobs.person": "id",
    "jobs.membership": "id",
    "jobs.device": "id",
    "jobs.crew": "id",
    "jobs.crewmember": "id",
    "jobs.job": "id",
    "jobs.jobaccess": "id",
    "jobs.operation": "id",
    "jobs.budgetline": "id",
    "jobs.planrevision": "id",
    "jobs.level": "id",
    "jobs.wall": "id",
    "jobs.wallversion": "id",
    "jobs.workunit": "id",
    "jobs.workunitmeasure": "id",
    "jobs.receipt": "id",
    "jobs.entry": "id",
    "jobs.entryshare": "entry_id, id",
    "jobs.entrynote": "id",
    "jobs.entryphoto": "id",
    "jobs.hours": "id",
    "jobs.inspection": "id",
    "jobs.inspectionnote": "id",
    "jobs.word": "id",
    "jobs.wordnote": "id",
    "payroll.heightband": "id",
    "payroll.rate": "id",
    "payroll.prevailingrate": "id",
    "payroll.agreement": "id",
    "payroll.localminimum": "id",
    "payroll.missedbreak": "id",
    "payroll.payperiod": "id",
    "payroll.payweek": "id",
    "payroll.statement": "number",
    "payroll.statementline": "(SELECT s.number FROM payroll_statement s WHERE s.id = statement_id), position",
    "payroll.lineallotment": "line_place(line_id), id",
    "payroll.statementhours": "(SELECT s.number FROM payroll_statement s WHERE s.id = statement_id), id",
    "payroll.jobshare": "line_place(line_id), id",
    "payroll.finalpay": "id",
    "payroll.weeklyreport": "id",
    "jobs.auditrecord": "id",
    "jobs.auditlink": "number",
}
# Models that have no file of their own, and why.
LEFT_OUT: dict[str, str] = {
    "jobs.hoursspan": "made by the database from hours",
    "jobs.invitation": "its token is good in one installation only; whoever has not accepted is invited anew",
    "payroll.paperspart": "papers are made again from the statements, byte for byte",
    "jobs.formerid": "travels in former-ids.csv with the ids of the export itself",
}
# Columns that do not travel, and why.
COLUMNS_LEFT_OUT: dict[tuple[str, str], str] = {
    ("jobs.device", "token_digest"): "a token is good in one installation only; devices sign in anew",
    ("jobs.workunit", "done"): "counted by the database from entries",
}
# Rows that audit records and statements name by id.
TOLD = frozenset(
    {
        "jobs.person", "jobs.membership", "jobs.device", "jobs.crew", "jobs.job", "jobs.operation", "jobs.planrevision",
        "jobs.wall", "jobs.workunit", "jobs.entry", "jobs.hours", "jobs.inspection", "payroll.rate",
        "payroll.prevailingrate", "payroll.agreement", "payroll.localminimum", "payroll.missedbreak",
        "payroll.payperiod", "payroll.payweek", "payroll.statement", "payroll.weeklyreport", "payroll.heightband",
    }
)  # fmt: skip
# JSON columns that hold ids, and under which keys; all other JSON travels as it stands.
JSON_WITH_IDS = frozenset({("jobs.receipt", "request"), ("payroll.payweek", "stopped"), ("payroll.payweek", "pending")})
ID_KEYS = {"work_unit": "jobs.workunit", "person": "jobs.person", "job": "jobs.job", "crew": "jobs.crew"}
# Binary columns that are documents: where each stands in the archive.
DOCUMENTS: dict[tuple[str, str], str] = {
    ("jobs.planrevision", "source"): "documents/plans/{nth}",
    ("jobs.entryphoto", "image"): "documents/photos/{nth}.jpg",
    ("payroll.weeklyreport", "chart"): "documents/reports/{nth}.svg",
    ("payroll.weeklyreport", "pdf"): "documents/reports/{nth}.pdf",
}
# The newest ids seen at a closing travel as the number of rows up to them.
UP_TO = {
    ("payroll.payweek", "entries_to"): "jobs.entry",
    ("payroll.payweek", "hours_to"): "jobs.hours",
    ("payroll.payweek", "agreements_to"): "payroll.agreement",
    ("payroll.payweek", "minimums_to"): "payroll.localminimum",
    ("payroll.payweek", "breaks_to"): "payroll.missedbreak",
}
PLAIN, REFERENCE, USER, JSON, DIGEST, DOCUMENT, ROWS_UP_TO = (
    "plain", "reference", "user", "json", "digest", "document", "rows up to",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table and how its values travel; `of` is the model a reference points at."""

    name: str
    kind: str
    empty_is_null: bool
    of: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    """A table of the export: its model's label, its name in the database, its file and its columns."""

    label: str
    name: str
    columns: tuple[Column, ...]
    order: str

    @property
    def file(self) -> str:
        return f"tables/{self.label.split('.')[1]}.csv"

    @property
    def itself(self) -> tuple[str, ...]:
        """Columns that point at earlier rows of the same table."""
        return tuple(column.name for column in self.columns if column.of == self.label)


def tables() -> dict[str, Table]:
    """Every table by its model's label, in the order of writing."""
    return {label: _table(label) for label in ORDER}


def record_labels() -> set[str]:
    """Labels of every model that belongs to an organisation."""
    return {model._meta.label_lower for model in apps.get_models() if issubclass(model, Record)}


def _table(label: str) -> Table:
    model = apps.get_model(label)
    columns = tuple(_columns(label, model))
    return Table(label, model._meta.db_table, columns, ORDER[label])


def _columns(label: str, model: type[models.Model]) -> Iterator[Column]:
    for field in model._meta.local_concrete_fields:
        place = (label, field.column)
        if field.primary_key or field.name == "organisation" or field.generated or place in COLUMNS_LEFT_OUT:
            continue
        kind, of = PLAIN, ""
        if isinstance(field, models.ForeignKey):
            kind, of = (USER, "") if field.related_model is User else (REFERENCE, field.related_model._meta.label_lower)
        elif place in UP_TO:
            kind, of = ROWS_UP_TO, UP_TO[place]
        elif place in DOCUMENTS:
            kind = DOCUMENT
        elif isinstance(field, models.BinaryField):
            kind = DIGEST
        elif isinstance(field, models.JSONField):
            kind = JSON
        yield Column(field.column, kind, field.null, of)


def ids_in(label: str, column: str, value: Any) -> Iterator[tuple[str, int]]:
    """(model, id) of every id in a value of one of the JSON columns that hold some."""
    found: list[tuple[str, int]] = []

    def note(kind: str, number: int) -> int:
        found.append((kind, number))
        return number

    ids_replaced(label, column, value, note)
    yield from found


def ids_replaced(label: str, column: str, value: Any, replace: Callable[[str, int], int]) -> Any:
    """The same value with every id in it replaced."""
    if (label, column) == ("payroll.payweek", "pending"):
        return [[replace("jobs.person", person), replace("payroll.payweek", week)] for person, week in value]
    return _replaced(value, replace)


def _replaced(value: Any, replace: Callable[[str, int], int]) -> Any:
    if isinstance(value, dict):
        return {
            key: replace(ID_KEYS[key], part)
            if key in ID_KEYS and isinstance(part, int) and not isinstance(part, bool)
            else _replaced(part, replace)
            for key, part in value.items()
        }
    if isinstance(value, list):
        return [_replaced(part, replace) for part in value]
    return value
