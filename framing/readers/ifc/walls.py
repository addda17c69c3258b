"""One wall of the model measured: its line, faces, top, layers and openings.

Trust order: body and axis geometry, then stated length, height and width, then nothing. Stated areas are only compared.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from framing.readers.ifc.curves import axis_points
from framing.readers.ifc.frames import Entity, Frame, Vec3
from framing.readers.ifc.kinds import Layers, flags_of, is_fire_rated, layers_of, type_name
from framing.readers.ifc.openings import body_items, boxes_of, in_mm, openings_in
from framing.readers.ifc.prism import EVEN, Prism, ends_on, prism_of, side_area
from framing.readers.ifc.solids import Face, Shape, shape_of
from framing.readers.ifc.stated import stated_of
from framing.readers.ifc.units import Units
from framing.readers.models.exact import shown
from framing.readers.models.values import LeftOut, ModelLayer, ModelWall, NotTaken, Stated, Vec, printable, unit_vector

_LEVEL = 1.0  # mm that an axis may rise, or bend aside, from end to end
_LAYERS_WITHIN = 2.0  # mm between the layers' sum and the body's thickness
_HOLES = 0.01  # share of a side that a mesh may miss
_DEEPEST = 6
_LARGEST = 1_000_000.0  # mm


@dataclass(frozen=True, slots=True)
class Measured:
    """A wall before it has a level: `base` and `top` are heights in the model, mm."""

    wall: ModelWall
    base: float
    top: float


def what_is(element: Entity) -> str:
    """The element's class and name, for a list."""
    return f"{element.is_a()} {printable(element.Name or '', 80)}".strip()


def measure(element: Entity, units: Units, left_out: list[LeftOut]) -> Measured:
    """Measure one wall. Its openings that cannot be taken are added to `left_out`. Raises NotTaken."""
    placed = in_mm(element, units)
    axis = _axis(element, placed, units)
    stated, twice = stated_of(element, units)
    notes = [
        ("stated twice", f"{name.replace('_', ' ')} is stated twice with different values and not compared")
        for name in twice
    ]
    shape = _own_shape(element, placed, units)
    parts = [] if shape is not None else _part_faces(element, units)
    direction = _direction(axis, placed, shape.faces if shape is not None else parts)
    frame = Frame(placed.origin, (direction.x, direction.y, 0.0), (-direction.y, direction.x, 0.0), (0.0, 0.0, 1.0))
    boxes = boxes_of(element, frame, units, left_out)
    layers = layers_of(element, units)
    turned = 1 if placed.y[0] * frame.y[0] + placed.y[1] * frame.y[1] >= 0 else -1
    faces: list[Face] = []
    if shape is not None:
        faces = _turned(shape.faces, frame)
        prism = prism_of(faces, [box.u for box in boxes])
    elif parts:
        faces = _turned(parts, frame)
        prism = _around(faces)
        notes.append(("measured from parts", "has no body of its own; its extent is that of its parts"))
    else:
        prism = _from_stated(axis, frame, layers, turned, stated)
        notes.append(("measured as stated", "has an axis and no body; its height is the stated one"))
    if max(prism.end - prism.start, prism.left - prism.right, prism.top_start, prism.top_end) > _LARGEST:
        raise NotTaken("is more than a kilometre long, thick or high")
    openings, more = openings_in(element, frame, prism, boxes, left_out, has_body=shape is not None)
    if shape is not None and shape.is_mesh:
        _no_hidden_holes(faces, prism, sum(opening.area for opening in openings))
    placed_layers, doubt = _layers(layers, faces, prism, turned)
    wall = ModelWall(
        id=printable(element.GlobalId),
        what=what_is(element),
        tag=str(element.Tag or ""),
        type_name=type_name(element),
        flags=flags_of(element),
        level="",
        origin=Vec(frame.origin[0], frame.origin[1]),
        direction=direction,
        start=prism.start,
        end=prism.end,
        right=prism.right,
        left=prism.left,
        base=0.0,
        height_start=prism.top_start - prism.bottom,
        height_end=prism.top_end - prism.bottom,
        layers=placed_layers,
        openings=tuple(sorted(openings, key=lambda opening: opening.start)),
        stated=stated,
        materials=layers.materials,
        fire_rated=is_fire_rated(element),
        notes=(*notes, *more, *doubt),
    )
    base = frame.origin[2] + prism.bottom
    return Measured(wall, base, base + wall.height)


def on_level(measured: Measured, level: str, floor: float, notes: tuple[tuple[str, str], ...] = ()) -> ModelWall:
    """The wall with its level and its base above that floor."""
    wall = measured.wall
    return replace(wall, level=level, base=measured.base - floor, notes=wall.notes + notes)


def _axis(element: Entity, placed: Frame, units: Units) -> tuple[Vec3, Vec3] | None:
    """Both ends of the axis in the model, or None where the wall has none. Raises NotTaken where it is not straight."""
    shape = element.Representation
    for one in () if shape is None else shape.Representations:
        if one.RepresentationIdentifier == "Axis" and one.Items:
            points = [placed.point(point) for point in axis_points(one.Items[0], units)]
            first, last = points[0], points[-1]
            if abs(first[2] - last[2]) > _LEVEL:
                raise NotTaken("has an axis that rises")
            along = unit_vector(last[0] - first[0], last[1] - first[1])
            for x, y, _ in points:
                if abs((x - first[0]) * along.y - (y - first[1]) * along.x) > _LEVEL:
                    raise NotTaken("has an axis with a bend in it")
            return first, last
    return None


