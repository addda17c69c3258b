"""A shape's items as flat faces, in mm, seen in the frame that the caller gives.

Faces are all that is needed to measure a straight wall or an opening. Cut faces of a clipped body are not closed
again: their edges lie on the faces beside them.
"""

from __future__ import annotations

from typing import NamedTuple

from framing.readers.ifc.curves import profile_loops
from framing.readers.ifc.frames import Entity, Frame, Vec3, coordinates, operator, placed, unit
from framing.readers.ifc.units import Units
from framing.readers.models.values import NotTaken

MOST_FACES = 5_000
_DEEPEST = 12


class Face(NamedTuple):
    """A flat face: its outer loop, and the loops of its holes."""

    outer: tuple[Vec3, ...]
    holes: tuple[tuple[Vec3, ...], ...] = ()

    def loops(self) -> tuple[tuple[Vec3, ...], ...]:
        return (self.outer, *self.holes)


class Shape(NamedTuple):
    """Faces; `is_mesh` where they come from a boundary, which may have openings cut out of it already."""

    faces: list[Face]
    is_mesh: bool


def shape_of(items: tuple[Entity, ...], frame: Frame, units: Units, *, may_bend: bool = False) -> Shape:
    """All items' faces together. `frame` places the items in mm. Raises NotTaken."""
    faces: list[Face] = []
    is_mesh = False
    for item in items:
        found = _item(item, frame, units, may_bend, 0)
        faces += found.faces
        is_mesh = is_mesh or found.is_mesh
        if len(faces) > MOST_FACES:
            raise NotTaken(f"has a body of more than {MOST_FACES:,} faces")
    if not faces:
        raise NotTaken("has an empty body")
    return Shape(faces, is_mesh)


def _item(item: Entity, frame: Frame, units: Units, may_bend: bool, depth: int) -> Shape:
    if depth > _DEEPEST:
        raise NotTaken(f"has a body nested more than {_DEEPEST} deep")
    if item.is_a("IfcMappedItem"):
        source = item.MappingSource
        inner = placed(source.MappingOrigin).inverse().inside(operator(item.MappingTarget)).inside(frame)
        parts = [_item(part, inner, units, may_bend, depth + 1) for part in source.MappedRepresentation.Items]
        return Shape([face for part in parts for face in part.faces], any(part.is_mesh for part in parts))
    if item.is_a("IfcBooleanResult"):
        from framing.readers.ifc.clip import cut

        first = _item(item.FirstOperand, frame, units, may_bend, depth + 1)
        if item.Operator == "UNION":
            second = _item(item.SecondOperand, frame, units, may_bend, depth + 1)
            return Shape(first.faces + second.faces, first.is_mesh or second.is_mesh)
        if item.Operator != "DIFFERENCE":
            raise NotTaken("has a body made by intersection, which is not read")
        return Shape(cut(first.faces, item.SecondOperand, frame, units), first.is_mesh)
    if item.is_a() == "IfcExtrudedAreaSolid":
        return Shape(_extruded(item, frame, units, may_bend), False)
    return Shape([_moved(face, frame) for face in _mesh(item)], True)


def _extruded(solid: Entity, frame: Frame, units: Units, may_bend: bool) -> list[Face]:
    inner = placed(solid.Position).inside(frame)
    run = unit(coordinates(solid.ExtrudedDirection.DirectionRatios))
    depth = float(solid.Depth)
    if not depth > 0:
        raise NotTaken("has a body of no height")
    step = inner.turn((run[0] * depth, run[1] * depth, run[2] * depth))
    loops = [
        [inner.point(point) for point in loop] for loop in profile_loops(solid.SweptArea, units, may_bend=may_bend)
    ]
    lifted = [[(p[0] + step[0], p[1] + step[1], p[2] + step[2]) for p in loop] for loop in loops]
    faces = [Face(tuple(ends[0]), tuple(map(tuple, ends[1:]))) for ends in (loops, lifted)]
    for low, high in zip(loops, lifted, strict=True):
        for index in range(len(low)):
            after = (index + 1) % len(low)
            faces.append(Face((low[index], low[after], high[after], high[index])))
    return faces


def _moved(face: Face, frame: Frame) -> Face:
    outer, *holes = (tuple(frame.point(point) for point in loop) for loop in face.loops())
    return Face(outer, tuple(holes))


def _mesh(item: Entity) -> list[Face]:
    if item.is_a("IfcTriangulatedFaceSet"):
        points = [coordinates(values) for values in item.Coordinates.CoordList]
        _few(len(item.CoordIndex))
        return [Face(_indexed(points, triangle)) for triangle in item.CoordIndex]
    if item.is_a("IfcPolygonalFaceSet"):
        points = [coordinates(values) for values in item.Coordinates.CoordList]
        _few(len(item.Faces))
        return [
            Face(
                _indexed(points, face.CoordIndex),
                tuple(_indexed(points, hole) for hole in getattr(face, "InnerCoordIndices", None) or ()),
            )
            for face in item.Faces
        ]
    if item.is_a("IfcManifoldSolidBrep"):
        faces = list(item.Outer.CfsFaces)
    elif item.is_a("IfcFaceBasedSurfaceModel"):
        faces = [face for part in item.FbsmFaces for face in part.CfsFaces]
    elif item.is_a("IfcShellBasedSurfaceModel"):
        faces = [face for part in item.SbsmBoundary for face in part.CfsFaces]
    else:
        raise NotTaken(f"has a body of a kind ({item.is_a()}) that is not read")
    _few(len(faces))
    return [_face(face) for face in faces]


def _few(number: int) -> None:
    if number > MOST_FACES:
        raise NotTaken(f"has a body of more than {MOST_FACES:,} faces")


def _indexed(points: list[Vec3], indices: tuple[int, ...]) -> tuple[Vec3, ...]:
    if any(not 1 <= index <= len(points) for index in indices):
        raise NotTaken("has a face that names a point it does not have")
    return tuple(points[index - 1] for index in indices)


def _face(face: Entity) -> Face:
    if face.is_a("IfcFaceSurface") and not face.FaceSurface.is_a("IfcPlane"):
        raise NotTaken("is curved")
    outer: tuple[Vec3, ...] | None = None
    holes = []
    for bound in face.Bounds:
        loop = _loop(bound.Bound)
        if outer is None or (bound.is_a("IfcFaceOuterBound") and len(face.Bounds) > 1):
            if outer is not None:
                holes.append(outer)
            outer = loop
        else:
            holes.append(loop)
    if outer is None:
        raise NotTaken("has a face without a boundary")
    return Face(outer, tuple(holes))


def _loop(loop: Entity) -> tuple[Vec3, ...]:
    if loop.is_a("IfcPolyLoop"):
        return tuple(coordinates(point.Coordinates) for point in loop.Polygon)
    if loop.is_a("IfcEdgeLoop"):
        points = []
        for oriented in loop.EdgeList:
            edge = oriented.EdgeElement
            if edge.is_a("IfcEdgeCurve") and edge.EdgeGeometry.is_a() not in ("IfcLine", "IfcPolyline"):
                raise NotTaken("is curved")
            corner = edge.EdgeStart if oriented.Orientation else edge.EdgeEnd
            points.append(coordinates(corner.VertexGeometry.Coordinates))
        return tuple(points)
    raise NotTaken(f"has a face bounded by an {loop.is_a()}, which is not read")
