"""Openings of a wall, measured from their own geometry in the wall's frame, and the doors and windows in them.

What an opening states of its own width and height is not read: many files swap the two.
"""

from __future__ import annotations

from dataclasses import dataclass

from framing.plan import DOOR, OPENING, WINDOW
from framing.readers.ifc.frames import Entity, Frame, placement_of
from framing.readers.ifc.prism import EVEN, Prism
from framing.readers.ifc.solids import Face, shape_of
from framing.readers.ifc.units import Units
from framing.readers.models.exact import shown
from framing.readers.models.values import LeftOut, ModelOpening, NotTaken

_THROUGH = 0.9  # of the wall's thickness: what goes less deep is a recess
_BOXED = 0.98  # of its own box: what fills less is not a rectangle
_SOLID = (
    "SweptSolid",
    "Brep",
    "Clipping",
    "CSG",
    "SurfaceModel",
    "Tessellation",
    "MappedRepresentation",
    "AdvancedBrep",
)


@dataclass(frozen=True, slots=True)
class Box:
    """An opening's extent in the wall's frame, mm; `share` of the box that its own outline fills."""

    entity: Entity
    u: tuple[float, float]
    v: tuple[float, float]
    z: tuple[float, float]
    share: float


def body_items(element: Entity) -> tuple[Entity, ...]:
    """The items of an element's body; none where it has no body."""
    shape = element.Representation
    found = () if shape is None else shape.Representations
    for one in found:
        if one.RepresentationIdentifier == "Body" and one.RepresentationType != "BoundingBox":
            return tuple(one.Items)
    for one in found:
        if one.RepresentationType in _SOLID and one.RepresentationIdentifier not in ("Box", "Clearance", "FootPrint"):
            return tuple(one.Items)
    return ()


def in_mm(element: Entity, units: Units) -> Frame:
    """The element's own frame in the model, in mm: its items' coordinates times this are places in the model."""
    frame = placement_of(element)
    f = units.length
    return Frame(*(tuple(part * f for part in column) for column in frame))  # type: ignore[arg-type]


def boxes_of(wall: Entity, wall_frame: Frame, units: Units, left_out: list[LeftOut]) -> list[Box]:
    """The wall's openings as boxes in its frame. Those that cannot be measured are left out, each with its reason."""
    found = []
    back = wall_frame.inverse()
    for relation in wall.HasOpenings or ():
        opening = relation.RelatedOpeningElement
        try:
            items = body_items(opening)
            if not items:
                raise NotTaken("has no body")
            faces = shape_of(items, in_mm(opening, units).inside(back), units, may_bend=True).faces
            found.append(_box(opening, faces))
        except NotTaken as why:
            left_out.append(
                LeftOut(
                    opening.GlobalId, "opening", f"{why}; wall {wall.GlobalId} is counted as if it were closed there"
                )
            )
    return found


def _box(opening: Entity, faces: list[Face]) -> Box:
    points = [point for face in faces for loop in face.loops() for point in loop]
    spans = [(min(point[axis] for point in points), max(point[axis] for point in points)) for axis in range(3)]
    (u0, u1), _, (z0, z1) = spans
    outline = max((_seen(face) for face in faces), default=0.0)
    area = (u1 - u0) * (z1 - z0)
    return Box(opening, spans[0], spans[1], spans[2], outline / area if area > 0 else 0.0)


def _seen(face: Face) -> float:
    """A face's area as seen from the side of the wall."""
    loop = face.outer
    return abs(sum(a[0] * b[2] - b[0] * a[2] for a, b in zip(loop, loop[1:] + loop[:1], strict=True))) / 2


