"""Answers of the API of pay, as plain dicts."""

from __future__ import annotations

from typing import Any

from payroll.models import PayWeek, Statement
from payroll.reports.figures import FloorTested, PayLine, StatementFigures, WorkDone
from payroll.selectors.statements import StatementDetail
from payroll.selectors.weeks import WeekPreview
from payroll.services.payweeks import Closing


def statement_row(statement: Statement) -> dict[str, Any]:
    """A statement in a list. It needs `pay_week` and `paid_in` at hand."""
    return {
        "id": statement.pk,
        "number": statement.number,
        "person": statement.person_id,
        "first_day": statement.pay_week.first_day.isoformat(),
        "paid_in": statement.paid_in.first_day.isoformat(),
        "gross": str(statement.gross),
        "difference": str(statement.difference),
        "overpaid": str(statement.overpaid),
        "corrects": statement.corrects_id,
        "digest": bytes(statement.digest).hex(),
    }


def statement_whole(detail: StatementDetail, row: dict[str, Any]) -> dict[str, Any]:
    """A statement with everything on it."""
    figures: StatementFigures = detail.figures
    return row | {
        "rules": figures.rules,
        "rules_version": figures.rules_version,
        "currency": figures.currency,
        "hours": {
            "total": str(figures.hours_total),
            "overtime": str(figures.hours_overtime),
            "double": str(figures.hours_double),
            **{kind: str(hours) for kind, hours in figures.hours_by_kind},
        },
        "regular_rate": None if figures.regular_rate is None else str(figures.regular_rate),
        "regular_rate_working": [reason.sentence for reason in figures.regular_rate_working],
        "floors": [_floor(floor) for floor in figures.floors],
        "cautions": list(figures.cautions),
        "lines": [_line(line) for line in figures.lines],
    }


def _floor(floor: FloorTested) -> dict[str, Any]:
    return {
        "text": floor.text,
        "required": str(floor.required),
        "reached": str(floor.reached),
        "top_up": str(floor.top_up),
        "because": [reason.sentence for reason in floor.because],
    }


def _line(line: PayLine) -> dict[str, Any]:
    return {
        "code": line.code,
        "text": line.text,
        "quantity": str(line.quantity),
        "unit": line.unit,
        "rate": str(line.rate),
        "amount": str(line.amount),
        "because": [reason.sentence for reason in line.because],
        "work": [_work(work) for work in line.work],
    }


def _work(work: WorkDone) -> dict[str, Any]:
    return {
        "entry": work.entry,
        "work_unit": work.work_unit_id,
        "wall": work.wall_id,
        "job": work.job_id,
        "rate": work.rate_id,
        "place": " ".join(part for part in (work.level, work.mark, work.part) if part),
        "worked_on": work.worked_on.isoformat(),
        "quantity": str(work.quantity),
        "amount": str(work.amount),
    }


def week_row(week: PayWeek) -> dict[str, Any]:
    """A pay week in a list."""
    return {
        "id": week.pk,
        "first_day": week.first_day.isoformat(),
        "state": week.state,
        "closed_at": week.closed_at.isoformat() if week.closed_at else None,
    }


def preview(found: WeekPreview) -> dict[str, Any]:
    """An open week as it stands."""
    return {
        "id": found.pay_week,
        "first_day": found.first_day.isoformat(),
        "gross": str(found.gross),
        "people": [
            {
                "person": each.person,
                "gross": str(each.gross),
                "hours": str(each.hours),
                "overtime": str(each.overtime),
                "warnings": list(each.warnings),
                "stopped": list(each.stopped),
            }
            for each in found.people
        ],
        "late": [
            {
                "person": each.person,
                "first_day": each.first_day.isoformat(),
                "difference": str(each.difference),
                "overpaid": str(each.overpaid),
                "stopped": list(each.stopped),
            }
            for each in found.late
        ],
    }


def closing(done: Closing) -> dict[str, Any]:
    """What a closing did."""
    return {
        "id": done.pay_week.pk,
        "first_day": done.pay_week.first_day.isoformat(),
        "statements": done.statements,
        "gross": str(done.gross),
        "corrections": done.corrections,
        "stopped": [
            {"person": stop.person, "first_day": stop.first_day.isoformat(), "sentences": list(stop.sentences)}
            for stop in done.stopped
        ],
    }
