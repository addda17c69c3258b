"""The weekly report on paper: one job, one workweek, spent against budget, drawn from its frozen figures alone."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from reportlab.pdfgen.canvas import Canvas

from payroll.reports.canonical import digest
from payroll.reports.numbers import hours, money, quantity, rate, with_symbol
from payroll.reports.sheet import FOOT, MARGIN, Faces, Sheet, faces_for
from payroll.reports.wording import ENGLISH, Words

CHART_SHAPE = 3.1 / 9.6
NONE = "\u2013"


def weekly_pdf(figures: dict[str, Any], chart_png: bytes, words: Words = ENGLISH) -> bytes:
    """Draw the report of `selectors.weekly.weekly_figures` with its chart. The same input gives the same bytes."""
    faces = faces_for(_all_text(figures))
    first, last = date.fromisoformat(figures["first_day"]), date.fromisoformat(figures["last_day"])
    name = f"{figures['job']['name']}, {words.span(first, last)}"
    sheet = Sheet(
        title=f"Weekly report: {name}",
        author=figures["organisation"],
        faces=faces,
        metric=figures["area_unit"] != "sq ft",
        foot=lambda canvas, page, pages: _foot(canvas, page, pages, name, words, faces),
    )
    _head(sheet, figures, words, first, last)
    _per_area(sheet, figures)
    sheet.down(6)
    sheet.picture(chart_png, CHART_SHAPE)
    _operations(sheet, figures)
    _labour(sheet, figures)
    _definitions(sheet, figures, words)
    return sheet.finish()


def _all_text(figures: dict[str, Any]) -> str:
    names = [figures["organisation"], *figures["job"].values(), *figures["definitions"]]
    return "".join([*names, *(f"{row['name']}{row['unit']}" for row in figures["operations"])])


def _foot(canvas: Canvas, page: int, pages: int, name: str, words: Words, faces: Faces) -> None:
    right = canvas._pagesize[0] - MARGIN
    canvas.setLineWidth(0.4)
    canvas.line(MARGIN, FOOT - 14, right, FOOT - 14)
    canvas.setFont(faces.regular, 7)
    canvas.drawString(MARGIN, FOOT - 24, name)
    canvas.drawRightString(right, FOOT - 24, words.label("page", page=page, pages=pages))


def _head(sheet: Sheet, figures: dict[str, Any], words: Words, first: date, last: date) -> None:
    job = figures["job"]
    sheet.rule(2.4, colour=figures["accent"])
    sheet.down(22)
    sheet.text(0, job["name"], 15, "bold")
    sheet.text(sheet.width, "Weekly report", 11, "regular", "right")
    sheet.down(12)
    sheet.text(0, "  \u00b7  ".join(part for part in (figures["organisation"], job["code"], job["address"]) if part), 8)
    sheet.down(22)
    sheet.text(0, words.span(first, last), 10, "bold")
    week = figures["week"]
    labour = with_symbol(Decimal(week["labour"]), figures["currency"])
    worked = hours(Decimal(week["hours_total"]))
    said = f"{week['entries']} entries by {week['people']} people, {worked} hours, labour {labour}"
    sheet.text(sheet.width, said, 9, "regular", "right")


Column = tuple[float, str, str]


def _table(
    sheet: Sheet,
    title: str,
    columns: Sequence[Column],
    rows: Sequence[Sequence[str]],
    total: Sequence[str] | None = None,
) -> None:
    """A table with thin rules. Each column is (edge as a part of the width, heading, left or right)."""
    sheet.room(48)
    sheet.down(20)
    sheet.text(0, title, 9.5, "bold")

    def heads() -> None:
        sheet.down(12)
        for edge, heading, align in columns:
            sheet.text(edge * sheet.width, heading, 7.5, "regular", align)  # type: ignore[arg-type]
        sheet.down(4)
        sheet.rule(0.8)

    heads()
    sheet.again = heads
    for row in rows:
        _row(sheet, columns, row, "regular")
        sheet.rule(0.25)
    if total:
        _row(sheet, columns, total, "bold")
    sheet.again = None


def _row(sheet: Sheet, columns: Sequence[Column], row: Sequence[str], face: str) -> None:
    sheet.room(15)
    sheet.down(10)
    for (edge, _, align), value in zip(columns, row, strict=True):
        sheet.text(edge * sheet.width, value, 8.5, face, align)  # type: ignore[arg-type]
    sheet.down(4)


def _money(value: str | None) -> str:
    return NONE if value is None else money(Decimal(value))


def _rate(value: str | None) -> str:
    """Money or units for one of something."""
    return NONE if value is None else rate(Decimal(value))


def _hours(value: str | None) -> str:
    return NONE if value is None else hours(Decimal(value))


def _quantity(value: str | None) -> str:
    """A quantity for reading: whole, or with two decimals."""
    return NONE if value is None else quantity(round(Decimal(value), 2))


def _per_area(sheet: Sheet, figures: dict[str, Any]) -> None:
    area = figures["area_unit"]
    rows = [
        (
            row["text"],
            _quantity(row["quantity"]),
            _money(row["labour"]),
            _rate(row["spent"]),
            _rate(row["budget"]),
            _rate(row["bid"]),
        )
        for row in figures["per_area"]
    ]
    columns = (
        (0.0, f"Labour cost per {area}", "left"),
        (0.46, area, "right"),
        (0.61, "Labour", "right"),
        (0.73, "Spent", "right"),
        (0.88, "Budget, work done", "right"),
        (1.0, "As bid", "right"),
    )
    _table(sheet, "Labour cost per area", columns, rows)


def _operations(sheet: Sheet, figures: dict[str, Any]) -> None:
    rows = [
        (
            row["name"],
            str(row["entries"]),
            _quantity(row["quantity"]),
            row["unit"],
            _hours(row["hours"]),
            _rate(row["units_per_hour"]),
            _money(row["pay"]),
            _money(row["budget"]),
            f"{_quantity(row['quantity_to_date'])} of {_quantity(row['budget_quantity'])}",
        )
        for row in figures["operations"]
    ]
    columns = (
        (0.0, "Operation", "left"),
        (0.28, "Entries", "right"),
        (0.375, "Done", "right"),
        (0.382, "Unit", "left"),
        (0.51, "Piece hours", "right"),
        (0.61, "Units an hour", "right"),
        (0.70, "Piece pay", "right"),
        (0.79, "Budget", "right"),
        (1.0, "Done to date", "right"),
    )
    _table(sheet, "Work of the week", columns, rows)


def _labour(sheet: Sheet, figures: dict[str, Any]) -> None:
    rows = [(row["text"], _hours(row["hours"]), _money(row["amount"])) for row in figures["labour"]]
    week = figures["week"]
    columns = ((0.0, "Paid for", "left"), (0.51, "Hours", "right"), (0.70, "Labour", "right"))
    _table(
        sheet,
        "Labour of the week",
        columns,
        rows,
        ("All labour", _hours(week["hours_total"]), _money(week["labour"])),
    )


def _definitions(sheet: Sheet, figures: dict[str, Any], words: Words) -> None:
    sheet.room(60)
    sheet.down(20)
    sheet.text(0, "How these figures are made", 9.5, "bold")
    sheet.down(2)
    for sentence in figures["definitions"]:
        sheet.down(2)
        sheet.paragraph(0, sentence, sheet.width, 7.5)
    sheet.down(2)
    sheet.paragraph(0, f"Hash of these figures: {digest(figures)}", sheet.width, 7)
    sheet.paragraph(0, words.label("advice"), sheet.width, 7.5, "italic")
