"""Statements: a person's own list in his language, and one with every line traced to entries, walls and rules."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from django.http import HttpRequest, HttpResponse

from jobs.pages.doors import Guest, answer, page, reading
from jobs.pages.scan import scannable
from payroll.reports.figures import StatementFigures
from payroll.reports.statement_csv import statement_csv
from payroll.reports.statement_pdf import statement_pdf
from payroll.reports.wording import LANGUAGES, Words, language_of, words_of
from payroll.reports.wording.required import required_of
from payroll.selectors.statements import StatementDetail, StatementRow, person_statements, statement_detail, years_of

NAMES = tuple((code, words_of(code).label("language")) for code in LANGUAGES)


@dataclass(frozen=True, slots=True)
class ListedStatement:
    """A row of the list with what its language says of it."""

    row: StatementRow
    span: str
    gross: str


@page
def statements(request: HttpRequest, guest: Guest) -> HttpResponse:
    """The statements of the one who reads, and the year so far."""
    person = guest.actor.person
    with reading(guest.actor):
        rows = person_statements(actor=guest.actor, person=person) if person is not None else []
        years = years_of(actor=guest.actor, person=person) if person is not None else []
    language = language_of(guest.seat.language)
    listed = [_listed(row, words_of(language, row.currency)) for row in rows]
    sums = [
        {
            "year": each.year,
            "weeks": each.weeks,
            "gross": words_of(language, currency).amount(each.gross),
            "hours": words_of(language, currency).places.hours(each.hours),
        }
        for currency, each in years
    ]
    context: dict[str, Any] = {"statements": listed, "years": sums, "words": words_of(language)}
    return answer(request, guest, "payroll/statements.html", **context)


def _listed(row: StatementRow, words: Words) -> ListedStatement:
    span = words.span(row.first_day, row.first_day + timedelta(days=6))
    return ListedStatement(row, span, words.amount(row.gross))


@page
def statement(request: HttpRequest, guest: Guest, statement: int) -> HttpResponse:
    """One statement: in the language asked for, else in the reader's own where it is his, else in English."""
    with reading(guest.actor):
        language = _asked(request) or language_of(guest.seat.language)
        detail = statement_detail(actor=guest.actor, statement=statement, language=language)
    return answer(request, guest, "payroll/statement.html", **_shown(detail))


def _shown(detail: StatementDetail) -> dict[str, Any]:
    figures = detail.figures
    words = words_of(figures.language, figures.currency)
    required = required_of(figures.rules)
    fields = required.fields if required else ()
    closed = words.label("closed", who=figures.closed_by, on=words.day(figures.closed_on)) if figures.closed_on else ""
    return {
        "detail": detail,
        "figures": figures,
        "words": words,
        "languages": NAMES,
        "span": words.span(figures.first_day, figures.last_day),
        "regular_rate": words.places.rate(figures.regular_rate) if figures.regular_rate is not None else "",
        "required": [(words.label(f"field.{one.field}"), one.cite, one.here) for one in fields],
        "required_checked": words.label(f"checked.{required.checked}") if required else "",
        "closed": closed,
        "code": scannable(figures.check_address),
    }


@page
def statement_paper(request: HttpRequest, guest: Guest, statement: int) -> HttpResponse:
    """The statement as PDF, in the person's own language unless another is asked for; always the same bytes."""
    figures = _figures(request, guest, statement)
    return _file(figures, statement_pdf(figures), "pdf", "application/pdf", "inline")


@page
def statement_table(request: HttpRequest, guest: Guest, statement: int) -> HttpResponse:
    """The statement as CSV."""
    figures = _figures(request, guest, statement)
    return _file(figures, statement_csv(figures), "csv", "text/csv; charset=utf-8", "attachment")


def _figures(request: HttpRequest, guest: Guest, statement: int) -> StatementFigures:
    with reading(guest.actor):
        return statement_detail(actor=guest.actor, statement=statement, language=_asked(request)).figures


def _asked(request: HttpRequest) -> str | None:
    """The language that the address asks for, if it is one of ours."""
    asked = request.GET.get("language", "")
    return asked if asked in LANGUAGES else None


def _file(figures: StatementFigures, content: bytes, ending: str, kind: str, place: str) -> HttpResponse:
    answered = HttpResponse(content, content_type=kind)
    name = f"statement-{figures.first_day}-{figures.number}.{ending}"
    answered.headers["Content-Disposition"] = f'{place}; filename="{name}"'
    return answered
