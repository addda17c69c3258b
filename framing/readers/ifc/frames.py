"""Places and directions in space: a frame has an origin and three axes; frames nest as the file's placements do."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any, NamedTuple, TypeAlias

from framing.readers.models.values import NotTaken

Entity: TypeAlias = Any
Vec3: TypeAlias = tuple[float, float, float]
_DEEPEST = 100
_FARTHEST = 1e12


class Frame(NamedTuple):
    """Columns of a transformation; axes may carry a scale."""

    origin: Vec3 = (0.0, 0.0, 0.0)
    x: Vec3 = (1.0, 0.0, 0.0)
    y: Vec3 = (0.0, 1.0, 0.0)
    z: Vec3 = (0.0, 0.0, 1.0)

    def point(self, p: Vec3) -> Vec3:
        o, x, y, z = self
        return (
            o[0] + x[0] * p[0] + y[0] * p[1] + z[0] * p[2],
            o[1] + x[1] * p[0] + y[1] * p[1] + z[1] * p[2],
            o[2] + x[2] * p[0] + y[2] * p[1] + z[2] * p[2],
        )

    def turn(self, d: Vec3) -> Vec3:
        """A direction of this frame, seen from outside."""
        x, y, z = self.x, self.y, self.z
        return (
            x[0] * d[0] + y[0] * d[1] + z[0] * d[2],
            x[1] * d[0] + y[1] * d[1] + z[1] * d[2],
            x[2] * d[0] + y[2] * d[1] + z[2] * d[2],
        )

    def inside(self, other: Frame) -> Frame:
        """This frame, given in `other`, as seen from outside of `other`."""
        return Frame(other.point(self.origin), other.turn(self.x), other.turn(self.y), other.turn(self.z))

    def inverse(self) -> Frame:
        """The way back. The axes must be square to each other and of length 1."""
        o, (x, y, z) = self.origin, self[1:]
        return Frame((-dot(x, o), -dot(y, o), -dot(z, o)), (x[0], y[0], z[0]), (x[1], y[1], z[1]), (x[2], y[2], z[2]))


def dot(a: Vec3, b: Vec3) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vec3, b: Vec3) -> Vec3:
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def plus(a: Vec3, b: Vec3) -> Vec3:
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2])


def minus(a: Vec3, b: Vec3) -> Vec3:
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def times(a: Vec3, factor: float) -> Vec3:
    return (a[0] * factor, a[1] * factor, a[2] * factor)


def unit(a: Vec3) -> Vec3:
    """Direction of length 1. Raises NotTaken where it has none."""
    size = math.sqrt(dot(a, a))
    if not size > 1e-12 or not math.isfinite(size):
        raise NotTaken("has a direction of no length")
    return times(a, 1 / size)


def coordinates(values: Iterable[float]) -> Vec3:
    """A point's or a direction's numbers, the third 0 where it is flat. Raises NotTaken where they are none."""
    found = [float(value) for value in values]
    if not 2 <= len(found) <= 3 or not all(abs(value) < _FARTHEST for value in found):
        raise NotTaken("has a coordinate that is no number or far too large")
    return (found[0], found[1], found[2] if len(found) == 3 else 0.0)


def placed(placement: Entity | None) -> Frame:
    """An IfcAxis2Placement2D or 3D as a frame; none at all is the frame around it."""
    if placement is None:
        return Frame()
    origin = coordinates(placement.Location.Coordinates)
    if placement.is_a("IfcAxis2Placement2D"):
        x = _direction(placement.RefDirection, (1.0, 0.0, 0.0))
        return Frame(origin, x, (-x[1], x[0], 0.0))
    if not placement.is_a("IfcAxis2Placement3D"):
        raise NotTaken(f"is placed by an {placement.is_a()}, which is not read")
    z = _direction(placement.Axis, (0.0, 0.0, 1.0))
    near = _direction(placement.RefDirection, (1.0, 0.0, 0.0) if abs(z[0]) < 0.999 else (0.0, 1.0, 0.0))
    x = unit(minus(near, times(z, dot(near, z))))
    return Frame(origin, x, cross(z, x), z)


def _direction(entity: Entity | None, default: Vec3) -> Vec3:
    return default if entity is None else unit(coordinates(entity.DirectionRatios))


def placement_of(element: Entity) -> Frame:
    """Where an element stands in the model, through every placement above its own. Raises NotTaken."""
    found = Frame()
    local = element.ObjectPlacement
    for _ in range(_DEEPEST):
        if local is None:
            return found
        if not local.is_a("IfcLocalPlacement"):
            raise NotTaken(f"is placed by an {local.is_a()}, which is not read")
        found = found.inside(placed(local.RelativePlacement))
        local = local.PlacementRelTo
    raise NotTaken(f"is placed more than {_DEEPEST} levels deep")


def operator(entity: Entity) -> Frame:
    """An IfcCartesianTransformationOperator3D, uniform or not, as a frame with scaled axes. Raises NotTaken."""
    if not entity.is_a("IfcCartesianTransformationOperator3D"):
        raise NotTaken(f"is mapped by an {entity.is_a()}, which is not read")
    z = _direction(entity.Axis3, (0.0, 0.0, 1.0))
    near = _direction(entity.Axis1, (1.0, 0.0, 0.0) if abs(z[0]) < 0.999 else (0.0, 1.0, 0.0))
    x = unit(minus(near, times(z, dot(near, z))))
    y = cross(z, x)
    if entity.Axis2 is not None and dot(y, _direction(entity.Axis2, y)) < 0:
        y = times(y, -1.0)
    first = 1.0 if entity.Scale is None else float(entity.Scale)
    second = third = first
    if entity.is_a("IfcCartesianTransformationOperator3DnonUniform"):
        second = first if entity.Scale2 is None else float(entity.Scale2)
        third = first if entity.Scale3 is None else float(entity.Scale3)
    return Frame(coordinates(entity.LocalOrigin.Coordinates), times(x, first), times(y, second), times(z, third))
