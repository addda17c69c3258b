"""Words of workers on entries and hours: what a person last said, and what is disputed and not settled yet.

A dispute is open while it is the person's last word and what it is about still counts: a correction settles it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.db.models import Exists, OuterRef, Subquery

from jobs.actors import Actor
from jobs.models import Entry, EntryShare, Hours, Word, WordNote
from jobs.models.hours import HoursKind
from jobs.models.words import DISPUTED
from jobs.requests import plain
from jobs.selectors.entry_sheet import EntryRow, entry_rows
from jobs.selectors.unit_states import part_words


@dataclass(frozen=True, slots=True)
class WordRow:
    """A person's last word on one entry or hours."""

    says: str
    reason: str


@dataclass(frozen=True, slots=True)
class Dispute:
    """An open dispute: whose, about what (`kind`: entry or hours), in words, and why."""

    about: UUID
    kind: str
    person: int
    name: str
    worked_on: date
    told: str
    reason: str


@dataclass(frozen=True, slots=True)
class OwnHours:
    """Hours in force of who asks; `kind` by its code."""

    uuid: UUID
    job: str
    worked_on: date
    kind: str
    minutes: int


@dataclass(frozen=True, slots=True)
class OwnWork:
    """What was logged about a person since a day, newest first, and his last word on each, by UUID."""

    entries: tuple[EntryRow, ...]
    hours: tuple[OwnHours, ...]
    words: dict[UUID, WordRow]


def is_about(uuid: UUID, person: int) -> bool | None:
    """Whether the entry or hours are in force; None where there are none of the person under that UUID."""
    entry = Entry.objects.filter(uuid=uuid, shares__person=person)
    hours = Hours.objects.filter(uuid=uuid, person=person)
    if not entry.exists() and not hours.exists():
        return None
    return not (entry.filter(replaced_by__isnull=False).exists() or hours.filter(replaced_by__isnull=False).exists())


def last_word(about: UUID, person: int) -> str | None:
    return Word.objects.filter(about=about, person=person).order_by("-pk").values_list("says", flat=True).first()


def words_on(about: Iterable[UUID], person: int) -> dict[UUID, WordRow]:
    """The person's last word on each."""
    note = WordNote.objects.filter(word=OuterRef("pk")).values("text")[:1]
    said = Word.objects.filter(about__in=list(about), person=person).annotate(reason=Subquery(note)).order_by("pk")
    return {word.about: WordRow(word.says, word.reason or "") for word in said}


def own_work(actor: Actor, since: date) -> OwnWork:
    """Entries with a share of the actor's person and hours of his, in force, worked on since a day."""
    if actor.person is None:
        return OwnWork((), (), {})
    mine = Exists(EntryShare.objects.filter(entry=OuterRef("pk"), person=actor.person, quantity__gt=0))
    uuids = Entry.objects.filter(mine, worked_on__gte=since, replaced_by__isnull=True).values_list("uuid", flat=True)
    entries = tuple(entry_rows(actor, uuid__in=list(uuids)))
    hours = tuple(
        OwnHours(one.uuid, one.job.name, one.worked_on, one.kind, one.minutes)
        for one in Hours.objects.filter(
            person=actor.person, worked_on__gte=since, replaced_by__isnull=True, minutes__gt=0
        )
        .select_related("job")
        .order_by("-worked_on", "-pk")
    )
    words = words_on([*(one.uuid for one in entries), *(one.uuid for one in hours)], actor.person)
    return OwnWork(entries, hours, words)


def disputes_open(first: date | None = None, last: date | None = None) -> list[Dispute]:
    """Every open dispute of the organisation, oldest work first; those about days from `first` to `last` if given."""
    later = Word.objects.filter(about=OuterRef("about"), person=OuterRef("person"), pk__gt=OuterRef("pk"))
    note = WordNote.objects.filter(word=OuterRef("pk")).values("text")[:1]
    words = list(
        Word.objects.filter(~Exists(later), says=DISPUTED)
        .annotate(reason=Subquery(note))
        .select_related("person")
        .order_by("pk")
    )
    told = _told({word.about for word in words}) if words else {}
    found = []
    for word in words:
        if word.about in told:
            kind, worked_on, text = told[word.about]
            if (first is None or worked_on >= first) and (last is None or worked_on <= last):
                name, reason = word.person.name, word.reason or ""
                found.append(Dispute(word.about, kind, word.person_id, name, worked_on, text, reason))
    return sorted(found, key=lambda one: (one.worked_on, one.name))


def disputes_about(actor: Actor, about: UUID) -> list[Dispute]:
    """Open disputes about one entry or hours; a worker's own alone."""
    if not Word.objects.filter(about=about, says=DISPUTED).exists():
        return []
    found = [one for one in disputes_open() if one.about == about]
    return [one for one in found if actor.role != "worker" or one.person == actor.person]


def disputes_by_person(first: date, last: date) -> dict[int, list[Dispute]]:
    """Open disputes about work of some days, by person."""
    found: defaultdict[int, list[Dispute]] = defaultdict(list)
    for one in disputes_open(first, last):
        found[one.person].append(one)
    return dict(found)


def _told(uuids: set[UUID]) -> dict[UUID, tuple[str, date, str]]:
    """Kind, day and words of entries and hours in force."""
    found: dict[UUID, tuple[str, date, str]] = {}
    entries = Entry.objects.filter(uuid__in=uuids, replaced_by__isnull=True).select_related(
        "work_unit__wall", "work_unit__operation", "work_unit__level"
    )
    for entry in entries:
        unit = entry.work_unit
        place = f"wall {unit.wall.mark}" if unit.wall else unit.level.name
        part = part_words(unit.face, unit.layer, unit.opening)
        told = f"{plain(entry.quantity)} {unit.operation.unit} of {unit.operation.name}, {place}"
        found[entry.uuid] = ("entry", entry.worked_on, f"{told}, {part}" if part else told)
    for hours in Hours.objects.filter(uuid__in=uuids, replaced_by__isnull=True).select_related("job"):
        clock = f"{hours.minutes // 60}:{hours.minutes % 60:02d}"
        found[hours.uuid] = ("hours", hours.worked_on, f"{clock} h of {HoursKind(hours.kind).label}, {hours.job.name}")
    return found
