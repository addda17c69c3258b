"""The straight prism that a wall's faces make, or why they make none.

Measured in the wall's own frame (u along, v to the left, z up, mm) by slicing it: every slice across the wall must have
the same bottom and the same thickness, and the tops of all must lie on one straight line. Ends may be mitred or
notched for about as far as the wall is thick.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from framing.readers.ifc.frames import Vec3
from framing.readers.ifc.solids import Face
from framing.readers.models.values import NotTaken

EVEN = 0.5  # mm: what a straight wall may be out by
_SAME = 0.02  # mm between two breaks that are one
_END = 1.6  # thicknesses that a mitre or a notch may take at an end
_MOST_BREAKS = 400
_LEAN = 1e-3
_FLAT = 1.0  # mm²: faces smaller than this have no direction worth knowing


class Prism(NamedTuple):
    """u from `start` to `end`, v from `right` to `left`, z from `bottom`; the top at both ends."""

    start: float
    end: float
    right: float
    left: float
    bottom: float
    top_start: float
    top_end: float


class _Slice(NamedTuple):
    low: float
    high: float
    right: float
    left: float
    bottom: float
    tops: tuple[tuple[float, float], ...]  # (u, z)
    is_even: bool  # as thick at one end of the slice as at the other


def prism_of(faces: list[Face], openings: Sequence[tuple[float, float]] = ()) -> Prism:
    """Measure a straight wall. Raises NotTaken with what is not straight about it.

    `openings`: stretches of u where an opening may already be cut out of the body, down to the floor or to the top.
    """
    for face in faces:
        _stand_upright(face)
    slices = _slices(faces, openings)
    main = _main(slices)
    ends = (main.left - main.right) * _END + EVEN
    start, end = slices[0].low, slices[-1].high
    like = [part for part in slices if _is_like(part, main)]
    for part in slices:
        if not _is_like(part, main) and part.high > start + ends and part.low < end - ends:
            raise NotTaken("changes its thickness along its length")
    right, left = min(part.right for part in like), max(part.left for part in like)
    closed = [part for part in like if not _is_open(part.low, part.high, openings)] or like
    bottoms = [part.bottom for part in closed]
    if max(bottoms) - min(bottoms) > EVEN:
        raise NotTaken("has a stepped or sloped bottom")
    tops = [top for part in closed for top in part.tops]
    slope, level = _line(tops)
    if any(abs(z - (level + slope * u)) > EVEN for u, z in tops):
        raise NotTaken("has a top that is not one straight line (a peak or a step)")
    found = Prism(start, end, right, left, min(bottoms), level + slope * start, level + slope * end)
    if min(found.top_start, found.top_end) - found.bottom <= EVEN:
        raise NotTaken("has a top that runs down to its base")
    return found


def ends_on(faces: list[Face], v: float) -> tuple[float, float] | None:
    """The u between which the faces reach at a distance `v` beside the wall's line; None where they do not."""
    found = [
        a[0] + (b[0] - a[0]) * (v - a[1]) / (b[1] - a[1])
        for face in faces
        for loop in face.loops()
        for a, b in zip(loop, loop[1:] + loop[:1], strict=True)
        if (a[1] > v) != (b[1] > v)
    ]
    return (min(found), max(found)) if found else None


def side_area(faces: list[Face], prism: Prism) -> float:
    """The larger of the areas that faces cover on the wall's two sides, mm²: less than the side where it has holes."""
    areas = {prism.right: 0.0, prism.left: 0.0}
    for face in faces:
        for v in areas:
            if all(abs(point[1] - v) <= EVEN for point in face.outer):
                areas[v] += _area(face.outer) - sum(_area(hole) for hole in face.holes)
    return max(areas.values())


def _area(loop: tuple[Vec3, ...]) -> float:
    """Area of a loop seen from the side of the wall."""
    after = loop[1:] + loop[:1]
    return abs(sum(a[0] * b[2] - b[0] * a[2] for a, b in zip(loop, after, strict=True))) / 2


