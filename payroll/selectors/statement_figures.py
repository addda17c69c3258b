"""The figures and words of one statement, in the language asked for, from the rows as they were written."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db import connection

from jobs.models import Job, Organisation
from jobs.tenancy import organisation_in_scope
from payroll.models import FinalPay, PayWeek, Statement, StatementLine
from payroll.reports.figures import (
    FloorTested,
    ParameterUsed,
    PayLine,
    Reason,
    StatementFigures,
    WorkDone,
    YearToDate,
)
from payroll.reports.wording import Words, language_of, words_of
from payroll.selectors.pricing import QUANTITY, RATE, rounded


def figures_of(statement: Statement, language: str | None) -> StatementFigures:
    """Everything on a statement; `language` is one of `wording.LANGUAGES`, None the person's own.

    Needs `pay_week`, `paid_in`, `person` and `corrects` at hand.
    """
    organisation = Organisation.objects.get(pk=statement.organisation_id)
    words = words_of(language or language_of(statement.person.language), statement.currency)
    first = statement.pay_week.first_day
    hours = statement.hours
    closing = FinalPay.objects.filter(statement=statement).first() or statement.paid_in
    closed_on = closing.closed_at
    jobs = list(Job.objects.filter(pk__in=statement.lines.exclude(job=None).values("job_id")))
    digest = bytes(statement.digest).hex()
    return StatementFigures(
        organisation=organisation.legal_name or organisation.name,
        organisation_address=organisation.address,
        person=statement.person.name,
        person_number=statement.person.number,
        worker_class=statement.worker_class,
        first_day=first,
        last_day=first + timedelta(days=6),
        currency=statement.currency,
        rules=statement.rule_set,
        rules_version=statement.rules_version,
        lines=_lines(statement, words, {job.pk: job.name for job in jobs}),
        hours_by_kind=tuple((kind, rounded(Fraction(each), QUANTITY)) for kind, each in hours["by_kind"].items()),
        hours_total=rounded(Fraction(hours["total"]), QUANTITY),
        hours_overtime=rounded(Fraction(hours["overtime"]), QUANTITY),
        hours_double=rounded(Fraction(hours["double"]), QUANTITY),
        regular_rate=rounded(Fraction(statement.regular_rate), RATE) if statement.regular_rate else None,
        regular_rate_working=reasons_in(words, statement.regular_rate_because),
        floors=tuple(
            FloorTested(
                words.marked(words.line(floor["code"], floor["text"])),
                Decimal(floor["required"]),
                Decimal(floor["paid"]),
                Decimal(floor["top_up"]),
                reasons_in(words, floor["because"]),
            )
            for floor in statement.floors
        ),
        gross=statement.gross,
        digest=digest,
        previous_digest=bytes(statement.previous_digest).hex() if statement.number > 1 else "",
        closed_by=_closer(closing),
        closed_on=closed_on.astimezone(ZoneInfo(organisation.time_zone)).date() if closed_on else None,
        corrects=_corrects(statement, words),
        cautions=tuple(words.marked(words.caution(caution)) for caution in statement.cautions),
        accent=organisation.accent_colour,
        metric_paper=any(job.unit_system == "metric" for job in jobs),
        number=statement.number,
        language=words.language,
        hours_by_day=_hours_by_day(statement.pk),
        year_to_date=year_to_date(statement),
        check_address=f"{settings.SITE_URL}/check/{digest}/",
    )


def reasons_in(words: Words, reasons: Sequence[Mapping[str, Any]]) -> tuple[Reason, ...]:
    """Stored reasons in words; parameters with their citations."""
    return tuple(
        Reason(
            code=reason["code"],
            working=words.marked(words.sum(reason["working"])),
            rule=words.marked(words.rule(reason["rule"])),
            cite=words.cite(reason["cite"]),
            checked=words.checked(reason["checked"]) if reason["checked"] else "",
            parameters=tuple(_parameter(words, value) for value in reason["parameters"]),
        )
        for reason in reasons
    )


def _parameter(words: Words, value: Mapping[str, str]) -> ParameterUsed:
    return ParameterUsed(
        name=words.parameter(value["name"]),
        value=words.figure(value["value"]),
        unit=value["unit"],
        starts=date.fromisoformat(value["from"]),
        cite=words.cite(value["cite"]),
        checked=words.checked(value["checked"]),
    )


def _closer(closing: PayWeek | FinalPay) -> str:
    """Who closed the week, or wrote the person's final pay before that."""
    if closing.closed_by_id is None:
        return ""
    person = closing.closed_by.person
    return person.name if person is not None else str(closing.closed_by.user.email)


def _corrects(statement: Statement, words: Words) -> str:
    if statement.pay_week_id == statement.paid_in_id:
        return ""
    if statement.overpaid:
        paid = words.label("overpaid", amount=words.amount(statement.overpaid))
    else:
        day = words.day(statement.paid_in.first_day)
        paid = words.label("difference_paid", amount=words.amount(statement.difference), day=day)
    if statement.corrects is None:
        return words.label("late_week", paid=paid)
    before = statement.corrects
    return words.label("takes_place", number=before.number, gross=words.amount(before.gross), paid=paid)


