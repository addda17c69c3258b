"""Hours and entries by CSV, through the same services that phones and pages use: once, never over, never another's."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from jobs.actors import Actor
from jobs.clock import NoMoment, moment_on
from jobs.csv_rows import Columns, Row, rows_read
from jobs.models import Crew, Job, WorkUnit
from jobs.refusals import Mistake, NotAllowed, Refusal
from jobs.requests import ALL_LEFT, EntryRequest, HoursRequest, PersonAsked, SharesAsked
from jobs.services.csv_import import Imported, RowNames, note_refusal, numbers_for_ids, people_by_number, whole_file
from jobs.services.entries import entry_batch_log
from jobs.services.hours import hours_batch_log
from jobs.services.receipts import receipts_known

HOURS = Columns(
    ("uuid", "person", "job", "worked_on", "kind", "hours"), ("person", "job", "worked_on", "kind", "hours")
)
ENTRIES = Columns(
    (
        "uuid", "job", "level", "wall", "operation", "face", "layer", "opening", "worked_on", "quantity", "crew",
        "people", "note", "started_at", "finished_at",
    ),
    ("job", "level", "operation", "worked_on", "quantity"),
)  # fmt: skip
# Handed to the batch services at a time, all in one transaction.
CHUNK = 500
_SHARE = re.compile(r"\s*([^:]{1,20})(?::(\d{1,6}(?:\.\d{1,3})?))?\s*")


def hours_import(*, actor: Actor, source: bytes, now: datetime, dry_run: bool) -> Imported:
    """Log the hours of a file. A row that was imported before stands; with any mistake nothing is kept.

    Raises NotAllowed, also for an actor without a membership: somebody answers for hours.
    """
    rows, mistakes = rows_read(source, HOURS)
    imported = Imported(mistakes=mistakes)
    with whole_file(_named(actor), imported, dry_run=dry_run):
        names = RowNames(actor.organisation, "hours")
        people, jobs = people_by_number(), dict(Job.objects.values_list("code", "pk"))
        read = [(row, _hours(row, names, people, jobs, now)) for row in rows]
        asked = [(row, request) for row, request in read if request is not None]
        _log(asked, lambda some: hours_batch_log(actor=actor, requests=some, now=now), imported, people)
    return imported


def entries_import(*, actor: Actor, source: bytes, now: datetime, dry_run: bool) -> Imported:
    """Log the entries of a file, in its order. As `hours_import` otherwise."""
    rows, mistakes = rows_read(source, ENTRIES)
    imported = Imported(mistakes=mistakes)
    with whole_file(_named(actor), imported, dry_run=dry_run):
        names = RowNames(actor.organisation, "entry")
        people, crews = people_by_number(), dict(Crew.objects.values_list("name", "pk"))
        units = _units({row.text("job") for row in rows})
        zones = dict(Job.objects.values_list("code", "time_zone"))
        read = [(row, _entry(row, names, people, crews, units, zones, now)) for row in rows]
        asked = [(row, request) for row, request in read if request is not None]
        _log(asked, lambda some: entry_batch_log(actor=actor, requests=some, now=now), imported, people)
    return imported


def _named(actor: Actor) -> Actor:
    if actor.membership is None:
        raise NotAllowed(Mistake("", "hours and entries are imported by a member, by name. Say who imports them."))
    return actor


def _log(
    asked: Sequence[tuple[Row, Any]],
    log: Callable[[list[Any]], list[Any]],
    imported: Imported,
    people: Mapping[str, int],
) -> None:
    say = numbers_for_ids(people)
    for start in range(0, len(asked), CHUNK):
        some = asked[start : start + CHUNK]
        known = receipts_known(request.uuid for _, request in some)
        outcomes = log([request for _, request in some])
        for (row, request), outcome in zip(some, outcomes, strict=True):
            if isinstance(outcome, Refusal):
                note_refusal(row, outcome, say)
            elif request.uuid in known:
                imported.standing += 1
            else:
                imported.made += 1


def _hours(
    row: Row, names: RowNames, people: Mapping[str, int], jobs: Mapping[str, int], now: datetime
) -> HoursRequest | None:
    before = len(row.mistakes)
    uuid = row.uuid("uuid") or names.name(row)
    person, job = _find(row, "person", people, "number"), _find(row, "job", jobs, "code")
    worked_on, minutes, kind = row.day("worked_on"), row.minutes("hours"), row.text("kind", 20)
    if len(row.mistakes) > before or person is None or job is None or worked_on is None or minutes is None:
        return None
    return HoursRequest(uuid, job, person, worked_on, kind, minutes, made_at=now)


def _entry(
    row: Row,
    names: RowNames,
    people: Mapping[str, int],
    crews: Mapping[str, int],
    units: Mapping[tuple[str, ...], int],
    zones: Mapping[str, str],
    now: datetime,
) -> EntryRequest | None:
    before = len(row.mistakes)
    uuid = row.uuid("uuid") or names.name(row)
    unit = _unit(row, units)
    worked_on, shares = row.day("worked_on"), _shares(row, people, crews)
    everything = row.text("quantity") == ALL_LEFT
    quantity: Decimal | None = None if everything else row.decimal("quantity")
    note = row.text("note", 500)
    started_at, finished_at = (_moment(row, column, worked_on, zones) for column in ("started_at", "finished_at"))
    if len(row.mistakes) > before or worked_on is None or shares is None or (quantity is None and not everything):
        return None
    return EntryRequest(
        uuid, unit, worked_on, quantity, shares, now, note, started_at=started_at, finished_at=finished_at
    )


def _moment(row: Row, column: str, day: date | None, zones: Mapping[str, str]) -> datetime | None:
    """A time of the day worked by the job's own clock, if the row has one."""
    minutes, zone = row.minutes(column), zones.get(row.text("job"))
    if minutes is None or day is None or zone is None:
        return None
    try:
        return moment_on(day, minutes, zone)
    except NoMoment as wrong:
        row.note(column, str(wrong))
        return None


