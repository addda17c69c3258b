"""Statements to read, one's own for a worker; pay weeks to look at and to close for the office."""

from __future__ import annotations

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.access import FieldView
from jobs.api.responses import read_responses, write_responses
from jobs.refusals import not_found
from payroll.api import answers, parse, shapes
from payroll.models import PayWeek
from payroll.selectors.statements import statement_detail, statements_seen_by
from payroll.selectors.weeks import week_preview
from payroll.services.payweeks import payweek_close

LARGEST_ID = 2**63


class Statements(FieldView):
    """Statements in the reach of the token, newest first: a worker's own, everybody's for the office."""

    @extend_schema(operation_id="statements_list", responses=read_responses(shapes.StatementRowOut(many=True)))
    def get(self, request: Request) -> Response:
        page = self.paginate_queryset(statements_seen_by(self.actor).select_related("pay_week", "paid_in"))
        return self.get_paginated_response([answers.statement_row(statement) for statement in page])


class OneStatement(FieldView):
    """One statement whole: lines, why they are so, and the entries and walls behind them."""

    @extend_schema(operation_id="statement_read", responses=read_responses(shapes.StatementOut))
    def get(self, request: Request, statement: int) -> Response:
        if statement >= LARGEST_ID:
            raise not_found("statement", "statement", statement)
        detail = statement_detail(actor=self.actor, statement=statement)
        row = statements_seen_by(self.actor).select_related("pay_week", "paid_in").get(pk=statement)
        return Response(answers.statement_whole(detail, answers.statement_row(row)))


class Weeks(FieldView):
    """Pay weeks, newest first."""

    @extend_schema(operation_id="weeks_list", responses=read_responses(shapes.WeekOut(many=True)))
    def get(self, request: Request) -> Response:
        return self.get_paginated_response(
            [answers.week_row(week) for week in self.paginate_queryset(PayWeek.objects.all())]
        )


class WeekPreviewed(FieldView):
    """What closing a week would pay, with what would stop it and what deserves a second look. Writes nothing."""

    @extend_schema(operation_id="week_preview", responses=read_responses(shapes.PreviewOut))
    def get(self, request: Request, pay_week: int) -> Response:
        if pay_week >= LARGEST_ID:
            raise not_found("pay_week", "pay week", pay_week)
        return Response(answers.preview(week_preview(pay_week=pay_week)))


class WeekClosed(FieldView):
    """Close a week for good. A second time is refused with 409, and so is a closing that would leave somebody out who
    is not in `not_paid`."""

    @extend_schema(operation_id="week_close", request=shapes.ClosingIn, responses=write_responses(shapes.ClosingOut))
    def post(self, request: Request, pay_week: int) -> Response:
        if pay_week >= LARGEST_ID:
            raise not_found("pay_week", "pay week", pay_week)
        not_paid = parse.not_paid(request.data)
        done = payweek_close(actor=self.actor, pay_week=pay_week, now=self.now, not_paid=not_paid)
        return Response(answers.closing(done), status=201)