def _lines(statement: Statement, words: Words, jobs: Mapping[int, str]) -> tuple[PayLine, ...]:
    work = work_behind(statement.pk, words)
    lines: Sequence[StatementLine] = statement.lines.order_by("position")
    return tuple(
        PayLine(
            code=line.code,
            text=_line_text(line, words, jobs),
            quantity=line.quantity,
            unit=words.unit(line.unit),
            rate=line.rate,
            amount=line.amount,
            because=reasons_in(words, line.because),
            work=tuple(work.get(line.pk, ())),
            pays_statement=line.pays_id,
        )
        for line in lines
    )


def _line_text(line: StatementLine, words: Words, jobs: Mapping[int, str]) -> str:
    text = words.marked(words.line(line.code, line.text))
    return f"{text}, {jobs[line.job_id]}" if len(jobs) > 1 and line.job_id else text


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


def work_behind(statement: int, words: Words) -> dict[int, list[WorkDone]]:
    """The entries behind each line of a statement, by line: job, level, wall, part, day, quantity and cents."""
    work: defaultdict[int, list[WorkDone]] = defaultdict(list)
    with connection.cursor() as cursor:
        cursor.execute(_WORK, [organisation_in_scope(), statement])
        for line, job, level, mark, face, layer, opening, day, quantity, amount, *ids in cursor.fetchall():
            part = part_words(words, face, layer, opening)
            work[line].append(WorkDone(job, level, mark, part, day, quantity, amount, *ids))
    return dict(work)


def part_words(words: Words, face: str, layer: int, opening: str) -> str:
    """Which part of a wall a work unit is: 'left, layer 2', 'D1', or nothing for the whole wall."""
    side = words.known(f"face.{face}") or face
    return ", ".join(part for part in (side, words.label("layer", number=layer) if layer else "", opening) if part)


_HOURS = """
SELECT h.worked_on, sum(h.minutes)
  FROM payroll_statementhours c
  JOIN jobs_hours h ON h.organisation_id = c.organisation_id AND h.id = c.hours_id
 WHERE c.organisation_id = %s AND c.statement_id = %s AND h.kind <> 'meal'
 GROUP BY h.worked_on ORDER BY h.worked_on
"""


def _hours_by_day(statement: int) -> tuple[tuple[date, Decimal], ...]:
    with connection.cursor() as cursor:
        cursor.execute(_HOURS, [organisation_in_scope(), statement])
        return tuple((day, rounded(Fraction(minutes, 60), QUANTITY)) for day, minutes in cursor.fetchall())


_YEAR = """
SELECT s.difference, s.hours, s.pay_week_id,
       NOT EXISTS (SELECT 1 FROM payroll_statement n
                    WHERE n.organisation_id = s.organisation_id AND n.corrects_id = s.id AND n.number <= %(number)s)
  FROM payroll_statement s
  JOIN payroll_payweek p ON p.organisation_id = s.organisation_id AND p.id = s.paid_in_id
 WHERE s.organisation_id = %(organisation)s AND s.person_id = %(person)s AND s.number <= %(number)s
   AND s.currency = %(currency)s AND p.first_day BETWEEN %(first)s AND %(last)s
"""


def year_to_date(statement: Statement) -> YearToDate:
    """What was paid in the weeks that end in the year of this statement's, up to and with it in the chain.

    Weeks count where they are paid. So the sum of a closed statement never changes, whatever is corrected after it.
    """
    year = (statement.paid_in.first_day + timedelta(days=6)).year
    given = {
        "organisation": organisation_in_scope(),
        "person": statement.person_id,
        "number": statement.number,
        "currency": statement.currency,
        "first": date(year, 1, 1) - timedelta(days=6),
        "last": date(year, 12, 31) - timedelta(days=6),
    }
    with connection.cursor() as cursor:
        cursor.execute(_YEAR, given)
        rows = cursor.fetchall()
    standing = [_loaded(hours) for _, hours, _, stands in rows if stands]
    total = sum((Fraction(hours["total"]) for hours in standing), Fraction(0))
    over = sum((Fraction(hours["overtime"]) + Fraction(hours["double"]) for hours in standing), Fraction(0))
    return YearToDate(
        year=year,
        weeks=len({week for _, _, week, _ in rows}),
        gross=sum((difference for difference, *_ in rows), Decimal("0.00")),
        hours=rounded(total, QUANTITY),
        overtime=rounded(over, QUANTITY),
    )


def _loaded(hours: Any) -> dict[str, Any]:
    """JSON as a bare cursor gives it: text, or read already."""
    return dict(json.loads(hours) if isinstance(hours, str) else hours)
