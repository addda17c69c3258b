"""Inspections: a work unit is accepted, or reopened with a reason. Neither touches what was earned on it."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from django.db import transaction

from jobs import audit
from jobs.actors import Actor
from jobs.models import Inspection
from jobs.models.inspections import Verdict
from jobs.refusals import Conflict, Mistake, NotAllowed, database_refusals, invalid, not_found
from jobs.requests import InspectionRequest
from jobs.services.entry_state import units_lock
from jobs.services.receipts import receipts_known, receipts_write, reuse_refusal
from jobs.tenancy import organisation_scope

MAY_INSPECT = frozenset({"owner", "office", "foreman"})


def inspection_record(*, actor: Actor, request: InspectionRequest, now: datetime) -> Inspection:
    """Record a verdict on a work unit, exactly once. Raises Invalid, NotFound, UuidReused, NotAllowed."""
    if actor.role not in MAY_INSPECT or actor.membership is None:
        raise NotAllowed(Mistake("", f"the role {actor.role} does not inspect. Ask your foreman or the office."))
    with database_refusals(), transaction.atomic(), organisation_scope(actor.organisation):
        if request.work_unit not in units_lock(ids=[request.work_unit], actor=actor):
            raise not_found("work_unit", "work unit", request.work_unit)
        repeated = _repeated(actor, request)
        if repeated is not None:
            return repeated
        if request.verdict not in Verdict.values:
            raise invalid("verdict", f"{request.verdict!r} is no verdict. Use one of: {', '.join(Verdict.values)}.")
        if request.verdict == "reopened" and not request.reason.strip():
            raise invalid("reason", "a work unit is reopened for a reason. Say what is to be mended.")
        if request.uuid not in receipts_write(actor=actor, kind="inspection", requests=[request], now=now):
            taken = _repeated(actor, request)
            if taken is None:
                raise Conflict(Mistake("uuid", "Send the inspection again."))
            return taken
        inspection = Inspection.objects.create(
            uuid=request.uuid,
            work_unit_id=request.work_unit,
            verdict=request.verdict,
            reason=request.reason.strip(),
            inspected_on=request.inspected_on,
            inspected_by_id=actor.membership,
            received_at=now,
        )
        change = audit.Change(
            action="inspection_record",
            subject_kind="work unit",
            subject_key=str(request.work_unit),
            after=request.canonical(),
        )
        audit.record(actor=actor, at=now, changes=[change])
        return inspection


def _repeated(actor: Actor, request: InspectionRequest) -> Inspection | None:
    known = receipts_known([request.uuid]).get(request.uuid)
    if known is None:
        return None
    refusal = reuse_refusal(known, kind="inspection", request=request, actor=actor)
    if refusal is not None:
        raise refusal
    return Inspection.objects.get(uuid=UUID(str(request.uuid)))
