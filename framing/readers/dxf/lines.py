"""Straight lines of a drawing as segments in the plan, mm. The rest is left out by its handle."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import Any, NamedTuple, TypeAlias

from framing.readers.models.values import NotTaken, Vec, printable

Entity: TypeAlias = Any
LINES = ("LINE", "LWPOLYLINE", "POLYLINE", "MLINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE")
"""Kinds of entity that may have been meant as a wall's line."""

_LEVEL = 0.5  # mm that a line may rise
_SHORT = 1.0  # mm: shorter is no wall
_STRAIGHT = 1e-9  # bulge
_MOST_POINTS = 5_000


class Segment(NamedTuple):
    """One straight stretch: the handle it is spoken of by, and both ends."""

    id: str
    start: Vec
    end: Vec


def layer_of(entity: Entity) -> str:
    """The name of an entity's layer, as the mapping file writes it."""
    return printable(entity.dxf.get("layer", "0"))


def segments_of(entity: Entity, mm: float) -> Iterator[Segment | NotTaken]:
    """Each stretch of a line or polyline, or why it cannot be taken. Raises NotTaken for the whole entity."""
    kind = entity.dxftype()
    handle = str(entity.dxf.handle)
    if kind == "LINE":
        yield _segment(handle, entity.dxf.start, entity.dxf.end, mm)
        return
    if kind == "LWPOLYLINE":
        ocs, z = entity.ocs(), float(entity.dxf.elevation)
        points = [(ocs.to_wcs((x, y, z)), bulge) for x, y, bulge in entity.get_points("xyb")]
        is_closed = bool(entity.closed)
    elif kind == "POLYLINE" and (entity.is_2d_polyline or entity.is_3d_polyline):
        ocs = entity.ocs() if entity.is_2d_polyline else None
        points = [
            (ocs.to_wcs(one.dxf.location) if ocs is not None else one.dxf.location, one.dxf.bulge)
            for one in entity.vertices
        ]
        is_closed = bool(entity.is_closed)
    elif kind == "MLINE":
        raise NotTaken("is a multiline; explode it and draw the wall's line")
    elif kind in LINES:
        raise NotTaken("is curved" if kind != "POLYLINE" else "is a mesh")
    else:
        raise NotTaken(f"is no line (a {kind})")
    if len(points) > _MOST_POINTS:
        raise NotTaken(f"has more than {_MOST_POINTS} points")
    if is_closed and len(points) > 2:
        points = [*points, points[0]]
    for number, ((a, bulge), (b, _)) in enumerate(pairwise(points), 1):
        own = handle if len(points) == 2 else f"{handle}-{number}"
        if abs(bulge) > _STRAIGHT:
            yield NotTaken(f"is curved between its points {number} and {number + 1}")
        else:
            try:
                yield _segment(own, a, b, mm)
            except NotTaken as why:
                yield NotTaken(f"{why} (stretch {number})")


def _segment(own: str, a: Any, b: Any, mm: float) -> Segment:
    values = [float(part) * mm for part in (a[0], a[1], a[2], b[0], b[1], b[2])]
    if not all(math.isfinite(value) and abs(value) < 1e12 for value in values):
        raise NotTaken("has a coordinate that is no number or far too large")
    if abs(values[2] - values[5]) > _LEVEL:
        raise NotTaken("rises from end to end")
    if math.hypot(values[3] - values[0], values[4] - values[1]) < _SHORT:
        raise NotTaken("has no length")
    return Segment(own, Vec(values[0], values[1]), Vec(values[3], values[4]))
