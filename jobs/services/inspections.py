"""Inspections: a work unit is accepted, or reopened with a reason. Neither touches what was earned on it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db import connection, transaction

from jobs import audit
from jobs.actors import Actor
from jobs.bulk import rows_insert
from jobs.models.inspections import Verdict
from jobs.refusals import Mistake, NotAllowed, Refusal, database_refusals, invalid, not_found
from jobs.requests import InspectionRequest, note_digest
from jobs.services.entry_state import UnitState, units_lock
from jobs.services.receipts import receipts_known, receipts_write, reuse_refusal, waves
from jobs.tenancy import organisation_in_scope, organisation_scope

MAY_INSPECT = frozenset({"owner", "office", "foreman"})


@dataclass(frozen=True, slots=True)
class InspectionAnswer:
    """What is told of an inspection. The reason is empty once it was forgotten."""

    id: int
    uuid: UUID
    work_unit: int
    verdict: str
    reason: str
    inspected_on: date
    received_at: datetime


Outcome = InspectionAnswer | Refusal


def inspection_record(*, actor: Actor, request: InspectionRequest, now: datetime) -> InspectionAnswer:
    """Record a verdict on a work unit, exactly once. Raises Invalid, NotFound, UuidReused, NotAllowed."""
    outcome = inspection_batch_record(actor=actor, requests=[request], now=now)[0]
    if isinstance(outcome, Refusal):
        raise outcome
    return outcome


def inspection_batch_record(*, actor: Actor, requests: Sequence[InspectionRequest], now: datetime) -> list[Outcome]:
    """Record many, each on its own: the outcome of every request in its order."""
    if actor.role not in MAY_INSPECT or actor.membership is None:
        raise NotAllowed(Mistake("", f"the role {actor.role} does not inspect. Ask your foreman or the office."))
    outcomes: dict[int, Outcome] = {}
    with database_refusals(), transaction.atomic(savepoint=False), organisation_scope(actor.organisation):
        units = units_lock(ids={one.work_unit for one in requests}, actor=actor)
        for wave in waves(requests):
            outcomes |= _wave(actor, units, wave, now)
    return [outcomes[place] for place in range(len(requests))]


def _wave(
    actor: Actor, units: dict[int, UnitState], wave: Mapping[int, InspectionRequest], now: datetime
) -> dict[int, Outcome]:
    outcomes = _repeated(actor, wave)
    fresh = {place: one for place, one in wave.items() if place not in outcomes}
    refused = {place: found for place, one in fresh.items() if (found := _refusal(one, units, now)) is not None}
    kept = {place: one for place, one in fresh.items() if place not in refused}
    written = _write(actor, list(kept.values()), now)
    outcomes |= refused | {place: written[one.uuid] for place, one in kept.items() if one.uuid in written}
    # Those missing were received elsewhere a moment ago; that transaction has ended by now.
    return outcomes | _repeated(actor, {place: one for place, one in kept.items() if one.uuid not in written})


def _refusal(request: InspectionRequest, units: dict[int, UnitState], now: datetime) -> Refusal | None:
    unit = units.get(request.work_unit)
    if unit is None:
        return not_found("work_unit", "work unit", request.work_unit)
    if request.verdict not in Verdict.values:
        return invalid("verdict", f"{request.verdict!r} is no verdict. Use one of: {', '.join(Verdict.values)}.")
    if request.verdict == "reopened" and not request.reason.strip():
        return invalid("reason", "a work unit is reopened for a reason. Say what is to be mended.")
    today = now.astimezone(ZoneInfo(unit.zone)).date()
    if request.inspected_on > today:
        return invalid(
            "inspected_on", f"{request.inspected_on} is after today at the job, {today}. Inspect what is there."
        )
    return None


def _repeated(actor: Actor, wave: Mapping[int, InspectionRequest]) -> dict[int, Outcome]:
    """Outcomes of requests whose UUID was received before."""
    known = receipts_known(one.uuid for one in wave.values()) if wave else {}
    answers = _answers(known) if known else {}
    return {
        place: reuse_refusal(known[one.uuid], kind="inspection", request=one, actor=actor) or answers[one.uuid]
        for place, one in wave.items()
        if one.uuid in known
    }


def _answers(uuids: Iterable[UUID]) -> dict[UUID, InspectionAnswer]:
    with connection.cursor() as cursor:
        cursor.execute(
            """
            SELECT i.id, i.uuid, i.work_unit_id, i.verdict, COALESCE(n.text, ''), i.inspected_on, i.received_at
              FROM jobs_inspection i
              LEFT JOIN jobs_inspectionnote n ON n.organisation_id = i.organisation_id AND n.inspection_id = i.id
             WHERE i.organisation_id = %s AND i.uuid = ANY(%s)
            """,
            [organisation_in_scope(), list(uuids)],
        )
        return {row[1]: InspectionAnswer(*row) for row in cursor.fetchall()}


def _write(actor: Actor, requests: Sequence[InspectionRequest], now: datetime) -> dict[UUID, InspectionAnswer]:
    if not requests:
        return {}
    ours = receipts_write(actor=actor, kind="inspection", requests=requests, now=now)
    kept = [one for one in requests if one.uuid in ours]
    types = {
        "uuid": "uuid", "work_unit_id": "bigint", "verdict": "text", "reason_digest": "text", "inspected_on": "date",
        "inspected_by_id": "bigint", "received_at": "timestamptz",
    }  # fmt: skip
    rows = [
        (
            one.uuid, one.work_unit, one.verdict, note_digest(one.uuid, one.reason.strip()), one.inspected_on,
            actor.membership, now,
        )
        for one in kept
    ]  # fmt: skip
    ids = {uuid: pk for pk, uuid in rows_insert("jobs_inspection", types, rows, returning="id, uuid")}
    notes = [(ids[one.uuid], one.reason.strip()) for one in kept if one.reason.strip()]
    rows_insert("jobs_inspectionnote", {"inspection_id": "bigint", "text": "text"}, notes)
    changes = [
        audit.Change("inspection_record", "work unit", str(one.work_unit), after=one.canonical()) for one in kept
    ]
    audit.record(actor=actor, at=now, changes=changes)
    return {
        one.uuid: InspectionAnswer(
            ids[one.uuid], one.uuid, one.work_unit, one.verdict, one.reason.strip(), one.inspected_on, now
        )
        for one in kept
    }
