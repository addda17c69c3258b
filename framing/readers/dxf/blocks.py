"""Inserted blocks as openings: jambs from the block's own outline or the mapping file, on the nearest wall line."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from framing.length import TICKS_PER_MM, LengthMistake, parse_length
from framing.readers.dxf.lines import Entity
from framing.readers.dxf.opened import BROKEN, IMPERIAL
from framing.readers.models.exact import shown
from framing.readers.models.lines import SNAP
from framing.readers.models.mapping import BlockRow
from framing.readers.models.values import ModelOpening, ModelWall, NotTaken, Vec

_PARALLEL = math.sin(math.radians(1))


def jambs_of(block: Any) -> tuple[float, float] | None:
    """The extent of a block's content along its own x from its base point, in the drawing's unit; None if empty."""
    from ezdxf import bbox

    try:
        box = bbox.extents(block, fast=False)
        if not box.has_data:
            return None
        base = float(block.block.dxf.base_point[0])
        low, high = float(box.extmin.x) - base, float(box.extmax.x) - base
    except BROKEN:
        return None
    return (low, high) if math.isfinite(low) and math.isfinite(high) and high > low else None


def opening_at(
    insert: Entity, row: BlockRow, drawing: Any, unit: str, mm: float, walls: list[ModelWall]
) -> tuple[str, ModelOpening]:
    """The wall that an inserted block stands in, and its opening there. Raises NotTaken."""
    if insert.mcount > 1:
        raise NotTaken("is an array of blocks; explode it")
    stated = _attributes(insert, unit)
    low, high = _jambs(insert, row, drawing, mm)
    if "WIDTH" in stated:
        high = low + stated["WIDTH"] / (abs(float(insert.dxf.xscale)) or 1.0)
    height = stated.get("HEIGHT", None if row.height is None else row.height / TICKS_PER_MM)
    if height is None:
        raise NotTaken(f"has no height: write it for block {row.block} in the types file")
    sill = stated.get("SILL", row.sill / TICKS_PER_MM)
    base = drawing.blocks.get(insert.dxf.name).block.dxf.base_point
    matrix = insert.matrix44()
    ends = []
    for x in (low, high):
        point = matrix.transform((float(base[0]) + x / mm, float(base[1]), float(base[2])))
        ends.append(Vec(float(point[0]) * mm, float(point[1]) * mm))
    wall = _wall_at(ends[0], ends[1], walls)
    us = sorted((wall.along(ends[0]), wall.along(ends[1])))
    return wall.id, ModelOpening(str(insert.dxf.handle), row.kind, us[0], us[1], sill, sill + height)


def with_opening(wall: ModelWall, opening: ModelOpening) -> ModelWall:
    """The wall with one more opening, in their order along it."""
    return replace(wall, openings=tuple(sorted((*wall.openings, opening), key=lambda one: (one.start, one.id))))


def _jambs(insert: Entity, row: BlockRow, drawing: Any, mm: float) -> tuple[float, float]:
    """Both jambs along the block's own x, mm, before the insert's scale."""
    if row.start is not None and row.end is not None:
        return row.start / TICKS_PER_MM, row.end / TICKS_PER_MM
    found = jambs_of(drawing.blocks.get(insert.dxf.name))
    if found is None:
        raise NotTaken(f"shows no width: write from and to for block {row.block} in the types file")
    return found[0] * mm, found[1] * mm


def _attributes(insert: Entity, unit: str) -> dict[str, float]:
    """Lengths that the insert's own attributes WIDTH, HEIGHT and SILL state, mm."""
    found = {}
    for one in insert.attribs:
        tag = str(one.dxf.tag).strip().upper()
        if tag not in ("WIDTH", "HEIGHT", "SILL"):
            continue
        text = str(one.dxf.text).strip()
        try:
            bare = text.replace(".", "", 1).isdigit()
            ticks = parse_length(f"{text} mm" if bare and unit not in IMPERIAL else text)
        except LengthMistake as why:
            raise NotTaken(f"states a {tag.lower()} of {text[:20]!r}, which {str(why).partition('.')[0]}") from None
        if ticks < 0 or (ticks == 0 and tag != "SILL"):
            raise NotTaken(f"states a {tag.lower()} of {text[:20]!r}, which is none")
        found[tag] = ticks / TICKS_PER_MM
    return found


def _wall_at(start: Vec, end: Vec, walls: list[ModelWall]) -> ModelWall:
    width = math.hypot(end.x - start.x, end.y - start.y)
    if not width > 1.0 or not math.isfinite(width):
        raise NotTaken("shows no width at its scale")
    across = Vec((end.x - start.x) / width, (end.y - start.y) / width)
    best: tuple[float, ModelWall] | None = None
    nearest = math.inf
    for wall in walls:
        if abs(wall.direction.x * across.y - wall.direction.y * across.x) > _PARALLEL:
            continue
        us = (wall.along(start), wall.along(end))
        if min(us) > wall.end or max(us) < wall.start:
            continue
        aside = max(abs(wall.beside(point) - (wall.left + wall.right) / 2) for point in (start, end))
        nearest = min(nearest, aside)
        if aside <= wall.thickness / 2 + SNAP and (best is None or aside < best[0]):
            best = (aside, wall)
    if best is None:
        how = f" (the nearest that runs with it is {shown(nearest)} away)" if math.isfinite(nearest) else ""
        raise NotTaken(f"stands in no wall line{how}")
    return best[1]
