"""What a foreman chooses from when he logs: walls with work left, their open work units, his crews and people."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import F, Q, QuerySet

from jobs.actors import Actor
from jobs.models import CrewMember, Person, WorkUnit
from jobs.refusals import not_found
from jobs.selectors.job_sheet import JobLine, job_line
from jobs.selectors.reach import crews_of, people_of, work_units_of
from jobs.selectors.unit_states import UnitRow, unit_rows


@dataclass(frozen=True, slots=True)
class WallChoice:
    """A wall that has work left, and how many of its work units do."""

    id: int
    mark: str
    open_units: int


@dataclass(frozen=True, slots=True)
class LevelChoice:
    name: str
    walls: tuple[WallChoice, ...]
    level_units: tuple[UnitRow, ...]


@dataclass(frozen=True, slots=True)
class PersonChoice:
    id: int
    name: str
    number: str


@dataclass(frozen=True, slots=True)
class CrewChoice:
    """A crew and its active people; `weighted` where they do not all have the same weight."""

    id: int
    name: str
    people: tuple[PersonChoice, ...]
    weighted: bool

    @property
    def value(self) -> str:
        """How a form names it."""
        return f"crew {self.id}"


@dataclass(frozen=True, slots=True)
class Team:
    """The crews and people whom the actor may name."""

    crews: tuple[CrewChoice, ...]
    people: tuple[PersonChoice, ...]


def walls_to_log(actor: Actor, job: int) -> tuple[JobLine, tuple[LevelChoice, ...]]:
    """Levels and walls of a job with work left. Raises NotFound."""
    line = job_line(actor, job)
    units = unit_rows(WorkUnit.objects.filter(job=job, done__lt=F("measured")))
    levels: defaultdict[str, list[UnitRow]] = defaultdict(list)
    for unit in units:
        levels[unit.level].append(unit)
    return line, tuple(_level(name, of) for name, of in levels.items())


def _level(name: str, units: Sequence[UnitRow]) -> LevelChoice:
    walls: defaultdict[tuple[int, str], int] = defaultdict(int)
    for unit in units:
        if unit.wall is not None:
            walls[unit.wall, unit.mark] += 1
    return LevelChoice(
        name,
        tuple(WallChoice(pk, mark, count) for (pk, mark), count in walls.items()),
        tuple(unit for unit in units if unit.wall is None),
    )


def units_to_log(actor: Actor, job: int, wall: int) -> list[UnitRow]:
    """All work units of a wall, done ones too. Raises NotFound."""
    job_line(actor, job)
    units = unit_rows(WorkUnit.objects.filter(job=job, wall=wall))
    if not units:
        raise not_found("wall", "wall with work units,", wall)
    return units


def unit_to_log(actor: Actor, unit: int) -> UnitRow:
    """Raises NotFound."""
    rows = unit_rows(work_units_of(actor).filter(pk=unit))
    if not rows:
        raise not_found("work_unit", "work unit", unit)
    return rows[0]


def team_of(actor: Actor, on: date) -> Team:
    """Crews and people employed on a day: all for the office; a foreman's own crews, their people and himself."""
    crews = crews_of(actor).order_by("name")
    people = _employed(people_of(actor).order_by("name", "pk"), on)
    known = {row.pk: PersonChoice(row.pk, row.name, row.number) for row in people}
    members: defaultdict[int, list[tuple[int, Decimal]]] = defaultdict(list)
    places = CrewMember.objects.filter(crew__in=crews, active=True).order_by("person__name")
    for crew, person, weight in places.values_list("crew_id", "person_id", "weight"):
        members[crew].append((person, weight))
    choices = tuple(
        CrewChoice(
            crew.pk,
            crew.name,
            tuple(known[person] for person, _ in members[crew.pk] if person in known),
            len({weight for _, weight in members[crew.pk]}) > 1,
        )
        for crew in crews
        if members[crew.pk]
    )
    return Team(choices, tuple(known.values()))


def _employed(people: QuerySet[Person], on: date) -> QuerySet[Person]:
    return people.filter(Q(left_on__isnull=True) | Q(left_on__gte=on), started_on__lte=on)
