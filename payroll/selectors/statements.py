"""Statements as they were written: for the page, the paper and the API, with every line traced to entries and walls."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any
from zoneinfo import ZoneInfo

from django.db import connection
from django.db.models import QuerySet

from jobs.actors import Actor
from jobs.models import Job, Organisation, Person
from jobs.refusals import not_found
from jobs.tenancy import organisation_in_scope
from payroll.models import PayWeek, Statement, StatementLine
from payroll.reports.figures import FloorTested, PayLine, StatementFigures, WorkDone
from payroll.selectors.pricing import QUANTITY, RATE, rounded

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
    hours: Decimal
    overtime: Decimal
    gross: Decimal
    difference: Decimal
    overpaid: Decimal
    corrects: int | None
    in_force: bool


def statement_detail(*, actor: Actor, statement: int) -> StatementDetail:
    """One statement with lines, walls, hours and floors. Raises NotFound, and to a worker for another's statement."""
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
        figures=_figures(found),
    )


def week_statements(*, actor: Actor, pay_week: int) -> list[StatementRow]:
    """Statements paid in a week, corrections of earlier weeks among them, by name. A worker sees his own."""
    return _rows(statements_seen_by(actor).filter(paid_in_id=pay_week))


def person_statements(*, actor: Actor, person: int) -> list[StatementRow]:
    """A person's statements, newest week first. A worker sees his own only."""
    rows = _rows(statements_seen_by(actor).filter(person_id=person))
    return sorted(rows, key=lambda row: (row.first_day, row.number), reverse=True)


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


def _figures(statement: Statement) -> StatementFigures:
    organisation = Organisation.objects.get(pk=statement.organisation_id)
    person: Person = statement.person
    week: PayWeek = statement.pay_week
    first = week.first_day
    hours = statement.hours
    closed_on = statement.paid_in.closed_at
    jobs = list(Job.objects.filter(pk__in=statement.lines.exclude(job=None).values("job_id")))
    return StatementFigures(
        organisation=organisation.legal_name or organisation.name,
        organisation_address=organisation.address,
        person=person.name,
        person_number=person.number,
        worker_class=statement.worker_class,
        first_day=first,
        last_day=first + timedelta(days=6),
        currency=statement.currency,
        rules=statement.rule_set,
        rules_version=statement.rules_version,
        lines=_lines(statement, several_jobs=len(jobs) > 1, jobs={job.pk: job.name for job in jobs}),
        hours_by_kind=tuple((kind, rounded(Fraction(each), QUANTITY)) for kind, each in hours["by_kind"].items()),
        hours_total=rounded(Fraction(hours["total"]), QUANTITY),
        hours_overtime=rounded(Fraction(hours["overtime"]), QUANTITY),
        hours_double=rounded(Fraction(hours["double"]), QUANTITY),
        regular_rate=rounded(Fraction(statement.regular_rate), RATE) if statement.regular_rate else None,
        regular_rate_working=because_sentences(statement.regular_rate_because),
        floors=tuple(
            FloorTested(
                floor["text"],
                Decimal(floor["required"]),
                Decimal(floor["paid"]),
                Decimal(floor["top_up"]),
                because_sentences(floor["because"]),
            )
            for floor in statement.floors
        ),
        gross=statement.gross,
        digest=bytes(statement.digest).hex(),
        previous_digest=bytes(statement.previous_digest).hex() if statement.number > 1 else "",
        closed_by=_closer(statement.paid_in),
        closed_on=closed_on.astimezone(ZoneInfo(organisation.time_zone)).date() if closed_on else None,
        corrects=_corrects(statement),
        cautions=tuple(statement.cautions),
        accent=organisation.accent_colour,
        metric_paper=any(job.unit_system == "metric" for job in jobs),
    )


def _closer(week: PayWeek) -> str:
    if week.closed_by_id is None:
        return ""
    person = week.closed_by.person
    return person.name if person is not None else str(week.closed_by.user.email)


def _corrects(statement: Statement) -> str:
    if statement.pay_week_id == statement.paid_in_id:
        return ""
    paid = f"{statement.difference} is paid in the week of {statement.paid_in.first_day}"
    if statement.overpaid:
        paid = f"{statement.overpaid} more was paid before; nothing is taken back"
    if statement.corrects is None:
        return f"A week that came in late: {paid}."
    return f"Takes the place of statement {statement.corrects.number}, gross {statement.corrects.gross}: {paid}."


def because_sentences(reasons: Sequence[dict[str, Any]]) -> tuple[str, ...]:
    """Stored reasons in words: the sum first, then the rule, its citation and how that was checked."""
    said = []
    for reason in reasons:
        ground = ", ".join(part for part in (reason["cite"], reason["checked"]) if part)
        rule = reason["rule"].rstrip(".") + (f" ({ground})." if ground else ".")
        said.append(f"{reason['working']}. {rule}" if reason["working"] else rule)
    return tuple(said)


def _lines(statement: Statement, *, several_jobs: bool, jobs: dict[int, str]) -> tuple[PayLine, ...]:
    work = work_behind(statement.pk)
    lines: Sequence[StatementLine] = statement.lines.order_by("position")
    return tuple(
        PayLine(
            code=line.code,
            text=f"{line.text}, {jobs[line.job_id]}" if several_jobs and line.job_id else line.text,
            quantity=line.quantity,
            unit=line.unit,
            rate=line.rate,
            amount=line.amount,
            because=because_sentences(line.because),
            work=tuple(work.get(line.pk, ())),
            pays_statement=line.pays_id,
        )
        for line in lines
    )


_WORK = """
SELECT a.line_id, j.name, v.name, COALESCE(w.mark, ''), u.face, u.layer, u.opening, e.worked_on, a.quantity, a.amount,
       e.uuid::text, e.job_id, u.wall_id, u.id, a.rate_used_id
  FROM payroll_statementline l
  JOIN payroll_lineallotment a ON a.organisation_id = l.organisation_id AND a.line_id = l.id
  JOIN jobs_entry e ON e.organisation_id = a.organisation_id AND e.id = a.entry_id
  JOIN jobs_workunit u ON u.organisation_id = e.organisation_id AND u.id = e.work_unit_id
  JOIN jobs_job j ON j.organisation_id = u.organisation_id AND j.id = u.job_id
  JOIN jobs_level v ON v.organisation_id = u.organisation_id AND v.id = u.level_id
  LEFT JOIN jobs_wall w ON w.organisation_id = u.organisation_id AND w.id = u.wall_id
 WHERE l.organisation_id = %s AND l.statement_id = %s
 ORDER BY a.line_id, v.position, v.name, e.worked_on, w.mark, u.face, u.layer, u.opening, e.id
"""


def work_behind(statement: int) -> dict[int, list[WorkDone]]:
    """The entries behind each line of a statement, by line: job, level, wall, part, day, quantity and cents."""
    work: defaultdict[int, list[WorkDone]] = defaultdict(list)
    with connection.cursor() as cursor:
        cursor.execute(_WORK, [organisation_in_scope(), statement])
        for line, job, level, mark, face, layer, opening, day, quantity, amount, *ids in cursor.fetchall():
            part = part_words(face, layer, opening)
            work[line].append(WorkDone(job, level, mark, part, day, quantity, amount, *ids))
    return dict(work)


def part_words(face: str, layer: int, opening: str) -> str:
    """Which part of a wall a work unit is: 'left, layer 2', 'D1', or nothing for the whole wall."""
    return ", ".join(part for part in (face, f"layer {layer}" if layer else "", opening) if part)
