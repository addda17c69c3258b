"""Statements: a person's own list, and one statement with every line traced to entries, walls and rules."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse

from jobs.pages.doors import Guest, answer, page, reading
from payroll.reports.statement_pdf import statement_pdf
from payroll.reports.wording import ENGLISH
from payroll.selectors.statements import person_statements, statement_detail


@page
def statements(request: HttpRequest, guest: Guest) -> HttpResponse:
    """The statements of the one who reads."""
    person = guest.actor.person
    with reading(guest.actor):
        rows = person_statements(actor=guest.actor, person=person) if person is not None else []
    return answer(request, guest, "payroll/statements.html", statements=rows)


@page
def statement(request: HttpRequest, guest: Guest, statement: int) -> HttpResponse:
    with reading(guest.actor):
        detail = statement_detail(actor=guest.actor, statement=statement)
    return answer(
        request, guest, "payroll/statement.html", detail=detail, figures=detail.figures, advice=ENGLISH.advice
    )


@page
def statement_paper(request: HttpRequest, guest: Guest, statement: int) -> HttpResponse:
    """The statement as PDF; the same statement gives the same bytes."""
    with reading(guest.actor):
        detail = statement_detail(actor=guest.actor, statement=statement)
    paper = HttpResponse(statement_pdf(detail.figures), content_type="application/pdf")
    name = f"statement-{detail.figures.first_day}-{detail.number}.pdf"
    paper.headers["Content-Disposition"] = f'inline; filename="{name}"'
    return paper
