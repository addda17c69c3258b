"""Curves and profiles as points. A straight wall has straight ones; openings may be round, and are boxed later."""

from __future__ import annotations

import math
from itertools import pairwise

from framing.readers.ifc.frames import Entity, Frame, Vec3, coordinates, placed, plus, times
from framing.readers.ifc.units import Units
from framing.readers.models.values import NotTaken

_ROUND = 360  # points of a full circle: its own four extremes are among them
_MOST_POINTS = 5_000


def curve_points(curve: Entity, units: Units, *, may_bend: bool) -> list[Vec3]:
    """Points of a curve in its own system and unit. Raises NotTaken for an arc where it may not bend."""
    if curve.is_a("IfcPolyline"):
        found = [coordinates(point.Coordinates) for point in curve.Points]
    elif curve.is_a("IfcIndexedPolyCurve"):
        found = _indexed(curve, may_bend)
    elif curve.is_a("IfcCompositeCurve"):
        found = []
        for segment in curve.Segments:
            part = curve_points(segment.ParentCurve, units, may_bend=may_bend)
            found += part if segment.SameSense else part[::-1]
    elif curve.is_a("IfcTrimmedCurve"):
        found = _trimmed(curve, units, may_bend)
    elif curve.is_a("IfcCircle"):
        _allow(may_bend)
        found = _arc(placed(curve.Position), float(curve.Radius), 0.0, 2 * math.pi)[:-1]
    else:
        raise NotTaken(f"has a curve ({curve.is_a()}) that is not read")
    if len(found) > _MOST_POINTS:
        raise NotTaken(f"has a curve of more than {_MOST_POINTS} points")
    return _without_repeats(found)


def profile_loops(profile: Entity, units: Units, *, may_bend: bool) -> list[list[Vec3]]:
    """A profile's outer loop, then its holes, in the profile's own plane. Raises NotTaken."""
    if profile.is_a("IfcRectangleProfileDef") and not profile.is_a("IfcRoundedRectangleProfileDef"):
        frame = placed(profile.Position)
        x, y = float(profile.XDim) / 2, float(profile.YDim) / 2
        return [[frame.point((a * x, b * y, 0.0)) for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))]]
    if profile.is_a("IfcCircleProfileDef"):
        _allow(may_bend)
        return [_arc(placed(profile.Position), float(profile.Radius), 0.0, 2 * math.pi)[:-1]]
    if profile.is_a("IfcArbitraryClosedProfileDef"):
        curves = [profile.OuterCurve, *(profile.InnerCurves if profile.is_a("IfcArbitraryProfileDefWithVoids") else ())]
        return [_closed(curve_points(curve, units, may_bend=may_bend)) for curve in curves]
    raise NotTaken(f"has a cross-section ({profile.is_a()}) that is not read")


def axis_points(curve: Entity, units: Units) -> list[Vec3]:
    """The points of a wall's axis. Raises NotTaken where it is curved."""
    if curve.is_a("IfcGeometricSet"):
        curves = [item for item in curve.Elements if item.is_a("IfcCurve")]
        if len(curves) != 1:
            raise NotTaken("has an axis of several curves")
        curve = curves[0]
    return curve_points(curve, units, may_bend=False)


def _allow(may_bend: bool) -> None:
    if not may_bend:
        raise NotTaken("is curved")


def _indexed(curve: Entity, may_bend: bool) -> list[Vec3]:
    points = [coordinates(values) for values in curve.Points.CoordList]
    if not curve.Segments:
        return points
    found: list[Vec3] = []
    for segment in curve.Segments:
        indices = segment.wrappedValue
        if any(not 1 <= index <= len(points) for index in indices):
            raise NotTaken("has a curve that names a point it does not have")
        part = [points[index - 1] for index in indices]
        if segment.is_a("IfcArcIndex"):
            _allow(may_bend)
            part = _arc_through(*part)
        found += part
    return found


def _trimmed(curve: Entity, units: Units, may_bend: bool) -> list[Vec3]:
    basis = curve.BasisCurve
    ends = [_trim(trims) for trims in (curve.Trim1, curve.Trim2)]
    if basis.is_a("IfcLine"):
        start = coordinates(basis.Pnt.Coordinates)
        run = coordinates(basis.Dir.Orientation.DirectionRatios)
        size = math.sqrt(sum(part * part for part in run)) or 1.0
        step = float(basis.Dir.Magnitude) / size
        return [end if isinstance(end, tuple) else plus(start, times(run, step * end)) for end in ends]
    if not basis.is_a("IfcCircle"):
        raise NotTaken(f"has a curve on an {basis.is_a()}, which is not read")
    _allow(may_bend)
    frame = placed(basis.Position)
    back = frame.inverse()
    angles = []
    for end in ends:
        if isinstance(end, tuple):
            local = back.point(end)
            angles.append(math.atan2(local[1], local[0]))
        else:
            angles.append(end * units.angle)
    first, last = angles if curve.SenseAgreement else angles[::-1]
    if last <= first:
        last += 2 * math.pi
    found = _arc(frame, float(basis.Radius), first, last)
    return found if curve.SenseAgreement else found[::-1]


def _trim(trims: tuple[Entity, ...]) -> Vec3 | float:
    for trim in trims:
        if trim.is_a("IfcCartesianPoint"):
            return coordinates(trim.Coordinates)
    return float(trims[0].wrappedValue)


def _arc(frame: Frame, radius: float, first: float, last: float) -> list[Vec3]:
    """Points of an arc, the circle's own extremes among them."""
    if not abs(last - first) <= 7:
        raise NotTaken("has an arc of more than a turn")
    step = 2 * math.pi / _ROUND
    between = range(math.floor(first / step) + 1, math.ceil(last / step))
    turns = [first, *(number * step for number in between), last]
    return [frame.point((radius * math.cos(turn), radius * math.sin(turn), 0.0)) for turn in turns]


def _arc_through(a: Vec3, b: Vec3, c: Vec3) -> list[Vec3]:
    """An arc through three points of a plane."""
    (ax, ay, _), (bx, by, _), (cx, cy, _) = a, b, c
    twice = 2 * (ax * (by - cy) + bx * (cy - ay) + cx * (ay - by))
    if abs(twice) < 1e-12:
        return [a, b, c]
    squares = [x * x + y * y for x, y, _ in (a, b, c)]
    x = (squares[0] * (by - cy) + squares[1] * (cy - ay) + squares[2] * (ay - by)) / twice
    y = (squares[0] * (cx - bx) + squares[1] * (ax - cx) + squares[2] * (bx - ax)) / twice
    angles = [math.atan2(py - y, px - x) for px, py, _ in (a, b, c)]
    turn = 2 * math.pi
    to_middle, to_last = (angles[1] - angles[0]) % turn, (angles[2] - angles[0]) % turn
    frame = Frame((x, y, 0.0))
    radius = math.hypot(ax - x, ay - y)
    if to_middle <= to_last:
        return _arc(frame, radius, angles[0], angles[0] + to_last)
    return _arc(frame, radius, angles[2], angles[2] + turn - to_last)[::-1]


def _closed(points: list[Vec3]) -> list[Vec3]:
    if len(points) > 1 and math.dist(points[0], points[-1]) < 1e-9 * max(1.0, *map(abs, points[0])):
        points = points[:-1]
    if len(points) < 3:
        raise NotTaken("has a cross-section of fewer than three points")
    return points


def _without_repeats(points: list[Vec3]) -> list[Vec3]:
    if len(points) < 2:
        raise NotTaken("has a curve of fewer than two points")
    return [points[0], *(after for before, after in pairwise(points) if before != after)]
