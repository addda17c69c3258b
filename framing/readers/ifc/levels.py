"""Storeys of a model as levels, and the level on whose floor a wall stands."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from framing.readers.ifc.frames import Entity, placement_of
from framing.readers.ifc.units import Units
from framing.readers.models.values import ModelLevel, NotTaken, printable
from framing.readers.models.walls import NEAR_FLOOR
from framing.readers.reading import LONGEST_MARK

_DEEPEST = 20
_NO_STOREY_STEP = 1000.0


@dataclass(frozen=True, slots=True)
class Levels:
    """Levels from the lowest floor up; `by_storey` by the storey's id in the file."""

    levels: tuple[ModelLevel, ...]
    by_storey: dict[int, ModelLevel]

    def of(self, stated: ModelLevel | None, base: float, top: float) -> ModelLevel:
        """The level of a wall from `base` to `top`: the stated one if it stands there, else the one on whose floor it
        stands, else the one in which most of its height lies.
        """
        if stated is not None and abs(base - stated.floor) <= NEAR_FLOOR:
            return stated
        standing = [
            level for level in self.levels if abs(base - level.floor) <= NEAR_FLOOR and base + top > 2 * level.floor
        ]
        if standing:
            return min(standing, key=lambda level: abs(base - level.floor))
        floors = [float("-inf"), *(level.floor for level in self.levels[1:]), float("inf")]
        heights = [min(top, above) - max(base, floor) for floor, above in pairwise(floors)]
        return self.levels[heights.index(max(heights))]


def levels_of(storeys: list[Entity], units: Units) -> Levels:
    """All storeys with their floors. One that cannot be placed stands at its own elevation."""
    found: list[tuple[float, int, ModelLevel]] = []
    names: set[str] = set()
    for number, storey in enumerate(storeys, 1):
        try:
            floor = placement_of(storey).origin[2] * units.length
        except NotTaken:
            floor = float(storey.Elevation or 0.0) * units.length
        name = _own_name(str(storey.Name or storey.LongName or f"Storey {number}"), names)
        found.append((floor, storey.id(), ModelLevel(name, floor)))
    found.sort(key=lambda item: (item[0], item[1]))
    return Levels(tuple(level for _, _, level in found), {number: level for _, number, level in found})


def levels_without_storeys(bases: list[float]) -> Levels:
    """Levels from the heights at which walls stand, for a file that has no storey."""
    floors: list[float] = []
    for base in sorted(bases):
        if not floors or base - floors[-1] > _NO_STOREY_STEP:
            floors.append(base)
    names = ["Whole model"] if len(floors) == 1 else [f"Floor {number}" for number in range(1, len(floors) + 1)]
    return Levels(tuple(ModelLevel(name, floor) for name, floor in zip(names, floors, strict=True)), {})


def storey_of(element: Entity) -> Entity | None:
    """The storey that holds an element, or one that it is a part of; None where it is in none."""
    holder: Entity | None = element
    for _ in range(_DEEPEST):
        if holder is None or holder.is_a("IfcBuildingStorey"):
            return holder
        links = getattr(holder, "ContainedInStructure", None) or ()
        wholes = getattr(holder, "Decomposes", None) or ()
        if links:
            holder = links[0].RelatingStructure
        elif wholes:
            holder = wholes[0].RelatingObject
        else:
            return None
    return None


def _own_name(name: str, names: set[str]) -> str:
    shown = printable(name, LONGEST_MARK).strip() or "Storey"
    number = 1
    own = shown
    while own in names:
        number += 1
        own = f"{shown[: LONGEST_MARK - 4]} {number}"
    names.add(own)
    return own
