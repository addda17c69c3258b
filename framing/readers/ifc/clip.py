"""Bodies cut by half-spaces, as walls are under slabs and roofs and at other walls."""

from __future__ import annotations

import math

from framing.readers.ifc.curves import curve_points
from framing.readers.ifc.frames import Entity, Frame, Vec3, dot, minus, placed, unit
from framing.readers.ifc.solids import Face
from framing.readers.ifc.units import Units
from framing.readers.models.values import NotTaken

_THIN = 0.01  # mm: what is cut off thinner than this is noise
_WITHIN = 1.0  # mm: a boundary drawn this close to the body's own edge covers it
_LEAN = 1e-3


def cut(faces: list[Face], half_space: Entity, frame: Frame, units: Units) -> list[Face]:
    """Faces less an IfcHalfSpaceSolid, bounded or not. Raises NotTaken where the rest cannot be told."""
    if not half_space.is_a("IfcHalfSpaceSolid"):
        raise NotTaken(f"has a body cut by an {half_space.is_a()}, which is not read")
    if half_space.is_a("IfcBoxedHalfSpace") or not half_space.BaseSurface.is_a("IfcPlane"):
        raise NotTaken(f"has a body cut by an {half_space.BaseSurface.is_a()}, which is not read")
    plane = _rigid(placed(half_space.BaseSurface.Position).inside(frame))
    # AgreementFlag: the normal points away from the half-space's material, which is what is cut off.
    normal = plane.z if half_space.AgreementFlag else (-plane.z[0], -plane.z[1], -plane.z[2])
    away = (-normal[0], -normal[1], -normal[2])
    off = clipped(faces, plane.origin, away)
    if _depth(off, plane.origin, away) <= _THIN:
        return faces
    rest = clipped(faces, plane.origin, normal)
    if half_space.is_a("IfcPolygonalBoundedHalfSpace"):
        inner = placed(half_space.Position).inside(frame)
        scale = math.sqrt(dot(inner.x, inner.x))
        boundary = curve_points(half_space.PolygonalBoundary, units, may_bend=False)
        rest += _outside(off, _rigid(inner), [(x * scale, y * scale) for x, y, _ in boundary])
    if rest == faces or not off:
        return faces
    if abs(normal[2]) > _LEAN and abs(normal[1]) > _LEAN:
        raise NotTaken("is cut by a plane that leans across its thickness")
    if not rest:
        raise NotTaken("is cut away whole by its own clipping")
    return rest


def _rigid(frame: Frame) -> Frame:
    """The frame with axes of length 1. Raises NotTaken where its scale is uneven: planes then turn."""
    sizes = [math.sqrt(dot(axis, axis)) for axis in frame[1:]]
    if max(sizes) - min(sizes) > 1e-6 * max(sizes):
        raise NotTaken("has a clipped body that is mapped with an uneven scale")
    return Frame(frame.origin, *(unit(axis) for axis in frame[1:]))


def clipped(faces: list[Face], at: Vec3, keep: Vec3) -> list[Face]:
    """The part of each face on the side of a plane to which `keep` points."""
    found = []
    for face in faces:
        loops = [_clipped_loop(loop, at, keep) for loop in face.loops()]
        if len(loops[0]) >= 3:
            found.append(Face(loops[0], tuple(hole for hole in loops[1:] if len(hole) >= 3)))
    return found


def _clipped_loop(loop: tuple[Vec3, ...], at: Vec3, keep: Vec3) -> tuple[Vec3, ...]:
    sides = [dot(minus(point, at), keep) for point in loop]
    if min(sides, default=-1.0) >= 0:
        return loop
    found: list[Vec3] = []
    for index, point in enumerate(loop):
        before = index - 1
        if (sides[index] >= 0) != (sides[before] >= 0):
            share = sides[before] / (sides[before] - sides[index])
            a = loop[before]
            found.append(
                (a[0] + (point[0] - a[0]) * share, a[1] + (point[1] - a[1]) * share, a[2] + (point[2] - a[2]) * share)
            )
        if sides[index] >= 0:
            found.append(point)
    return tuple(found)


def _depth(faces: list[Face], at: Vec3, away: Vec3) -> float:
    return max((dot(minus(point, at), away) for face in faces for point in face.outer), default=0.0)


def _outside(off: list[Face], frame: Frame, boundary: list[tuple[float, float]]) -> list[Face]:
    """What a bounded half-space leaves of the part beyond its plane: nothing where the boundary covers it all."""
    if len(boundary) > 2 and boundary[0] == boundary[-1]:
        boundary = boundary[:-1]
    turn = sum(ax * by - bx * ay for (ax, ay), (bx, by) in zip(boundary, boundary[1:] + boundary[:1], strict=True))
    if turn < 0:
        boundary = boundary[::-1]
    is_convex = True
    left: list[Face] = []
    rest = off
    for index, (ax, ay) in enumerate(boundary):
        bx, by = boundary[(index + 1) % len(boundary)]
        cx, cy = boundary[(index + 2) % len(boundary)]
        size = ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5
        if not size:
            continue
        is_convex = is_convex and (bx - ax) * (cy - by) - (by - ay) * (cx - bx) >= -1e-9 * size
        outward = frame.turn(((by - ay) / size, (ax - bx) / size, 0.0))
        corner = frame.point((ax, ay, 0.0))
        beyond = clipped(rest, corner, outward)
        if _depth(beyond, corner, outward) <= _WITHIN:
            continue
        left += beyond
        rest = clipped(rest, corner, (-outward[0], -outward[1], -outward[2]))
        if not rest:
            break
    if left and not is_convex:
        back = frame.inverse()
        if all(_is_in(back.point(point), boundary) for face in off for point in _marks(face.outer)):
            return []
        raise NotTaken("is cut by a boundary with inward corners that covers it only in part")
    return left


def _marks(loop: tuple[Vec3, ...]) -> list[Vec3]:
    """A loop's corners and the middles of its edges."""
    after = loop[1:] + loop[:1]
    middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2, (a[2] + b[2]) / 2) for a, b in zip(loop, after, strict=True)]
    return [*loop, *middles]


def _is_in(point: Vec3, boundary: list[tuple[float, float]]) -> bool:
    """Inside a polygon, or within a millimetre of its edge."""
    x, y = point[0], point[1]
    is_inside = False
    for (ax, ay), (bx, by) in zip(boundary, boundary[1:] + boundary[:1], strict=True):
        size = ((bx - ax) ** 2 + (by - ay) ** 2) or 1.0
        share = min(1.0, max(0.0, ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / size))
        if (ax + share * (bx - ax) - x) ** 2 + (ay + share * (by - ay) - y) ** 2 <= _WITHIN**2:
            return True
        if (ay > y) != (by > y) and x < ax + (y - ay) / (by - ay) * (bx - ax):
            is_inside = not is_inside
    return is_inside
