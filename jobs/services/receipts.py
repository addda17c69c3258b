"""Receipts: one operation, one UUID, over every kind of operation of an organisation."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, TypeVar
from uuid import UUID

from jobs.actors import Actor
from jobs.audit import canonical
from jobs.bulk import rows_insert
from jobs.prepared import cursor_for
from jobs.refusals import Mistake, UuidReused
from jobs.requests import EntryRequest, HoursRequest, InspectionRequest, PhotoRequest, WordRequest
from jobs.tenancy import organisation_in_scope

Received = EntryRequest | HoursRequest | InspectionRequest | WordRequest | PhotoRequest
R = TypeVar("R", EntryRequest, HoursRequest, InspectionRequest)


@dataclass(frozen=True, slots=True)
class KnownReceipt:
    """What was received under a UUID before."""

    kind: str
    request: dict[str, Any]
    membership: int


def waves(requests: Sequence[R]) -> Iterator[Mapping[int, R]]:
    """The requests of a list by place, in waves: in each a UUID stands once, and corrections come after what they name.

    A UUID that stands again, and a correction of another request in the list, wait for a later wave. Corrections that
    wait for each other in a ring come one by one, and find nothing to correct.
    """
    waiting = dict(enumerate(requests))
    while waiting:
        wave = _next_wave(waiting)
        yield wave
        waiting = {place: request for place, request in waiting.items() if place not in wave}


def _next_wave(waiting: Mapping[int, R]) -> dict[int, R]:
    uuids = {request.uuid for request in waiting.values()}
    wave: dict[int, R] = {}
    taken: set[UUID] = set()
    for place, request in waiting.items():
        if request.uuid not in taken and getattr(request, "replaces", None) not in uuids:
            wave[place] = request
            taken.add(request.uuid)
    return wave or dict([next(iter(waiting.items()))])


def receipts_known(uuids: Iterable[UUID]) -> dict[UUID, KnownReceipt]:
    wanted = list(uuids)
    with cursor_for(len(wanted)) as cursor:
        cursor.execute(
            "SELECT uuid, kind, request::text, membership_id FROM jobs_receipt "
            "WHERE organisation_id = %s AND uuid = ANY(%s)",
            [organisation_in_scope(), wanted],
        )
        return {row[0]: KnownReceipt(row[1], json.loads(row[2]), row[3]) for row in cursor.fetchall()}


def reuse_refusal(known: KnownReceipt, *, kind: str, request: Received, actor: Actor) -> UuidReused | None:
    """None when `request` is the one received before; otherwise the refusal, naming the first difference per field.

    To anyone but the member who sent the first, nothing of its content is told.
    """
    again = "Make a new UUID for a new operation."
    if known.membership != actor.membership:
        return UuidReused(Mistake("uuid", f"UUID {request.uuid} is taken. {again}"))
    if known.kind != kind:
        return UuidReused(
            Mistake("uuid", f"UUID {request.uuid} was first sent for {known.kind}, now for {kind}. {again}")
        )
    now = request.canonical()
    differences = [field for field in now if now[field] != known.request.get(field)]
    if not differences:
        return None
    return UuidReused(
        *(_difference(request.uuid, field, known.request.get(field), now[field]) for field in differences)
    )


def _difference(uuid: UUID, field: str, first: Any, now: Any) -> Mistake:
    if field in {"note", "reason", "photo"}:
        return Mistake(field, f"UUID {uuid} was first sent with another {field}. Make a new UUID for a new operation.")
    return Mistake(
        field, f"UUID {uuid} was first sent with {field} {_say(first)}, now with {_say(now)}. Make a new UUID."
    )


def _say(value: Any) -> str:
    return value if isinstance(value, str) else canonical(value)


def received_before(*, actor: Actor, kind: str, request: Received) -> bool:
    """Whether this very request was received before. Raises UuidReused where its UUID stands for another."""
    known = receipts_known([request.uuid]).get(request.uuid)
    if known is None:
        return False
    refusal = reuse_refusal(known, kind=kind, request=request, actor=actor)
    if refusal is not None:
        raise refusal
    return True


def receipt_write(*, actor: Actor, kind: str, request: Received, now: datetime) -> bool:
    """Write one receipt; False where the same request was received a moment ago. Raises UuidReused."""
    if receipts_write(actor=actor, kind=kind, requests=[request], now=now):
        return True
    if received_before(actor=actor, kind=kind, request=request):
        return False
    raise UuidReused(Mistake("uuid", f"UUID {request.uuid} is taken. Make a new UUID."))


def receipts_write(*, actor: Actor, kind: str, requests: Sequence[Received], now: datetime) -> set[UUID]:
    """Write receipts; the UUIDs that are ours now. Those missing were taken by someone else a moment ago.

    Waits for a transaction that holds the same UUID. In UUID order, so that two batches never wait for each other.
    """
    rows = [
        (request.uuid, kind, canonical(request.canonical()), actor.membership, actor.device, request.made_at, now)
        for request in sorted(requests, key=lambda request: request.uuid)
    ]
    types = {
        "uuid": "uuid",
        "kind": "text",
        "request": "jsonb",
        "membership_id": "bigint",
        "device_id": "bigint",
        "made_at": "timestamptz",
        "received_at": "timestamptz",
    }
    return {
        row[0] for row in rows_insert("jobs_receipt", types, rows, returning="uuid", conflict="organisation_id, uuid")
    }
