"""Statements as they were written: for the page, the paper and the API, with every line traced to entries and walls."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db.models import QuerySet

from jobs.actors import Actor
from jobs.refusals import not_found
from payroll.models import Statement
from payroll.reports.figures import StatementFigures, YearToDate
from payroll.selectors.pricing import QUANTITY, rounded
from payroll.selectors.statement_figures import figures_of, year_to_date

SEES_EVERYBODY = frozenset({"owner", "office", "system"})


@dataclass(frozen=True, slots=True)
class StatementDetail:
    """One statement: its ids and its figures. `corrected_by` is the statement that took its place, if any."""

    statement: int
    number: int
    person: int
    pay_week: int
    paid_in: int
    corrects: int | None
    corrected_by: int | None
    figures: StatementFigures


@dataclass(frozen=True, slots=True)
class StatementRow:
    """A statement in a list. `in_force` is false once another has taken its place."""

    statement: int
    number: int
    person: int
    person_name: str
    person_number: str
    first_day: date
    paid_in: date
    currency: str
    hours: Decimal
    overtime: Decimal
    gross: Decimal
    difference: Decimal
    overpaid: Decimal
    corrects: int | None
    in_force: bool


def statement_detail(*, actor: Actor, statement: int, language: str | None = "en") -> StatementDetail:
    """One statement with lines, walls, hours and floors, in English or another language; None is the person's own.

    Raises NotFound, and to a worker for another's statement.
    """
    found = (
        statements_seen_by(actor)
        .select_related("pay_week", "paid_in", "person", "corrects")
        .filter(pk=statement)
        .first()
    )
    if found is None:
        raise not_found("statement", "statement", statement)
    after = Statement.objects.filter(corrects=found).values_list("pk", flat=True).first()
    return StatementDetail(
        statement=found.pk,
        number=found.number,
        person=found.person_id,
        pay_week=found.pay_week_id,
        paid_in=found.paid_in_id,
        corrects=found.corrects_id,
        corrected_by=after,
        figures=figures_of(found, language),
    )


def week_statements(*, actor: Actor, pay_week: int) -> list[StatementRow]:
    """Statements paid in a week, corrections of earlier weeks among them, by name. A worker sees his own."""
    return _rows(statements_seen_by(actor).filter(paid_in_id=pay_week))


def person_statements(*, actor: Actor, person: int) -> list[StatementRow]:
    """A person's statements, newest week first. A worker sees his own only."""
    rows = _rows(statements_seen_by(actor).filter(person_id=person))
    return sorted(rows, key=lambda row: (row.first_day, row.number), reverse=True)


def years_of(*, actor: Actor, person: int) -> list[tuple[str, YearToDate]]:
    """The newest year of a person's in each currency, as his newest statement in it has it."""
    found: dict[str, YearToDate] = {}
    newest = statements_seen_by(actor).filter(person_id=person).select_related("paid_in").order_by("-number")
    for currency in newest.order_by().values_list("currency", flat=True).distinct():
        last = newest.filter(currency=currency).first()
        if last is not None:
            found[currency] = year_to_date(last)
    return sorted(found.items())


def statements_seen_by(actor: Actor) -> QuerySet[Statement]:
    """Statements in an actor's reach: all for the office, his own for anybody else."""
    statements: QuerySet[Statement] = Statement.objects.all()
    if actor.role in SEES_EVERYBODY:
        return statements
    return statements.filter(person_id=actor.person) if actor.person is not None else statements.none()


def _rows(statements: QuerySet[Statement]) -> list[StatementRow]:
    found = list(statements.select_related("person", "pay_week", "paid_in").order_by("person__name", "number"))
    replaced = set(
        Statement.objects.filter(corrects__in=[each.pk for each in found]).values_list("corrects_id", flat=True)
    )
    return [
        StatementRow(
            statement=each.pk,
            number=each.number,
            person=each.person_id,
            person_name=each.person.name,
            person_number=each.person.number,
            first_day=each.pay_week.first_day,
            paid_in=each.paid_in.first_day,
            currency=each.currency,
            hours=rounded(Fraction(each.hours["total"]), QUANTITY),
            overtime=rounded(Fraction(each.hours["overtime"]) + Fraction(each.hours["double"]), QUANTITY),
            gross=each.gross,
            difference=each.difference,
            overpaid=each.overpaid,
            corrects=each.corrects_id,
            in_force=each.pk not in replaced,
        )
        for each in found
    ]
