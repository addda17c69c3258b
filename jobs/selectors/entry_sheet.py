"""Entries as they are read: who was paid for what on which wall, when it was logged, and what replaced it."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db.models import F, OuterRef, Subquery, TextField
from django.db.models.functions import Coalesce

from jobs.actors import Actor
from jobs.models import Entry, EntryNote, EntryShare, Receipt
from jobs.refusals import not_found
from jobs.selectors.reach import entries_of
from jobs.selectors.unit_states import part_words


@dataclass(frozen=True, slots=True)
class ShareRow:
    """One person's part of an entry."""

    person: int
    name: str
    quantity: Decimal


@dataclass(frozen=True, slots=True)
class EntryRow:
    """One entry. `replaces` and `replaced_by` are the entries before and after it, if it is part of a correction."""

    id: int
    uuid: UUID
    job: int
    job_name: str
    time_zone: str
    level: str
    wall: int | None
    mark: str
    work_unit: int
    operation: str
    unit: str
    part: str
    measured: Decimal
    because: tuple[dict[str, str], ...]
    worked_on: date
    quantity: Decimal
    received_at: datetime
    made_at: datetime | None
    device: str
    logged_name: str
    replaces: UUID | None
    replaced_by: UUID | None
    note: str
    shares: tuple[ShareRow, ...]
    said_because: tuple[dict[str, str], ...]
    notices: tuple[dict[str, str], ...]
    started_at: datetime | None
    finished_at: datetime | None

    @property
    def stands(self) -> bool:
        return self.replaced_by is None


def entry_rows(actor: Actor, **which: Any) -> list[EntryRow]:
    """The entries in the actor's reach, newest first. A worker sees those he shares in, and of the shares his own."""
    receipts = Receipt.objects.filter(uuid=OuterRef("uuid"))
    found = (
        entries_of(actor)
        .filter(**which)
        .select_related("job", "work_unit__operation", "work_unit__level", "work_unit__wall")
        .annotate(
            first=F("replaces__uuid"),
            next=Subquery(Entry.objects.filter(replaces=OuterRef("pk")).values("uuid")[:1]),
            note=Subquery(EntryNote.objects.filter(entry=OuterRef("pk")).values("text")[:1]),
            made_at=Subquery(receipts.values("made_at")[:1]),
            device_name=Subquery(receipts.values("device__name")[:1]),
            logged_name=Coalesce("logged_by__person__name", "logged_by__user__email", output_field=TextField()),
        )
        .order_by("-worked_on", "-pk")
    )
    rows = list(found)
    shares = _shares(actor, [entry.pk for entry in rows])
    return [_row(entry, tuple(shares[entry.pk])) for entry in rows]


def entry_row(actor: Actor, uuid: UUID) -> EntryRow:
    """Raises NotFound for an entry that is not there or not in reach, alike."""
    rows = entry_rows(actor, uuid=uuid)
    if not rows:
        raise not_found("entry", "entry", uuid)
    return rows[0]


def _shares(actor: Actor, entries: list[int]) -> defaultdict[int, list[ShareRow]]:
    rows = EntryShare.objects.filter(entry__in=entries).order_by("person__name", "person_id")
    if actor.role == "worker":
        rows = rows.filter(person=actor.person)
    by: defaultdict[int, list[ShareRow]] = defaultdict(list)
    for entry, person, name, quantity in rows.values_list("entry_id", "person_id", "person__name", "quantity"):
        by[entry].append(ShareRow(person, name, quantity))
    return by


def _row(entry: Entry, shares: tuple[ShareRow, ...]) -> EntryRow:
    unit = entry.work_unit
    return EntryRow(
        id=entry.pk,
        uuid=entry.uuid,
        job=entry.job_id,
        job_name=entry.job.name,
        time_zone=entry.job.time_zone,
        level=unit.level.name,
        wall=unit.wall_id,
        mark=unit.wall.mark if unit.wall else "",
        work_unit=unit.pk,
        operation=unit.operation.name,
        unit=unit.operation.unit,
        part=part_words(unit.face, unit.layer, unit.opening),
        measured=unit.measured,
        because=tuple(unit.because or ()),
        worked_on=entry.worked_on,
        quantity=entry.quantity,
        received_at=entry.received_at,
        made_at=entry.made_at,
        device=entry.device_name or "",
        logged_name=entry.logged_name,
        replaces=entry.first,
        replaced_by=entry.next,
        note=entry.note or "",
        shares=shares,
        said_because=tuple(entry.because),
        notices=tuple(entry.notices),
        started_at=entry.started_at,
        finished_at=entry.finished_at,
    )
