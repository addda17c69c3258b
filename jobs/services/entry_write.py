"""Writing decided entries: receipts, entries, shares, notes and audit records in one statement.

One statement, because each one more costs a single entry a tenth of its time. Its parts follow each other: an entry
is written only where its receipt was, so a UUID that another transaction took a moment ago leaves nothing here.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from jobs import audit
from jobs.actors import Actor
from jobs.audit import canonical
from jobs.notices import Notice
from jobs.prepared import cursor_for
from jobs.requests import plain
from jobs.services.entry_decisions import Decided
from jobs.services.entry_state import EntryAnswer
from jobs.tenancy import organisation_in_scope

# Receipts in UUID order, so that two batches never wait for each other; entries in the order they were decided.
_STATEMENT = """
WITH received AS (
    INSERT INTO jobs_receipt (organisation_id, uuid, kind, request, membership_id, device_id, made_at, received_at)
    SELECT %(organisation)s, r.uuid, 'entry', r.request::jsonb, %(member)s, %(device)s::bigint, r.made_at, %(now)s
      FROM unnest(%(uuids)s::uuid[], %(requests)s::text[], %(made)s::timestamptz[]) AS r (uuid, request, made_at)
     ORDER BY r.uuid
    ON CONFLICT (organisation_id, uuid) DO NOTHING
    RETURNING uuid
), logged AS (
    INSERT INTO jobs_entry (organisation_id, uuid, job_id, work_unit_id, worked_on, quantity, logged_by_id, received_at,
                            replaces_id, said, because, notices, started_at, finished_at)
    SELECT %(organisation)s, e.uuid, e.job, e.work_unit, e.worked_on, e.quantity, %(member)s, %(now)s, e.replaces,
           e.said::jsonb, e.because::jsonb, e.notices::jsonb, e.started, e.finished
      FROM unnest(%(uuids)s::uuid[], %(jobs)s::bigint[], %(units)s::bigint[], %(days)s::date[],
                  %(quantities)s::numeric[], %(replaces)s::bigint[], %(said)s::text[], %(because)s::text[],
                  %(notices)s::text[], %(starts)s::timestamptz[], %(finishes)s::timestamptz[])
           WITH ORDINALITY AS e (uuid, job, work_unit, worked_on, quantity, replaces, said, because, notices, started,
                                 finished, nth)
      JOIN received USING (uuid)
     ORDER BY e.nth
    RETURNING uuid, id
), shared AS (
    INSERT INTO jobs_entryshare (organisation_id, entry_id, person_id, quantity)
    SELECT %(organisation)s, logged.id, s.person, s.quantity
      FROM unnest(%(share_uuids)s::uuid[], %(share_people)s::bigint[], %(share_parts)s::numeric[])
           AS s (uuid, person, quantity)
      JOIN logged USING (uuid)
), noted AS (
    INSERT INTO jobs_entrynote (organisation_id, entry_id, text)
    SELECT %(organisation)s, logged.id, n.text
      FROM unnest(%(uuids)s::uuid[], %(notes)s::text[]) AS n (uuid, text) JOIN logged USING (uuid)
     WHERE n.text <> ''
), audited AS (
    INSERT INTO jobs_auditrecord (organisation_id, at, actor_id, device_id, action, subject_kind, subject_key,
                                  before, after, digest)
    SELECT %(organisation)s, %(now)s, %(member)s, %(device)s::bigint, a.action, 'entry', a.uuid::text, a.before::jsonb,
           a.after::jsonb, a.digest
      FROM unnest(%(uuids)s::uuid[], %(actions)s::text[], %(befores)s::text[], %(afters)s::text[], %(digests)s::bytea[])
           AS a (uuid, action, before, after, digest)
      JOIN received USING (uuid)
)
SELECT uuid, id FROM logged
"""


def entries_write(
    *, actor: Actor, decided: Sequence[Decided], notices: Mapping[UUID, tuple[Notice, ...]], now: datetime
) -> dict[UUID, EntryAnswer]:
    """Write entries with their notices; the answers of those that are ours.

    One that is missing was received elsewhere a moment ago.
    """
    if not decided:
        return {}
    with cursor_for(len(decided)) as cursor:
        cursor.execute(_STATEMENT, _values(actor, decided, notices, now))
        ids: dict[UUID, int] = dict(cursor.fetchall())
    return {
        one.request.uuid: _answer(ids[one.request.uuid], one, notices[one.request.uuid], now)
        for one in decided
        if one.request.uuid in ids
    }


def _values(
    actor: Actor, decided: Sequence[Decided], notices: Mapping[UUID, tuple[Notice, ...]], now: datetime
) -> dict[str, Any]:
    changes = [_change(one) for one in decided]
    shares = [(one.request.uuid, person, part) for one in decided for person, part in one.shares.items()]
    return {
        "organisation": organisation_in_scope(),
        "member": actor.membership,
        "device": actor.device,
        "now": now,
        "uuids": [one.request.uuid for one in decided],
        "requests": [canonical(one.request.canonical()) for one in decided],
        "made": [one.request.made_at for one in decided],
        "jobs": [one.unit.job for one in decided],
        "units": [one.unit.id for one in decided],
        "days": [one.request.worked_on for one in decided],
        "quantities": [one.quantity for one in decided],
        "replaces": [one.replaces.id if one.replaces else None for one in decided],
        "said": [None if one.said is None else canonical(one.said) for one in decided],
        "because": [canonical([reason.json() for reason in one.because]) for one in decided],
        "notices": [canonical([notice.json() for notice in notices[one.request.uuid]]) for one in decided],
        "starts": [one.request.started_at for one in decided],
        "finishes": [one.request.finished_at for one in decided],
        "notes": [one.request.note for one in decided],
        "share_uuids": [uuid for uuid, _, _ in shares],
        "share_people": [person for _, person, _ in shares],
        "share_parts": [part for _, _, part in shares],
        "actions": [change.action for change in changes],
        "befores": [None if change.before is None else canonical(change.before) for change in changes],
        "afters": [canonical(change.after or {}) for change in changes],
        "digests": [audit.digest_of(actor, now, change) for change in changes],
    }


def _change(one: Decided) -> audit.Change:
    return audit.Change(
        action="entry_correct" if one.replaces else "entry_log",
        subject_kind="entry",
        subject_key=str(one.request.uuid),
        before={"entry": str(one.replaces.uuid), "quantity": plain(one.replaces.quantity)} if one.replaces else None,
        after={
            "work_unit": one.unit.id,
            "worked_on": one.request.worked_on.isoformat(),
            "quantity": plain(one.quantity),
            "shares": [[person, plain(part)] for person, part in one.shares.items()],
        }
        | one.request.span_told(),
    )


def _answer(entry_id: int, one: Decided, notices: tuple[Notice, ...], now: datetime) -> EntryAnswer:
    return EntryAnswer(
        id=entry_id,
        uuid=one.request.uuid,
        work_unit=one.unit.id,
        worked_on=one.request.worked_on,
        quantity=one.quantity,
        shares=tuple(one.shares.items()),
        received_at=now,
        replaces=one.replaces.uuid if one.replaces else None,
        because=one.because,
        notices=notices,
        started_at=one.request.started_at,
        finished_at=one.request.finished_at,
    )
