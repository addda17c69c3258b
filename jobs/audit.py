"""The audit record: written by every service in its own transaction, with a digest over canonical content.

Canonical content is JSON with sorted keys and no spaces, in UTF-8, of: organisation, at (UTC, microseconds), actor,
device, action, subject, before, after. Numbers that matter are strings in it, so that a value read back from the
database gives the same bytes. Names of people never enter; ids do, and digests with the person's own salt.

Records are sealed into a chain afterwards (see `jobs.services.audit_sealing`), so that writers never wait for it.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from jobs.actors import Actor
from jobs.bulk import rows_insert


@dataclass(frozen=True, slots=True)
class Change:
    """One change to write down: what was done to which subject, and the subject before and after."""

    action: str
    subject_kind: str
    subject_key: str
    after: Mapping[str, Any] | None
    before: Mapping[str, Any] | None = None


def canonical(content: Mapping[str, Any] | Sequence[Any]) -> str:
    """JSON with sorted keys and no spaces. Raises TypeError for anything but strings, ints, booleans, None, lists."""
    return json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


BEGINNING = bytes(32)


def digest_of(actor: Actor, at: datetime, change: Change) -> bytes:
    """SHA-256 over the canonical content of one audit record."""
    return record_digest(actor.organisation, actor.membership, actor.device, at, change)


def link_digest(previous: bytes, number: int, record: bytes) -> bytes:
    """SHA-256 that holds a record at its place: the link before it, the number in 8 bytes, the record's digest."""
    return hashlib.sha256(previous + number.to_bytes(8, "big") + record).digest()


def record_digest(organisation: int, actor: int | None, device: int | None, at: datetime, change: Change) -> bytes:
    """As `digest_of`, from the ids under which the record was written."""
    content = {
        "organisation": organisation,
        "at": at.astimezone(UTC).isoformat(timespec="microseconds"),
        "actor": actor,
        "device": device,
        "action": change.action,
        "subject": [change.subject_kind, change.subject_key],
        "before": change.before,
        "after": change.after,
    }
    return hashlib.sha256(canonical(content).encode()).digest()


def record(*, actor: Actor, at: datetime, changes: Sequence[Change]) -> None:
    """Write `changes` as audit records of the organisation in scope, in one statement."""
    rows_insert(
        "jobs_auditrecord",
        {
            "at": "timestamptz",
            "actor_id": "bigint",
            "device_id": "bigint",
            "action": "text",
            "subject_kind": "text",
            "subject_key": "text",
            "before": "jsonb",
            "after": "jsonb",
            "digest": "bytea",
        },
        [
            (
                at,
                actor.membership,
                actor.device,
                change.action,
                change.subject_kind,
                change.subject_key,
                None if change.before is None else canonical(change.before),
                None if change.after is None else canonical(change.after),
                digest_of(actor, at, change),
            )
            for change in changes
        ],
    )
