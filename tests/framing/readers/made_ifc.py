"""Small building models made with the IFC library itself, as tests need them: walls, openings, storeys, units."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

import ifcopenshell
import ifcopenshell.guid

from framing.readers.models import read_model
from framing.readers.models.values import Imported

Entity = Any
Numbers = Sequence[float]
BOARDS = (("Plasterboard", 15.875), ("Metal Stud", 92.075), ("Plasterboard", 15.875))  # 5/8, 3 5/8, 5/8 in, in mm


class Made:
    """A model in the making. All lengths are given in mm and written in the model's own unit of `mm` millimetres."""

    def __init__(self, schema: str = "IFC4", mm: float = 1.0, storeys: Sequence[tuple[str, float]] = (("Level 1", 0),)):
        self.file = ifcopenshell.file(schema=schema)
        self.schema, self.mm = schema, mm
        context = self._new("IfcGeometricRepresentationContext", None, "Model", 3, 1e-5, self.frame(), None)
        self.context = context
        self.project = self._new("IfcProject", self.guid(), None, "Made for a test")
        self.project.RepresentationContexts = [context]
        self.project.UnitsInContext = self._new("IfcUnitAssignment", self._units())
        self.site = self._new("IfcSite", self.guid(), ObjectPlacement=self.place())
        self.building = self._new("IfcBuilding", self.guid(), ObjectPlacement=self.place(self.site))
        self.storeys: dict[str, Entity] = {}
        for name, floor in storeys:
            at = self.place(self.building, (0, 0, floor))
            storey = self._new("IfcBuildingStorey", self.guid(), None, name, ObjectPlacement=at)
            storey.Elevation = floor / mm
            self.storeys[name] = storey

    def _new(self, kind: str, *values: Any, **named: Any) -> Entity:
        return self.file.create_entity(kind, *values, **named)

    def _units(self) -> list[Entity]:
        metre = self._new("IfcSIUnit", None, "LENGTHUNIT", None, "METRE")
        areas = [self._new("IfcSIUnit", None, "AREAUNIT", None, "SQUARE_METRE")]
        if self.mm == 1.0:
            return [self._new("IfcSIUnit", None, "LENGTHUNIT", "MILLI", "METRE"), *areas]
        if self.mm == 1000.0:
            return [metre, *areas]
        name = {25.4: "INCH", 304.8: "FOOT"}[self.mm]
        size = self._new(
            "IfcMeasureWithUnit",
            self._new("IfcLengthMeasure", self.mm / 1000),
            self._new("IfcSIUnit", None, "LENGTHUNIT", None, "METRE"),
        )
        powers = self._new("IfcDimensionalExponents", 1, 0, 0, 0, 0, 0, 0)
        return [self._new("IfcConversionBasedUnit", powers, "LENGTHUNIT", name, size), *areas]

    def guid(self) -> str:
        return ifcopenshell.guid.new()

    # geometry

    def point(self, *parts: float) -> Entity:
        return self._new("IfcCartesianPoint", [float(part) / self.mm for part in parts])

    def direction(self, *parts: float) -> Entity:
        return self._new("IfcDirection", [float(part) for part in parts])

    def frame(self, at: Numbers = (0, 0, 0), x: Numbers | None = None, z: Numbers = (0, 0, 1)) -> Entity:
        axis = None if x is None else self.direction(*z)
        return self._new("IfcAxis2Placement3D", self.point(*at), axis, None if x is None else self.direction(*x))

    def place(self, inside: Entity | None = None, at: Numbers = (0, 0, 0), x: Numbers | None = None) -> Entity:
        outer = None if inside is None else (inside if inside.is_a("IfcLocalPlacement") else inside.ObjectPlacement)
        return self._new("IfcLocalPlacement", outer, self.frame(at, x))

    def box(self, length: float, width: float, height: float, at: Numbers = (0, 0, 0)) -> Entity:
        """A block from `at`, its width centred on the line."""
        middle = self._new("IfcAxis2Placement2D", self.point(length / 2, 0), None)
        profile = self._new("IfcRectangleProfileDef", "AREA", None, middle, length / self.mm, width / self.mm)
        return self._new("IfcExtrudedAreaSolid", profile, self.frame(at), self.direction(0, 0, 1), height / self.mm)

    def _outline(self, outline: Iterable[Numbers]) -> Entity:
        points = [self.point(*point) for point in outline]
        line = self._new("IfcPolyline", [*points, points[0]])
        return self._new("IfcArbitraryClosedProfileDef", "AREA", None, line)

    def prism(self, outline: Iterable[Numbers], height: float) -> Entity:
        """A block on a footprint."""
        points = [self.point(*point) for point in outline]
        profile = self._new(
            "IfcArbitraryClosedProfileDef", "AREA", None, self._new("IfcPolyline", [*points, points[0]])
        )
        return self._new("IfcExtrudedAreaSolid", profile, self.frame(), self.direction(0, 0, 1), height / self.mm)

    def slab(self, outline: Iterable[Numbers], width: float) -> Entity:
        """A block on an elevation (x, z), as thick as `width`, centred on the line."""
        points = [self.point(*point) for point in outline]
        profile = self._new(
            "IfcArbitraryClosedProfileDef", "AREA", None, self._new("IfcPolyline", [*points, points[0]])
        )
        upright = self.frame((0, width / 2, 0), (1, 0, 0), (0, -1, 0))
        return self._new("IfcExtrudedAreaSolid", profile, upright, self.direction(0, 0, 1), width / self.mm)

    def plane_cut(self, body: Entity, at: Numbers, normal: Numbers, boundary: Entity | None = None) -> Entity:
        """The body less all that lies behind a plane: on the side from which `normal` points away."""
        x = (1, 0, 0) if abs(normal[0]) < 0.9 else (0, 1, 0)
        plane = self._new("IfcPlane", self.frame(at, x, normal))
        if boundary is None:
            half = self._new("IfcHalfSpaceSolid", plane, True)
        else:
            half = self._new("IfcPolygonalBoundedHalfSpace", plane, True, self.frame(), boundary)
        return self._new("IfcBooleanClippingResult", "DIFFERENCE", body, half)

    def shape(
        self, body: Entity | None, kind: str = "SweptSolid", axis: Sequence[Numbers] | Entity | None = None
    ) -> Entity:
        found = []
        if axis is not None:
            curve = axis if hasattr(axis, "is_a") else self._new("IfcPolyline", [self.point(*point) for point in axis])
            found.append(self._new("IfcShapeRepresentation", self.context, "Axis", "Curve2D", [curve]))
        if body is not None:
            bodies = body if isinstance(body, list) else [body]
            found.append(self._new("IfcShapeRepresentation", self.context, "Body", kind, bodies))
        return self._new("IfcProductDefinitionShape", None, None, found) if found else None

    # elements

    def wall(
        self,
        start: Numbers = (0, 0),
        along: Numbers = (1, 0),
        length: float = 3000,
        height: float = 2743.2,
        *,
        storey: str | None = "Level 1",
        base: float = 0.0,
        layers: Sequence[tuple[str, float]] = BOARDS,
        type_name: str = "Partition",
        body: Entity | str | None = "box",
        body_kind: str = "SweptSolid",
        axis: Any = "line",
        inside: Entity | None = None,
        guid: str | None = None,
        tag: str | None = None,
        sense: str = "NEGATIVE",
        **common: Any,
    ) -> Entity:
        """A wall whose own x runs from `start` along a direction, its layers centred on that line."""
        kind = "IfcWallStandardCase" if self.schema == "IFC2X3" else "IfcWall"
        wall = self._new(kind, guid or self.guid(), None, f"{type_name}:{tag or 1}", None, f"{type_name}:77")
        host = inside if inside is not None else (self.storeys[storey] if storey else self.building)
        wall.ObjectPlacement = self.place(host, (*start, base), (*along, 0))
        wall.Tag = tag
        thickness = sum(size for _, size in layers) or 100.0
        solid = self.box(length, thickness, height) if body == "box" else body
        line = [(0, 0), (length, 0)] if axis == "line" else axis
        wall.Representation = self.shape(solid, body_kind, line)
        if storey is not None:
            self._new("IfcRelContainedInSpatialStructure", self.guid(), None, None, None, [wall], self.storeys[storey])
        if layers:
            self.layers(wall, layers, thickness / 2 if sense == "NEGATIVE" else -thickness / 2, sense)
        if common:
            self.properties(wall, "Pset_WallCommon", common)
        return wall

    def layers(self, wall: Entity, layers: Sequence[tuple[str, float]], offset: float, sense: str) -> None:
        made = [self._new("IfcMaterialLayer", self._new("IfcMaterial", name), size / self.mm) for name, size in layers]
        chosen = self._new("IfcMaterialLayerSet", made, "Set")
        usage = self._new("IfcMaterialLayerSetUsage", chosen, "AXIS2", sense, offset / self.mm)
        self._new("IfcRelAssociatesMaterial", self.guid(), None, None, None, [wall], usage)

    def properties(self, wall: Entity, name: str, values: dict[str, Any]) -> None:
        kinds = {bool: "IfcBoolean", str: "IfcLabel", float: "IfcAreaMeasure"}
        made = [
            self._new("IfcPropertySingleValue", key, None, self._new(kinds[type(value)], value), None)
            for key, value in values.items()
        ]
        found = self._new("IfcPropertySet", self.guid(), None, name, None, made)
        self._new("IfcRelDefinesByProperties", self.guid(), None, None, None, [wall], found)

    def quantities(
        self, wall: Entity, values: Sequence[tuple[str, float]], name: str = "Qto_WallBaseQuantities"
    ) -> None:
        """Lengths in mm, areas (names with Area) in square metres: the file's own area unit."""
        made = []
        for key, value in values:
            is_area = "Area" in key or "fläche" in key
            kind = "IfcQuantityArea" if is_area else "IfcQuantityLength"
            made.append(self._new(kind, key, None, None, value if is_area else value / self.mm))
        found = self._new("IfcElementQuantity", self.guid(), None, name, None, None, made)
        self._new("IfcRelDefinesByProperties", self.guid(), None, None, None, [wall], found)

    def opening(
        self,
        wall: Entity,
        at: float,
        width: float,
        height: float,
        sill: float = 0.0,
        *,
        depth: float = 400.0,
        aside: float = 0.0,
        fill: str | None = "IfcDoor",
        body: Entity | None = None,
    ) -> Entity:
        opening = self._new("IfcOpeningElement", self.guid())
        opening.ObjectPlacement = self.place(wall, (at, aside, sill))
        opening.Representation = self.shape(body if body is not None else self.box(width, depth, height))
        self._new("IfcRelVoidsElement", self.guid(), None, None, None, wall, opening)
        if fill is not None:
            door = self._new(fill, self.guid())
            door.ObjectPlacement = self.place(opening)
            self._new("IfcRelFillsElement", self.guid(), None, None, None, opening, door)
        return opening

    def joint(self, first: Entity, first_end: str, second: Entity, second_end: str) -> None:
        one = self._new("IfcRelConnectsPathElements", self.guid(), None, None, None, None, first, second)
        one.RelatingPriorities, one.RelatedPriorities = [], []
        one.RelatingConnectionType, one.RelatedConnectionType = first_end, second_end

    def save(self, folder: Path, name: str = "made.ifc") -> Path:
        path = folder / name
        self.file.write(str(path))
        return path

    def read(self, folder: Path, types: Path | None = None) -> Imported:
        return read_model(self.save(folder), types)


def the_reason(model: Imported) -> str:
    """The reason of the one element that was left out."""
    assert len(model.left_out) == 1, model.left_out
    return model.left_out[0].reason
