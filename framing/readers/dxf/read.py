"""A drawing's walls as a `Model`: every line on a layer of walls taken, or left out by its handle with the reason."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from framing.length import TICKS_PER_MM
from framing.pieces import Caution
from framing.plan import Mistake, PlanMistakes
from framing.readers.dxf.blocks import opening_at, with_opening
from framing.readers.dxf.lines import LINES, Entity, Segment, layer_of, segments_of
from framing.readers.dxf.opened import BROKEN, IMPERIAL, MM_PER_UNIT, WORDS, damaged, open_dxf, unit_of
from framing.readers.dxf.propose import proposed_layers
from framing.readers.models.exact import shown
from framing.readers.models.mapping import LayerRow, ModelTypes, Steel, TypeRow
from framing.readers.models.values import (
    LeftOut,
    Model,
    ModelLevel,
    ModelWall,
    NotTaken,
    Vec,
    damage,
    damaged_file,
    printable,
    unit_vector,
)

_SAME = 0.5  # mm
_FACES = (40.0, 400.0)  # mm between two lines that may be the two faces of one wall


def read_dxf(path: Path, types: ModelTypes | None) -> tuple[Model, ModelTypes]:
    """Read a drawing by a mapping file, or by the proposal for it; the second value has the layers as kinds of wall.

    Raises PlanMistakes where the drawing cannot be read whole, or does not say its unit or its walls' heights.
    """
    drawing, errors = open_dxf(path)
    types = types if types is not None else proposed_layers(drawing, path.name)
    unit = unit_of(drawing)
    _check(path.name, types, unit)
    used = types.drawing_unit or unit
    cautions = list(damaged_file(path.name, errors))
    if unit and unit != used:
        text = f"{path.name}: the drawing says {unit}, {types.source} says {used}; {used} is used. Check one length."
        cautions.append(Caution("unit", text, ()))
    try:
        walls, left_out, elements = _read(drawing, types, used)
        cautions += _two_lines(path.name, walls)
        kind = f"DXF {drawing.acad_release}"
    except BROKEN as error:
        raise damaged(path.name, error) from None
    names = dict.fromkeys(row.level for row in types.layers if row.take)
    levels = tuple(ModelLevel(name, 0.0) for name in names)
    model = Model(
        path.name, kind, WORDS[used], used in IMPERIAL, levels, tuple(walls), elements, tuple(left_out), tuple(cautions)
    )
    return model, _as_kinds(types)


def _check(name: str, types: ModelTypes, unit: str) -> None:
    found = []
    hint = "The command takeoff prints a types file with --propose-types; write it there and give it with --types."
    if not types.drawing_unit and not unit:
        found.append(Mistake("the drawing", "unit", "", "is not said", f"{hint} Its key is drawing_unit."))
    for row in types.layers:
        if row.take and row.height is None:
            reason = "is not said, and a drawing's lines have none"
            found.append(Mistake(f"layer {row.layer}", "height", "", reason, hint))
    if not any(row.take for row in types.layers):
        found.append(Mistake("the drawing", "layers", "", "name no layer of walls", hint))
    if found:
        raise PlanMistakes(found, name)


def _as_kinds(types: ModelTypes) -> ModelTypes:
    rows = tuple(
        TypeRow(row.layer, (), row.take, (Steel(0, row.type),), row.because) for row in types.layers if row.take
    )
    by_kind = {(row.model_type, row.flags): row for row in rows}
    return ModelTypes(types.source, types.wall_types, rows, types.layers, types.blocks, types.drawing_unit, by_kind)


def _read(drawing: Any, types: ModelTypes, unit: str) -> tuple[list[ModelWall], list[LeftOut], int]:
    mm = MM_PER_UNIT[unit]
    rows = {row.layer.lower(): row for row in types.layers}
    left_out: list[LeftOut] = []
    segments: list[tuple[Segment, LayerRow, str]] = []
    inserts = []
    others: Counter[str] = Counter()
    for entity in drawing.modelspace():
        layer = layer_of(entity)
        row = rows.get(layer.lower())
        if entity.dxftype() == "INSERT":
            inserts.append(entity)
        elif row is None or not row.take:
            others[layer] += 1
        else:
            segments += [(one, row, f"{entity.dxftype()} on layer {layer}") for one in _taken(entity, mm, left_out)]
    walls: dict[str, ModelWall] = {}
    for segment, row, what in _once(segments, left_out):
        walls[segment.id] = _wall(segment, row, what, types)
    _openings(drawing, inserts, types, unit, walls, left_out)
    for layer, number in others.items():
        row = rows.get(layer.lower())
        reason = (row.because if row is not None else "") or f"is a layer that {types.source} does not take"
        what = "1 entity" if number == 1 else f"{number} entities"
        left_out.append(LeftOut(f"layer {layer}", what, reason))
    lines = sum(1 for one in left_out if one.what.partition(" on layer ")[0] in LINES)
    return list(walls.values()), left_out, len(walls) + lines


def _taken(entity: Entity, mm: float, left_out: list[LeftOut]) -> Iterator[Segment]:
    handle, what = str(entity.dxf.handle), f"{entity.dxftype()} on layer {layer_of(entity)}"
    try:
        for one in segments_of(entity, mm):
            if isinstance(one, NotTaken):
                left_out.append(LeftOut(handle, what, str(one)))
            else:
                yield one
    except NotTaken as why:
        left_out.append(LeftOut(handle, what, str(why)))
    except BROKEN as error:
        left_out.append(LeftOut(handle, what, f"cannot be read: {damage(error)}"))


def _once(
    segments: list[tuple[Segment, LayerRow, str]], left_out: list[LeftOut]
) -> Iterator[tuple[Segment, LayerRow, str]]:
    """Each line once: one drawn again from end to end is left out."""
    seen: dict[tuple[str, frozenset[tuple[int, int]]], str] = {}
    for segment, row, what in segments:
        ends = frozenset((round(end.x / _SAME), round(end.y / _SAME)) for end in (segment.start, segment.end))
        first = seen.setdefault((row.level, ends), segment.id)
        if first == segment.id:
            yield segment, row, what
        else:
            left_out.append(LeftOut(segment.id, what, f"is drawn twice: it lies on {first} from end to end"))


def _wall(segment: Segment, row: LayerRow, what: str, types: ModelTypes) -> ModelWall:
    kind = types.wall_types[row.type]
    web = kind.stud.web / TICKS_PER_MM
    thickness = web + sum(board.thickness for board in (*kind.left, *kind.right)) / TICKS_PER_MM
    middle = {"left": -web / 2, "right": web / 2}.get(row.line, 0.0)
    run = Vec(segment.end.x - segment.start.x, segment.end.y - segment.start.y)
    height = (row.height or 0) / TICKS_PER_MM
    return ModelWall(
        id=segment.id,
        what=what,
        tag=segment.id,
        type_name=row.layer,
        flags=(),
        level=row.level,
        origin=segment.start,
        direction=unit_vector(run.x, run.y),
        start=0.0,
        end=math.hypot(run.x, run.y),
        right=middle - thickness / 2,
        left=middle + thickness / 2,
        base=0.0,
        height_start=height,
        height_end=height,
    )


def _openings(
    drawing: Any,
    inserts: list[Entity],
    types: ModelTypes,
    unit: str,
    walls: dict[str, ModelWall],
    left_out: list[LeftOut],
) -> None:
    rows = {row.block.lower(): row for row in types.blocks}
    layers = {row.layer.lower() for row in types.layers if row.take}
    mm = MM_PER_UNIT[unit]
    for insert in inserts:
        raw = str(insert.dxf.name)
        name = printable(raw)
        what = f"INSERT of block {name}"
        row = rows.get(name.lower())
        try:
            if row is None or not row.take:
                block = drawing.blocks.get(raw)
                inside = {layer_of(one).lower() for one in block or () if one.dxftype() in ("LINE", "LWPOLYLINE")}
                if inside & layers:
                    raise NotTaken("is a block with wall lines in it; explode it")
                raise NotTaken((row.because if row else "") or f"is of a block that {types.source} does not take")
            own, opening = opening_at(insert, row, drawing, unit, mm, list(walls.values()))
            walls[own] = with_opening(walls[own], opening)
        except NotTaken as why:
            left_out.append(LeftOut(str(insert.dxf.handle), what, str(why)))
        except BROKEN as error:
            left_out.append(LeftOut(str(insert.dxf.handle), what, f"cannot be read: {damage(error)}"))


def _two_lines(name: str, walls: list[ModelWall]) -> Iterator[Caution]:
    """Parallel lines as far apart as the faces of a wall: a drawing of faces would count every wall twice."""
    by_turn: dict[tuple[str, int], list[tuple[float, ModelWall]]] = {}
    for wall in walls:
        turn = round(math.degrees(math.atan2(wall.direction.y, wall.direction.x)) % 180.0) % 180
        off = math.radians(turn)
        aside = wall.origin.y * math.cos(off) - wall.origin.x * math.sin(off)
        by_turn.setdefault((wall.level, turn), []).append((aside, wall))
    for group in by_turn.values():
        group.sort(key=lambda item: (item[0], item[1].id))
        for index, (aside, wall) in enumerate(group):
            for other_aside, other in group[index + 1 :]:
                if other_aside - aside > _FACES[1]:
                    break
                us = sorted((wall.along(other.at(other.start, 0.0)), wall.along(other.at(other.end, 0.0))))
                common = min(us[1], wall.end) - max(us[0], wall.start)
                if other_aside - aside >= _FACES[0] and common > 0.5 * min(wall.length, other.length):
                    text = (
                        f"{name}: lines {wall.id} and {other.id} run side by side, {shown(other_aside - aside)} apart. "
                    )
                    yield Caution(
                        "two lines",
                        text + "If they are the two faces of one wall, draw one line; both are counted.",
                        (),
                    )