def openings_in(
    wall: Entity, wall_frame: Frame, prism: Prism, boxes: list[Box], left_out: list[LeftOut], *, has_body: bool
) -> tuple[list[ModelOpening], list[tuple[str, str]]]:
    """The boxes that go through the wall, clipped to it, and cautions as (kind, sentence's middle).

    What does not reach through the wall's thickness is left out, unless a door or a window stands in it or the wall
    is made of parts, which no opening cuts: then the file's word that it opens this wall is taken, with a caution.
    """
    found: list[ModelOpening] = []
    notes: list[tuple[str, str]] = []
    top = max(prism.top_start, prism.top_end)
    for box in boxes:
        entity = box.entity
        u, z = _clip(box.u, prism.start, prism.end), _clip(box.z, prism.bottom, top)
        fill = next((one.RelatedBuildingElement for one in entity.HasFillings or ()), None)
        reason = _outside(u, z)
        shallow = _not_through(box, prism)
        if reason is None and shallow is not None and has_body and fill is None:
            reason = f"{shallow}; the wall is counted as if it were closed there"
        kind = _kind(fill)
        opening = ModelOpening(
            entity.GlobalId, kind, u[0], u[1], z[0] - prism.bottom, z[1] - prism.bottom, *_hand(fill, wall_frame)
        )
        if reason is None and any(_is_same(opening, known) for known in found):
            reason = "lies where another opening of the same size does; counted once"
        if reason is not None:
            left_out.append(LeftOut(entity.GlobalId, f"opening of wall {wall.GlobalId}", reason))
            continue
        if shallow is not None:
            notes.append(("shallow opening", f"opening {entity.GlobalId} {shallow}; it is taken all the same"))
        past = max(prism.start - box.u[0], box.u[1] - prism.end)
        if past > EVEN:
            notes.append(
                ("opening past the wall", f"opening {entity.GlobalId} reaches {shown(past)} past its end; cut there")
            )
        if box.share < _BOXED:
            notes.append(
                ("not a rectangle", f"opening {entity.GlobalId} is not a rectangle; the box around it is framed")
            )
        found.append(opening)
    return found, notes


def _outside(u: tuple[float, float], z: tuple[float, float]) -> str | None:
    outside = u[1] - u[0] <= EVEN or z[1] - z[0] <= EVEN
    return "lies outside of the wall's length or height" if outside else None


def _not_through(box: Box, prism: Prism) -> str | None:
    v = _clip(box.v, prism.right, prism.left)
    if v[1] - v[0] <= 0:
        return "misses the wall in its thickness"
    if v[1] - v[0] < _THROUGH * (prism.left - prism.right):
        return f"is only {shown(v[1] - v[0])} deep and does not reach through the wall"
    return None


def _clip(span: tuple[float, float], low: float, high: float) -> tuple[float, float]:
    return max(span[0], low), min(span[1], high)


def _is_same(one: ModelOpening, other: ModelOpening) -> bool:
    pairs = ((one.start, other.start), (one.end, other.end), (one.sill, other.sill), (one.top, other.top))
    return all(abs(a - b) <= EVEN for a, b in pairs)


def _kind(fill: Entity | None) -> str:
    if fill is None:
        return OPENING
    return DOOR if fill.is_a("IfcDoor") else WINDOW if fill.is_a("IfcWindow") else OPENING


def _hand(fill: Entity | None, wall_frame: Frame) -> tuple[str, str]:
    """Hinge ("low" or "high" u) and swing of a single door. ISO 16739, IfcDoorTypeOperationEnum: the hinges of a left
    door are on the left as seen along its own y, towards which it opens.
    """
    if fill is None or not fill.is_a("IfcDoor"):
        return "", ""
    operation = getattr(fill, "OperationType", None)
    for relation in (*(getattr(fill, "IsTypedBy", None) or ()), *(fill.IsDefinedBy or ())):
        if operation is None and relation.is_a("IfcRelDefinesByType"):
            operation = getattr(relation.RelatingType, "OperationType", None)
    if operation not in ("SINGLE_SWING_LEFT", "SINGLE_SWING_RIGHT"):
        return "", ""
    try:
        local = placement_of(fill).inside(Frame((0.0, 0.0, 0.0), *wall_frame.inverse()[1:]))
    except NotTaken:
        return "", ""
    if abs(local.x[0]) < 0.99 or abs(local.y[1]) < 0.99:
        return "", ""
    is_low = (local.x[0] > 0) == (operation == "SINGLE_SWING_LEFT")
    return "low" if is_low else "high", "left" if local.y[1] > 0 else "right"
