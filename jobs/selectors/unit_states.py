"""The state of work units, in the trade's plain words: open, part done, done, accepted, reopened."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import OuterRef, QuerySet, Subquery

from jobs.models import Inspection, WorkUnit

OPEN, PART, DONE, ACCEPTED, REOPENED = "open", "part done", "done", "accepted", "reopened"


@dataclass(frozen=True, slots=True)
class UnitRow:
    """One work unit with its state, quantities in `unit`. `left` is 0 where a newer plan measures less than is done."""

    id: int
    job: int
    level: str
    wall: int | None
    mark: str
    operation: int
    position: int
    name: str
    unit: str
    face: str
    layer: int
    opening: str
    measured: Decimal
    done: Decimal
    because: tuple[dict[str, str], ...]
    state: str

    @property
    def left(self) -> Decimal:
        return max(self.measured - self.done, Decimal(0))

    @property
    def over(self) -> Decimal:
        """How much more is done than the newest plan measures."""
        return max(self.done - self.measured, Decimal(0))

    @property
    def part(self) -> str:
        return part_words(self.face, self.layer, self.opening)


def part_words(face: str, layer: int, opening: str) -> str:
    """The part of a wall in words: 'left face, layer 2', 'opening D1'; empty for the whole wall."""
    words = [f"{face} face" if face in {"left", "right"} else face] if face else []
    words += [f"layer {layer}"] if layer else []
    words += [f"opening {opening}"] if opening else []
    return ", ".join(words)


def state_of(measured: Decimal, done: Decimal, verdict: str | None) -> str:
    """`verdict` is that of the last inspection, if there was one."""
    if verdict == ACCEPTED:
        return ACCEPTED
    if verdict == REOPENED:
        return REOPENED
    if done <= 0:
        return OPEN
    return DONE if done >= measured else PART


def state_of_all(states: Iterable[str]) -> str:
    """One word for several work units together; a reopened one is never hidden by the others."""
    found = set(states)
    if REOPENED in found:
        return REOPENED
    if len(found) == 1:
        return found.pop()
    return DONE if found <= {DONE, ACCEPTED} else PART


def unit_rows(units: QuerySet[WorkUnit]) -> list[UnitRow]:
    """Rows in the order of levels, walls, operations and parts, with what a plan still has or what was ever done."""
    last = Inspection.objects.filter(work_unit=OuterRef("pk")).order_by("-pk").values("verdict")[:1]
    columns = (
        "pk", "job_id", "level__name", "wall_id", "wall__mark", "operation_id", "operation__position",
        "operation__name", "operation__unit", "face", "layer", "opening", "measured", "done", "because", "verdict",
    )  # fmt: skip
    rows = (
        units.annotate(verdict=Subquery(last))
        .exclude(measured=0, done=0)
        .order_by(
            "level__position", "wall__mark", "operation__position", "operation_id", "face", "layer", "opening", "pk"
        )
        .values_list(*columns)
    )
    return [_row(*row) for row in rows]


def _row(*row: Any) -> UnitRow:
    pk, job, level, wall, mark, operation, position, name, unit, face, layer, opening, *state = row
    measured, done, because, verdict = state
    return UnitRow(
        id=pk,
        job=job,
        level=level,
        wall=wall,
        mark=mark or "",
        operation=operation,
        position=position,
        name=name,
        unit=unit,
        face=face,
        layer=layer,
        opening=opening,
        measured=measured,
        done=done,
        because=tuple(because or ()),
        state=state_of(measured, done, verdict),
    )