def _stand_upright(face: Face) -> None:
    """Every face of a straight wall is level or upright, or slopes along the wall only."""
    x = y = z = 0.0
    loop = face.outer
    for a, b in zip(loop, loop[1:] + loop[:1], strict=True):
        x += (a[1] - b[1]) * (a[2] + b[2])
        y += (a[2] - b[2]) * (a[0] + b[0])
        z += (a[0] - b[0]) * (a[1] + b[1])
    size = math.sqrt(x * x + y * y + z * z)
    if size > 2 * _FLAT and abs(z) > _LEAN * size and abs(y) > _LEAN * size:
        raise NotTaken("is sloped across its thickness")


def _is_open(low: float, high: float, openings: Sequence[tuple[float, float]]) -> bool:
    middle = (low + high) / 2
    return any(start < middle < end for start, end in openings)


def _slices(faces: list[Face], openings: Sequence[tuple[float, float]]) -> list[_Slice]:
    places = sorted(point[0] for face in faces for loop in face.loops() for point in loop)
    breaks = places[:1]
    for place in places:
        if place - breaks[-1] > _SAME:
            breaks.append(place)
    if len(breaks) < 2:
        raise NotTaken("has no length")
    if len(breaks) > _MOST_BREAKS:
        raise NotTaken("is not straight (its outline has hundreds of breaks)")
    found = []
    for low, high in pairwise(breaks):
        part = _slice(faces, low, high)
        if part is not None:
            found.append(part)
        elif not _is_open(low, high, openings):
            raise NotTaken("is in several pieces along its length")
    if not found:
        raise NotTaken("has no length")
    return found


def _slice(faces: list[Face], low: float, high: float) -> _Slice | None:
    spots = []
    for share in (0.25, 0.75):
        u = low + (high - low) * share
        cut = [
            (a[1] + (b[1] - a[1]) * part, a[2] + (b[2] - a[2]) * part)
            for face in faces
            if min(point[0] for point in face.outer) < u < max(point[0] for point in face.outer)
            for loop in face.loops()
            for a, b in zip(loop, loop[1:] + loop[:1], strict=True)
            if (a[0] > u) != (b[0] > u)
            for part in ((u - a[0]) / (b[0] - a[0]),)
        ]
        if not cut:
            return None
        spots.append((u, cut))
    sides = [(min(v for v, _ in cut), max(v for v, _ in cut)) for _, cut in spots]
    (right, left), (other_right, other_left) = sides
    is_even = abs(right - other_right) <= EVEN and abs(left - other_left) <= EVEN
    bottom = min(z for _, cut in spots for _, z in cut)
    tops = tuple((u, max(z for _, z in cut)) for u, cut in spots)
    return _Slice(low, high, min(right, other_right), max(left, other_left), bottom, tops, is_even)


def _main(slices: list[_Slice]) -> _Slice:
    """The slice whose thickness most of the length has."""
    even = [part for part in slices if part.is_even]
    if not even:
        raise NotTaken("changes its thickness along its length")
    best = max(even, key=lambda one: sum(part.high - part.low for part in slices if _is_like(part, one)))
    if best.left - best.right <= EVEN:
        raise NotTaken("has no thickness")
    return best


def _is_like(part: _Slice, main: _Slice) -> bool:
    return part.is_even and abs(part.right - main.right) <= EVEN and abs(part.left - main.left) <= EVEN


def _line(tops: list[tuple[float, float]]) -> tuple[float, float]:
    """The straight line through the first and the last top, as slope and height at u = 0."""
    (u0, z0), (u1, z1) = min(tops), max(tops)
    if abs(z1 - z0) <= EVEN:
        return 0.0, max(z for _, z in tops)
    slope = (z1 - z0) / (u1 - u0)
    return slope, z0 - slope * u0
