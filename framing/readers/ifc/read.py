"""An IFC file's walls as a `Model`: every wall measured, or left out with its GlobalId and the reason."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from framing.plan import Mistake, PlanMistakes
from framing.readers.ifc.frames import Entity
from framing.readers.ifc.levels import Levels, levels_of, levels_without_storeys, storey_of
from framing.readers.ifc.opened import BROKEN, open_ifc
from framing.readers.ifc.units import NoUnit, Units, units_of
from framing.readers.ifc.walls import Measured, measure, on_level, what_is
from framing.readers.models.values import (
    LeftOut,
    Model,
    ModelJoint,
    ModelWall,
    NotTaken,
    damage,
    damaged_file,
    printable,
)

MOST_WALLS = 20_000
_ENDS = {"ATSTART": 0, "ATEND": 1}


def read_ifc(path: Path, name: str) -> Model:
    """Read every wall of a file. Raises PlanMistakes where the file as a whole cannot be read."""
    file, errors = open_ifc(path, name)
    try:
        units = _units(file)
        walls = list(file.by_type("IfcWall"))
        storeys = list(file.by_type("IfcBuildingStorey"))
    except NoUnit as error:
        raise PlanMistakes(
            [Mistake("the model", "", "", str(error), "Set the unit and export it again.")], name
        ) from None
    except BROKEN as error:
        raise PlanMistakes([_damaged(error)], name) from None
    if len(walls) > MOST_WALLS:
        reason = f"has {len(walls):,} walls, more than the {MOST_WALLS:,} that are read"
        raise PlanMistakes([Mistake("the model", "", "", reason, "Export the storeys one by one.")], name)
    left_out: list[LeftOut] = []
    measured = _measured(walls, units, left_out)
    try:
        levels = levels_of(storeys, units)
        joints = _joints(file)
    except BROKEN as error:
        raise PlanMistakes([_damaged(error)], name) from None
    known = levels if levels.levels else levels_without_storeys([one.base for _, one in measured])
    placed = _placed(measured, known, left_out)
    taken = [replace(wall, joints=tuple(joints[wall.id])) for wall in placed]
    left_out += _others(file)
    return Model(
        name=name,
        kind=str(file.schema_identifier),
        unit=units.name,
        is_imperial=units.is_imperial,
        levels=known.levels,
        walls=tuple(taken),
        elements=len(walls),
        left_out=tuple(left_out),
        cautions=damaged_file(name, errors),
    )


def _damaged(error: Exception) -> Mistake:
    return Mistake("the model", "", "", f"is damaged: {damage(error)}", "Export it again.")


def _units(file: Entity) -> Units:
    projects = file.by_type("IfcProject")
    assigned = [project.UnitsInContext for project in projects if project.UnitsInContext is not None]
    return units_of(assigned[0] if assigned else None)


def _measured(walls: list[Entity], units: Units, left_out: list[LeftOut]) -> list[tuple[Entity, Measured]]:
    found = []
    seen: set[str] = set()
    for element in walls:
        own = what = f"#{element.id()}"
        try:
            own, what = printable(element.GlobalId), what_is(element)
            if own in seen:
                raise NotTaken(f"has a GlobalId that another wall has already (#{element.id()} in the file)")
            seen.add(own)
            whole = next(
                (one.RelatingObject for one in element.Decomposes or () if one.RelatingObject.is_a("IfcWall")), None
            )
            if whole is not None:
                raise NotTaken(f"is a part of wall {whole.GlobalId} and is counted with it")
            openings: list[LeftOut] = []
            found.append((element, measure(element, units, openings)))
            left_out += openings
        except NotTaken as why:
            left_out.append(LeftOut(own, what, str(why)))
        except BROKEN as error:
            left_out.append(LeftOut(own, what, _unread(error)))
    return found


def _unread(error: Exception) -> str:
    return f"cannot be read: {damage(error)}"


def _placed(measured: list[tuple[Entity, Measured]], levels: Levels, left_out: list[LeftOut]) -> Iterator[ModelWall]:
    for element, one in measured:
        try:
            storey = storey_of(element)
            stated = levels.by_storey.get(storey.id()) if storey is not None else None
        except BROKEN as error:
            left_out.append(LeftOut(one.wall.id, one.wall.what, _unread(error)))
            continue
        level = levels.of(stated, one.base, one.top)
        notes: tuple[tuple[str, str], ...] = ()
        if stated is not None and stated is not level:
            notes = (
                (
                    "other level",
                    f"is filed under {stated.name}; most of it stands on {level.name}, where it is counted",
                ),
            )
        yield on_level(one, level.name, level.floor, notes)


def _joints(file: Entity) -> dict[str, list[ModelJoint]]:
    """Joints that the file states, by wall: which end meets which other wall."""
    found: dict[str, list[ModelJoint]] = defaultdict(list)
    for one in file.by_type("IfcRelConnectsPathElements"):
        with suppress(*BROKEN):  # a joint that cannot be read is found from the walls' own geometry
            first, second = one.RelatingElement, one.RelatedElement
            pairs = ((first, one.RelatingConnectionType, second), (second, one.RelatedConnectionType, first))
            for wall, place, other in pairs:
                if place in _ENDS:
                    found[printable(wall.GlobalId)].append(ModelJoint(_ENDS[place], printable(other.GlobalId)))
    return found


def _others(file: Entity) -> Iterator[LeftOut]:
    """Elements beside walls that someone might miss in the count."""
    for kind in ("IfcCurtainWall", "IfcRelVoidsElement", "IfcDoor", "IfcWindow"):
        for element in file.by_type(kind):
            try:
                reason, subject = _missed(element)
                if reason:
                    yield LeftOut(str(subject.GlobalId), what_is(subject), reason)
            except BROKEN as error:
                yield LeftOut(f"#{element.id()}", kind, _unread(error))


def _missed(element: Entity) -> tuple[str, Entity]:
    """Why an element beside walls is not counted, empty where it is; and the element to name."""
    if element.is_a("IfcCurtainWall"):
        return "is a curtain wall, not a framed partition", element
    if element.is_a("IfcRelVoidsElement"):
        host = element.RelatingBuildingElement
        reason = "" if host.is_a("IfcWall") else f"is an opening in an {host.is_a()}, which is no wall"
        return reason, element.RelatedOpeningElement
    return "" if element.FillsVoids else "stands in no opening of a wall; nothing is framed for it", element