def _own_shape(element: Entity, placed: Frame, units: Units) -> Shape | None:
    items = body_items(element)
    return shape_of(items, placed, units) if items else None


def _part_faces(element: Entity, units: Units, depth: int = 0) -> list[Face]:
    """Faces of everything that the wall is made of, in the model's own frame."""
    found: list[Face] = []
    if depth > _DEEPEST:
        return found
    for relation in element.IsDecomposedBy or ():
        for part in relation.RelatedObjects:
            items = body_items(part)
            found += shape_of(items, in_mm(part, units), units).faces if items else []
            found += _part_faces(part, units, depth + 1)
    return found


def _direction(axis: tuple[Vec3, Vec3] | None, placed: Frame, faces: list[Face]) -> Vec:
    if axis is not None:
        first, last = axis
        return unit_vector(last[0] - first[0], last[1] - first[1])
    edges = [
        (math.hypot(b[0] - a[0], b[1] - a[1]), b[0] - a[0], b[1] - a[1])
        for face in faces
        if max(point[2] for point in face.outer) - min(point[2] for point in face.outer) > _LEVEL
        for a, b in zip(face.outer, face.outer[1:] + face.outer[:1], strict=True)
        if abs(b[2] - a[2]) <= _LEVEL
    ]
    if not edges:
        raise NotTaken("has neither an axis nor a body")
    _, x, y = max(edges)
    along = unit_vector(x, y)
    return along if along.x * placed.x[0] + along.y * placed.x[1] >= 0 else Vec(-along.x, -along.y)


def _turned(faces: list[Face], frame: Frame) -> list[Face]:
    back = frame.inverse()
    return [
        Face(tuple(map(back.point, face.outer)), tuple(tuple(map(back.point, hole)) for hole in face.holes))
        for face in faces
    ]


def _around(faces: list[Face]) -> Prism:
    points = [point for face in faces for point in face.outer]
    (u0, u1), (v0, v1), (z0, z1) = (
        (min(point[axis] for point in points), max(point[axis] for point in points)) for axis in range(3)
    )
    return Prism(u0, u1, v0, v1, z0, z1, z1)


def _from_stated(axis: tuple[Vec3, Vec3] | None, frame: Frame, layers: Layers, turned: int, stated: Stated) -> Prism:
    if axis is None:
        raise NotTaken("has neither an axis nor a body")
    thickness = sum(layer.thickness for layer in layers.layers) or stated.width
    if stated.height is None or thickness is None:
        raise NotTaken("has an axis but no body, and states no height or no thickness")
    back = frame.inverse()
    (u0, v, z), (u1, _, _) = (back.point(point) for point in axis)
    if layers.offset is None:
        return Prism(u0, u1, v - thickness / 2, v + thickness / 2, z, z + stated.height, z + stated.height)
    near = layers.offset * turned
    far = near + thickness * layers.sense * turned
    return Prism(u0, u1, min(near, far), max(near, far), z, z + stated.height, z + stated.height)


def _no_hidden_holes(faces: list[Face], prism: Prism, openings: float) -> None:
    side = (prism.end - prism.start) * ((prism.top_start + prism.top_end) / 2 - prism.bottom)
    if side_area(faces, prism) < (1 - _HOLES) * side - openings:
        raise NotTaken("has a side with holes, steps or slots that its openings do not explain")


def _layers(
    layers: Layers, faces: list[Face], prism: Prism, turned: int
) -> tuple[tuple[ModelLayer, ...], list[tuple[str, str]]]:
    """Layers at their place in the body, and what is doubtful about it."""
    notes: list[tuple[str, str]] = []
    if not layers.layers:
        return (), notes
    total = sum(layer.thickness for layer in layers.layers)
    thickness = prism.left - prism.right
    step = layers.sense * turned
    at = prism.right if step > 0 else prism.left
    if abs(total - thickness) > _LAYERS_WITHIN:
        notes.append(("layers", f"is {shown(thickness)} thick and its layers add up to {shown(total)}"))
    if layers.offset is not None and abs(layers.offset * turned - at) <= _LAYERS_WITHIN:
        at = layers.offset * turned
    names = [(layer.name, layer.thickness) for layer in layers.layers]
    if layers.offset is None and names != names[::-1]:
        notes.append(("layers", "has layers that differ, and the file does not say on which side the first one lies"))
    found = []
    for layer in layers.layers:
        middle = at + step * layer.thickness / 2
        ends = ends_on(faces, middle) or (prism.start, prism.end)
        found.append(ModelLayer(layer.name, layer.thickness, middle, *ends))
        at += step * layer.thickness
    if (
        max(abs(prism.right), abs(prism.left)) > 0
        and abs(at - (prism.left if step > 0 else prism.right)) > thickness + EVEN
    ):
        notes.append(("layers", "has layers that lie outside of its body"))
    return tuple(found), notes
