"""Work for the Celery worker. A task carries ids and dates only, opens the organisation's scope in a transaction, and
calls one service; sent twice or started again it changes nothing.
"""

from __future__ import annotations

from datetime import UTC, date, datetime
from functools import partial

from celery import shared_task
from django.db import transaction

from jobs.actors import system
from jobs.tenancy import organisation_ids, organisation_scope
from payroll.selectors.reports import reports_due
from payroll.services import papers
from payroll.services.reports import weekly_report_make


@shared_task(name="payroll.weekly_report_build", acks_late=True)
def weekly_report_build(organisation_id: int, job_id: int, first_day: str) -> str:
    """Make one weekly report (`first_day` as 2026-11-02); answers its digest. Made already, it answers the same."""
    report = weekly_report_make(
        actor=system(organisation_id), job=job_id, first_day=date.fromisoformat(first_day), now=datetime.now(UTC)
    )
    return bytes(report.digest).hex()


@shared_task(name="payroll.weekly_reports_due", ignore_result=True)
def weekly_reports_due() -> int:
    """Beat's entry: find the reports due in every organisation, by its own clock, and queue each. Answers how many."""
    now = datetime.now(UTC)
    queued = 0
    for organisation in organisation_ids():
        with transaction.atomic(), organisation_scope(organisation):
            for due in reports_due(now=now):
                first_day = due.first_day.isoformat()
                transaction.on_commit(partial(weekly_report_build.delay, organisation, due.job, first_day))
                queued += 1
    return queued


@shared_task(name=papers.TASK, acks_late=True)
def papers_part_make(organisation_id: int, pay_week_id: int, part: int) -> int:
    """Make one part of a closed week's papers; answers how many statements it holds. Made already, it stays."""
    return papers.papers_part_make(organisation=organisation_id, pay_week=pay_week_id, part=part, now=datetime.now(UTC))
