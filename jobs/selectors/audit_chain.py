"""The audit chain made again from the rows: every digest recomputed, every link followed, what is not sealed told."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Min

from jobs.audit import BEGINNING, Change, link_digest, record_digest
from jobs.models import AuditLink, AuditRecord, FormerId
from jobs.tenancy import organisation_in_scope

CHUNK = 2000


@dataclass(frozen=True, slots=True)
class Head:
    """The newest link of a chain. Written down elsewhere, it proves that nothing before it was changed since."""

    number: int
    digest: bytes

    def __str__(self) -> str:
        return f"{self.number}:{self.digest.hex()}"


@dataclass(frozen=True, slots=True)
class Tail:
    """Audit records that no link holds yet, and when the oldest was written."""

    count: int
    oldest: datetime | None


def chain_head() -> Head | None:
    """The newest link of the organisation in scope; None before the first sealing."""
    link = AuditLink.objects.order_by("-number").first()
    return Head(link.number, bytes(link.digest)) if link else None


def unsealed_tail() -> Tail:
    """What the sealer has not come to yet."""
    found = AuditRecord.objects.filter(links__isnull=True)
    return Tail(found.count(), found.aggregate(oldest=Min("at"))["oldest"])


def audit_breaks(head: Head | None = None) -> Iterator[str]:
    """A sentence for each audit record or link of the organisation in scope that is not as it was written.

    `head` is one written down before: the chain must still hold it.
    """
    former = _former_ids()
    before, number = BEGINNING, 0
    for link, record in _linked():
        if link.number != number + 1:
            yield f"links {number + 1} to {link.number - 1} are missing from the audit chain."
        if record is None:
            yield f"link {link.number}: its audit record {link.record_id} was removed."
        else:
            yield from _record_breaks(record, former)
        if record is not None and bytes(link.digest) != link_digest(before, link.number, bytes(record.digest)):
            yield (
                f"link {link.number}, audit record {link.record_id}: its digest is not made of the link before it "
                "and this record."
            )
        if head is not None and link.number == head.number and bytes(link.digest) != head.digest:
            yield f"link {link.number} is not the head written down before: the chain was made anew."
        before, number = bytes(link.digest), link.number
    if head is not None and head.number > number:
        yield f"the chain ends at {number}, before the head {head.number} written down earlier: links were removed."
    for record in AuditRecord.objects.filter(links__isnull=True).order_by("pk").iterator(chunk_size=CHUNK):
        yield from _record_breaks(record, former)


def _linked() -> Iterator[tuple[AuditLink, AuditRecord | None]]:
    """Links in the order of the chain, each with its record, None if it is gone.

    Read by the piece, which is quick whatever the database knows of its tables, as just after a restore.
    """
    number = 0
    while links := list(AuditLink.objects.filter(number__gt=number).order_by("number")[:CHUNK]):
        records = AuditRecord.objects.in_bulk([link.record_id for link in links])
        yield from ((link, records.get(link.record_id)) for link in links)
        number = links[-1].number


def _record_breaks(record: AuditRecord, former: dict[tuple[int, str, int], int]) -> Iterator[str]:
    change = Change(record.action, record.subject_kind, record.subject_key, record.after, record.before)
    organisation = record.written_in or organisation_in_scope()

    def as_written(kind: str, now: int | None) -> int | None:
        return former.get((record.written_in, kind, now), now) if record.written_in and now is not None else now

    actor, device = as_written("jobs.membership", record.actor_id), as_written("jobs.device", record.device_id)
    if record_digest(organisation, actor, device, record.at, change) != bytes(record.digest):
        yield (
            f"audit record {record.pk} ({record.action} of {record.subject_kind} {record.subject_key}, "
            f"{record.at:%Y-%m-%d %H:%M:%S} UTC): its content is not what its digest was made of."
        )


def _former_ids() -> dict[Any, int]:
    """(organisation written in, kind, id now) -> the id when it was written, of those who act."""
    rows = FormerId.objects.filter(kind__in=["jobs.membership", "jobs.device"])
    return {(row.written_in, row.kind, row.now): row.former for row in rows.iterator(chunk_size=CHUNK)}
