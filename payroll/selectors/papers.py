"""How far a week's papers are: its parts, and which of them are made; and whose crew gets which."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from jobs.models import CrewMember
from payroll.models import PapersPart, Statement

# Small enough that progress is seen and a worker that dies loses seconds; large enough that parts are few.
PER_PART = 100


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a week's papers, from 1, with the number of statements in it."""

    part: int
    statements: int
    made: bool


@dataclass(frozen=True, slots=True)
class Progress:
    """Statements of a week, those on paper, and the parts."""

    parts: tuple[Part, ...]

    @property
    def statements(self) -> int:
        return sum(part.statements for part in self.parts)

    @property
    def made(self) -> int:
        return sum(part.statements for part in self.parts if part.made)

    @property
    def done(self) -> bool:
        return bool(self.parts) and all(part.made for part in self.parts)


def papers_progress(*, pay_week: int) -> Progress:
    return Progress(parts_of(pay_week))


def parts_of(pay_week: int) -> tuple[Part, ...]:
    """The parts of a closed week, in order."""
    total = Statement.objects.filter(paid_in_id=pay_week).count()
    made = set(PapersPart.objects.filter(pay_week_id=pay_week).values_list("part", flat=True))
    sizes = [min(PER_PART, total - start) for start in range(0, total, PER_PART)]
    return tuple(Part(number, size, number in made) for number, size in enumerate(sizes, start=1))


def part_numbers(pay_week: int, part: int) -> list[int]:
    """Numbers of the statements of one part, in the order of the chain; none for a part that is not there."""
    if part < 1:
        return []
    numbers = Statement.objects.filter(paid_in_id=pay_week).order_by("number").values_list("number", flat=True)
    return list(numbers[(part - 1) * PER_PART : part * PER_PART])


def part_crews(numbers: list[int]) -> list[tuple[str, ...]]:
    """The crews in which the person of each statement works now, by name: one, several, or none."""
    people = dict(Statement.objects.filter(number__in=numbers).values_list("number", "person"))
    crews: defaultdict[int, list[str]] = defaultdict(list)
    places = CrewMember.objects.filter(active=True, person__in=people.values()).order_by("crew__name")
    for person, crew in places.values_list("person", "crew__name"):
        crews[person].append(crew)
    return [tuple(crews[people[number]]) for number in numbers]
