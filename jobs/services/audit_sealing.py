"""Sealing: audit records that are committed get their place in the organisation's chain.

Writers only hash their own record, so none waits for another. The one sealer of an organisation orders what it can see
and links each record to the one before. What was not committed yet is sealed next time; an id that comes late simply
stands later in the chain. The order of the chain is the order of sealing, not of ids or clocks.
"""

from __future__ import annotations

from datetime import datetime

from django.db import connection, transaction

from jobs.audit import BEGINNING, link_digest
from jobs.bulk import rows_insert
from jobs.selectors.audit_chain import chain_head
from jobs.tenancy import organisation_in_scope, organisation_scope

BATCH = 5000
_TYPES = {"number": "bigint", "record_id": "bigint", "digest": "bytea", "sealed_at": "timestamptz"}
_UNSEALED = """
SELECT r.id, r.digest FROM jobs_auditrecord r
 WHERE r.organisation_id = %(organisation)s
   AND NOT EXISTS (SELECT 1 FROM jobs_auditlink l WHERE l.organisation_id = r.organisation_id AND l.record_id = r.id)
 ORDER BY r.id LIMIT %(batch)s
"""


def audit_seal(*, organisation: int, now: datetime) -> int:
    """Link every committed audit record that has no place yet; how many. With nothing to do it writes nothing.

    Two sealers of one organisation wait for each other; a sealer that dies leaves whole batches behind.
    """
    sealed = 0
    while True:
        with transaction.atomic(), organisation_scope(organisation):
            count = _batch_seal(now)
        sealed += count
        if count < BATCH:
            return sealed


def _batch_seal(now: datetime) -> int:
    organisation = organisation_in_scope()
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_advisory_xact_lock(hashtextextended('piecewall audit seal', %s))", [organisation])
        # Read only behind the lock, so that the other sealer's links are seen.
        cursor.execute(_UNSEALED, {"organisation": organisation, "batch": BATCH})
        records = cursor.fetchall()
    head = chain_head()
    number, digest = (head.number, head.digest) if head else (0, BEGINNING)
    links = []
    for record, content in records:
        number += 1
        digest = link_digest(digest, number, bytes(content))
        links.append((number, record, digest, now))
    rows_insert("jobs_auditlink", _TYPES, links)
    return len(links)
