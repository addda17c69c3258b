"""A wall as a sheet: its pieces as the newest plan counts them, its work units, and the entries that stand on it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import OuterRef, Subquery

from jobs.actors import Actor
from jobs.models import Inspection, InspectionNote, Wall, WallVersion, WorkUnit
from jobs.refusals import not_found
from jobs.selectors.entry_sheet import EntryRow, entry_rows
from jobs.selectors.job_sheet import JobLine
from jobs.selectors.reach import entries_of, jobs_of
from jobs.selectors.unit_states import UnitRow, part_words, unit_rows


@dataclass(frozen=True, slots=True)
class StudGroup:
    """Studs of one role and length. Lengths and places in decimal inches, as text."""

    role: str
    length: str
    places: tuple[str, ...]

    @property
    def count(self) -> int:
        return len(self.places)


@dataclass(frozen=True, slots=True)
class InspectionRow:
    """One inspection of a work unit of the wall; the reason is empty where it was accepted, or forgotten."""

    inspected_on: date
    name: str
    part: str
    verdict: str
    reason: str


@dataclass(frozen=True, slots=True)
class WallSheet:
    """A wall of the newest revision that draws it. JSON of pieces, faces and counts is as the take-off prints it."""

    id: int
    mark: str
    level: str
    job: JobLine
    revision: int
    type_name: str
    geometry: dict[str, Any]
    counts: dict[str, Any]
    reasons: dict[str, list[dict[str, Any]]]
    faces: tuple[dict[str, Any], ...]
    track: tuple[dict[str, Any], ...]
    studs: tuple[dict[str, Any], ...]
    stud_groups: tuple[StudGroup, ...]
    sheets: tuple[dict[str, Any], ...]
    junctions: tuple[dict[str, Any], ...]
    cautions: tuple[dict[str, Any], ...]
    units: tuple[UnitRow, ...]
    entries: tuple[EntryRow, ...]
    inspections: tuple[InspectionRow, ...]


@dataclass(frozen=True, slots=True)
class KeptWalls:
    """What is kept of a wall and of the walls it meets, as (geometry, pieces), to draw it."""

    mark: str
    level: str
    unit_system: str
    walls: tuple[tuple[dict[str, Any], dict[str, Any]], ...]


def kept_walls(actor: Actor, job: int, wall: int) -> KeptWalls:
    """Raises NotFound as `wall_sheet` does. Neighbours are those of the wall's own newest revision."""
    found = _found(actor, job, wall)
    version = _newest(found)
    if version is None:
        return KeptWalls(found.mark, found.level.name, found.job.unit_system, ())
    met = {mark for junction in version.pieces.get("junctions", ()) for mark in junction["walls"]} - {found.mark}
    beside = WallVersion.objects.filter(revision=version.revision_id, wall__level=found.level_id, wall__mark__in=met)
    walls = [(one.geometry, one.pieces) for one in (version, *beside.order_by("pk"))]
    return KeptWalls(found.mark, found.level.name, found.job.unit_system, tuple(walls))


def wall_sheet(actor: Actor, job: int, wall: int) -> WallSheet:
    """Raises NotFound. A worker reaches the walls he has a share on, and sees his own entries alone."""
    found = _found(actor, job, wall)
    version = _newest(found)
    pieces = version.pieces if version else {}
    place = found.job
    return WallSheet(
        id=found.pk,
        mark=found.mark,
        level=found.level.name,
        job=JobLine(
            place.pk, place.name, place.code, place.address, place.time_zone, place.unit_system, place.started_on
        ),
        revision=version.revision.number if version else 0,
        type_name=version.type_name if version else "",
        geometry=version.geometry if version else {},
        counts=version.counts if version else {},
        reasons=pieces.get("because", {}),
        faces=tuple(version.faces) if version else (),
        track=tuple(pieces.get("track_pieces", ())),
        studs=tuple(pieces.get("studs", ())),
        stud_groups=stud_groups(pieces.get("studs", ())),
        sheets=tuple(pieces.get("sheets", ())),
        junctions=tuple(pieces.get("junctions", ())),
        cautions=tuple(pieces.get("cautions", ())),
        units=tuple(unit_rows(WorkUnit.objects.filter(wall=found))),
        entries=tuple(entry_rows(actor, work_unit__wall=found)),
        inspections=() if actor.role == "worker" else tuple(_inspections(found)),
    )


def _found(actor: Actor, job: int, wall: int) -> Wall:
    found = Wall.objects.filter(pk=wall, job=job).select_related("level", "job").first()
    if found is None or not _in_reach(actor, found):
        raise not_found("wall", "wall", wall)
    return found


def _newest(wall: Wall) -> WallVersion | None:
    return WallVersion.objects.filter(wall=wall).select_related("revision").order_by("-revision__number").first()


def _inspections(wall: Wall) -> Iterable[InspectionRow]:
    """Newest first."""
    note = InspectionNote.objects.filter(inspection=OuterRef("pk")).values("text")[:1]
    for one in (
        Inspection.objects.filter(work_unit__wall=wall)
        .annotate(reason=Subquery(note))
        .select_related("work_unit__operation")
        .order_by("-pk")
    ):
        unit = one.work_unit
        part = part_words(unit.face, unit.layer, unit.opening)
        yield InspectionRow(one.inspected_on, unit.operation.name, part, one.verdict, one.reason or "")


def _in_reach(actor: Actor, wall: Wall) -> bool:
    if actor.role == "worker":
        return entries_of(actor).filter(work_unit__wall=wall).exists()
    return jobs_of(actor).filter(pk=wall.job_id).exists()


def stud_groups(studs: Iterable[dict[str, Any]]) -> tuple[StudGroup, ...]:
    """Studs by role and length, in the order in which the take-off brings the roles."""
    places: defaultdict[tuple[str, str], list[str]] = defaultdict(list)
    for stud in studs:
        places[stud["role"], stud["length"]].append(stud["at"])
    return tuple(StudGroup(role, length, tuple(at)) for (role, length), at in places.items())