def _units(codes: set[str]) -> dict[tuple[str, ...], int]:
    """Work units of the jobs named in the file, by job, level, wall, operation, face, layer and opening."""
    units = WorkUnit.objects.filter(job__code__in=codes).values_list(
        "pk", "job__code", "level__name", "wall__mark", "operation__code", "face", "layer", "opening"
    )
    return {tuple(str(part or "") for part in found): pk for pk, *found in units.iterator(chunk_size=2000)}


def _unit(row: Row, units: Mapping[tuple[str, ...], int]) -> int | None:
    place = ("job", "level", "wall", "operation", "face", "layer", "opening")
    wanted = tuple(row.text(column) for column in place)
    unit = units.get((*wanted[:5], "" if wanted[5] == "0" else wanted[5], wanted[6]))
    if unit is None:
        said = ", ".join(f"{column} {value}" for column, value in zip(place, wanted, strict=True) if value)
        row.note("wall", f"no work unit has {said}. Compare it with the job's list of work units.")
    return unit


def _shares(row: Row, people: Mapping[str, int], crews: Mapping[str, int]) -> SharesAsked | None:
    """A crew by name, or people by number, as 101; 102 or with weights, as 101:2; 102:1."""
    crew, named = row.text("crew", 80), row.text("people", 500)
    if bool(crew) == bool(named):
        row.note("people", "an entry is shared by a crew or by the people named. Fill one of both columns.")
        return None
    if crew:
        found = _find(row, "crew", crews, "name")
        return None if found is None else SharesAsked(crew=found)
    asked = [_share(row, part, people) for part in named.split(";")]
    weighted = [one.weight is not None for one in asked if one is not None]
    if None in asked:
        return None
    if any(weighted) != all(weighted):
        row.note("people", f"{named[:80]!r} gives a weight to some only. Give every person one, or none.")
        return None
    return SharesAsked("weight" if all(weighted) else "equal", people=tuple(one for one in asked if one is not None))


def _share(row: Row, part: str, people: Mapping[str, int]) -> PersonAsked | None:
    match = _SHARE.fullmatch(part)
    if match is None:
        row.note("people", f"{part[:40]!r} is no share. Write numbers as 101; 102, with weights as 101:2; 102:1.")
        return None
    person = people.get(match[1].strip())
    if person is None:
        row.note("people", f"person {match[1].strip()} was not found. Give the number of a person of yours.")
        return None
    return PersonAsked(person, None if match[2] is None else Decimal(match[2]))


def _find(row: Row, column: str, known: Mapping[str, int], what: str) -> int | None:
    value = row.text(column)
    if value and value not in known:
        row.note(column, f"{column} {value!r} was not found. Give the {what} of one of yours.")
    return known.get(value)
