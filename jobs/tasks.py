"""Scheduled work of the records. A task opens the organisation's scope, calls one service, and may run twice."""

from __future__ import annotations

from datetime import UTC, datetime

from celery import shared_task

from jobs.services.audit_sealing import audit_seal
from jobs.tenancy import organisation_ids


@shared_task(name="jobs.audit_seal_organisation", acks_late=True)
def audit_seal_organisation(organisation_id: int) -> int:
    """Seal one organisation's audit records; answers how many were sealed. Run again, it finds nothing to do."""
    return audit_seal(organisation=organisation_id, now=datetime.now(UTC))


@shared_task(name="jobs.audit_seal_due", ignore_result=True)
def audit_seal_due() -> None:
    """Beat's entry: queue the sealing of every organisation, so that a large one does not hold up the others."""
    for organisation in organisation_ids():
        audit_seal_organisation.delay(organisation)
