"""A statement, or a week of them, as a table: UTF-8 with commas, one row a fact. DEVELOPERS.md describes the columns.

Figures are exact decimals with a point in every language, texts are in the statement's. A text that a spreadsheet would
take for a formula gets an apostrophe before it (OWASP, "CSV Injection": cells that begin with = + - @, tab or return).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from payroll.reports.csv_out import written
from payroll.reports.figures import StatementFigures
from payroll.reports.wording import words_of

COLUMNS = (
    "row",
    "statement",
    "week",
    "number",
    "person",
    "class",
    "code",
    "text",
    "date",
    "place",
    "quantity",
    "unit",
    "rate",
    "amount",
    "currency",
    "required",
    "reached",
    "because",
)


def statement_csv(figures: StatementFigures) -> bytes:
    """One statement: its lines with the entries behind them, hours, floors, sums and hashes."""
    return "".join(written([COLUMNS, *_rows(figures)])).encode()


def row(**cells: Any) -> list[Any]:
    """One row by the names of its columns; the others stay empty. Raises KeyError for a column that is not there."""
    unknown = set(cells) - {*COLUMNS, "class_"}
    if unknown:
        raise KeyError(f"the table has no column {', '.join(sorted(unknown))}.")
    cells["class"] = cells.pop("class_", "")
    return [cells.get(name, "") for name in COLUMNS]


def _rows(figures: StatementFigures) -> Iterator[list[Any]]:
    words = words_of(figures.language, figures.currency)
    shared = {
        "statement": figures.number,
        "week": figures.first_day,
        "number": figures.person_number,
        "person": figures.person,
        "class_": figures.worker_class,
        "currency": figures.currency,
    }
    for line in figures.lines:
        yield row(
            **shared,
            row="line",
            code=line.code,
            text=line.text,
            quantity=line.quantity,
            unit=line.unit,
            rate=line.rate,
            amount=line.amount,
            because=" ".join(reason.sentence for reason in line.because),
        )
        for work in line.work:
            place = " ".join(part for part in (work.job, work.level, work.mark, work.part) if part)
            facts = {"date": work.worked_on, "quantity": work.quantity, "amount": work.amount, "unit": line.unit}
            yield row(**shared, **facts, row="work", code=line.code, text=line.text, place=place, because=work.entry)
    for kind, hours in figures.hours_by_kind:
        yield row(**shared, row="hours", code=kind, text=words.kind(kind), quantity=hours, unit="h")
    for day, hours in figures.hours_by_day:
        yield row(**shared, row="day", date=day, quantity=hours, unit="h")
    for floor in figures.floors:
        because = " ".join(reason.sentence for reason in floor.because)
        tested = {"required": floor.required, "reached": floor.reached, "amount": floor.top_up}
        yield row(**shared, **tested, row="floor", text=floor.text, because=because)
    if figures.regular_rate is not None:
        because = " ".join(reason.sentence for reason in figures.regular_rate_working)
        yield row(**shared, row="regular rate", rate=figures.regular_rate, because=because)
    yield row(**shared, row="gross", text=words.label("gross"), amount=figures.gross)
    if figures.year_to_date is not None:
        so_far = figures.year_to_date
        text = f"{words.label('year_to_date')} {so_far.year}"
        yield row(**shared, row="year", text=text, quantity=so_far.hours, unit="h", amount=so_far.gross)
    for caution in figures.cautions:
        yield row(**shared, row="note", text=caution)
    yield row(**shared, row="hash", text=figures.digest)
    yield row(**shared, row="hash before", text=figures.previous_digest)
