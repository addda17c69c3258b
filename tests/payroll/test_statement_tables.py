"""A statement and a week as tables: exact figures, every row named, and nothing that a spreadsheet would run."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from decimal import Decimal

import pytest
from django.db import transaction

from payroll.models import PayWeek, StatementLine
from payroll.reports.csv_out import guarded, written
from payroll.reports.statement_csv import COLUMNS, row, statement_csv
from payroll.selectors.week_table import week_table
from tests.payroll.test_statements_in_three_languages import told, worked

pytestmark = pytest.mark.django_db


def read(table: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(table.decode(), newline="")))


def test_the_table_of_a_statement_adds_up_to_its_gross():
    world, _ = worked("us-california")
    figures = told(world, "en")
    rows = read(statement_csv(figures))
    lines = [each for each in rows if each["row"] == "line"]
    assert sum(Decimal(each["amount"]) for each in lines) == figures.gross
    (gross,) = [each for each in rows if each["row"] == "gross"]
    assert Decimal(gross["amount"]) == figures.gross
    for line in lines:
        behind = [each for each in rows if each["row"] == "work" and each["text"] == line["text"]]
        if line["code"] == "piece":
            assert sum(Decimal(each["amount"]) for each in behind) == Decimal(line["amount"])
            assert sum(Decimal(each["quantity"]) for each in behind) == Decimal(line["quantity"])
    worked_hours = sum(Decimal(each["quantity"]) for each in rows if each["row"] == "day")
    assert worked_hours == figures.hours_total
    assert {each["row"] for each in rows} >= {"line", "work", "hours", "day", "floor", "gross", "year", "hash"}


def test_another_language_changes_the_texts_alone():
    world, _ = worked("ca-ontario")
    english, french = (read(statement_csv(told(world, language))) for language in ("en", "fr"))
    figures = ("row", "code", "date", "quantity", "rate", "amount", "currency", "required", "reached")
    assert [[each[name] for name in figures] for each in english] == [
        [each[name] for name in figures] for each in french
    ]
    assert {each["text"] for each in english} != {each["text"] for each in french}


# OWASP, "CSV Injection": a cell that begins with one of these may be taken for a formula.
@pytest.mark.parametrize("begins", ["=", "+", "-", "@", "\t", "\r", " ="])
def test_a_text_that_looks_like_a_formula_is_kept_a_text(begins):
    world, _ = worked("us-federal")
    figures = replace(told(world, "en"), person=f"{begins}HYPERLINK(1)")
    for each in read(statement_csv(figures)):
        assert each["person"] == f"'{begins}HYPERLINK(1)"
    assert guarded(Decimal("-7.12")) == "-7.12"


def test_a_column_that_is_not_there_is_refused():
    with pytest.raises(KeyError, match="no column colour"):
        row(colour="red")


def test_a_weeks_table_holds_every_line_of_its_statements():
    world, _ = worked("us-federal")
    with transaction.atomic(), world.scope():
        week = PayWeek.objects.get()
        rows = read("".join(written(week_table(pay_week=week.pk))).encode())
        lines = list(StatementLine.objects.order_by("statement__number", "position"))
    assert list(rows[0]) == list(COLUMNS)
    told_lines = [each for each in rows if each["row"] == "line"]
    assert [(each["code"], Decimal(each["amount"])) for each in told_lines] == [
        (line.code, line.amount) for line in lines
    ]
    (paid,) = [each for each in rows if each["row"] == "paid here"]
    assert Decimal(paid["amount"]) == sum(line.amount for line in lines)
