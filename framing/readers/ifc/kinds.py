"""What kind of wall an element is: its type's name, its layers, and the words that set it apart from a partition."""

from __future__ import annotations

import re
from dataclasses import dataclass

from framing.readers.ifc.frames import Entity
from framing.readers.ifc.units import Units
from framing.readers.models.values import NotTaken, printable

_NUMBER_AT_END = re.compile(r":\d+$")
_LONGEST_NAME = 120
_FLAGS_OF_KIND = {
    "PARAPET": "parapet",
    "RETAININGWALL": "retaining",
    "SHEAR": "shear",
    "MOVABLE": "movable",
}
_THICKEST = 10_000.0  # mm
_COMMON = ("Pset_WallCommon",)


@dataclass(frozen=True, slots=True)
class RawLayer:
    """One layer of a layer set: name and thickness in mm."""

    name: str
    thickness: float


@dataclass(frozen=True, slots=True)
class Layers:
    """Layers from the first to the last. `offset`: v of the first layer's outer face; `sense`: +1 or -1 along v."""

    layers: tuple[RawLayer, ...] = ()
    offset: float | None = None
    sense: int = 1
    materials: tuple[str, ...] = ()


def type_of(element: Entity) -> Entity | None:
    """The element's type object, if it has one."""
    relations = [*(getattr(element, "IsTypedBy", None) or ()), *(element.IsDefinedBy or ())]
    return next((one.RelatingType for one in relations if one.is_a("IfcRelDefinesByType")), None)


def type_name(element: Entity) -> str:
    """The name under which the mapping file speaks of this kind of wall."""
    kind = type_of(element)
    names = [kind.Name if kind is not None else None, element.ObjectType, element.Name]
    name = next((str(one).strip() for one in names if one and str(one).strip()), "")
    name = _NUMBER_AT_END.sub("", name)
    return printable(name, _LONGEST_NAME) or "without a type"


def property_sets(element: Entity) -> list[Entity]:
    """Property sets and quantity sets: the element's own first, then its type's."""
    own = [one.RelatingPropertyDefinition for one in element.IsDefinedBy or () if one.is_a("IfcRelDefinesByProperties")]
    kind = type_of(element)
    return own + list((kind.HasPropertySets if kind is not None else None) or ())


def common(element: Entity, name: str) -> object:
    """A property of the wall's standard set, its own before its type's; None where it is not stated."""
    for found in property_sets(element):
        if found.is_a("IfcPropertySet") and found.Name in _COMMON:
            for one in found.HasProperties:
                if one.Name == name and one.is_a("IfcPropertySingleValue") and one.NominalValue is not None:
                    return one.NominalValue.wrappedValue
    return None


def flags_of(element: Entity) -> tuple[str, ...]:
    """What sets a wall apart from a plain partition, in the file's own word: external, load-bearing, parapet, ..."""
    found = []
    if common(element, "IsExternal") is True:
        found.append("external")
    if common(element, "LoadBearing") is True:
        found.append("load-bearing")
    kind = type_of(element)
    for one in (element, kind):
        flag = _FLAGS_OF_KIND.get(str(getattr(one, "PredefinedType", "") or ""))
        if flag and flag not in found:
            found.append(flag)
    return tuple(found)


def is_fire_rated(element: Entity) -> bool:
    """A rating with a figure in it that is not zero: "1 hour", "EI 60"; not "none" or a template's placeholder."""
    stated = common(element, "FireRating")
    return isinstance(stated, str) and any(letter in "123456789" for letter in stated)


def layers_of(element: Entity, units: Units) -> Layers:
    """The wall's layers, its own before its type's. Only names where the file gives no thickness."""
    for one in (element, type_of(element)):
        for relation in getattr(one, "HasAssociations", None) or ():
            if relation.is_a("IfcRelAssociatesMaterial") and relation.RelatingMaterial is not None:
                return _layers(relation.RelatingMaterial, units)
    return Layers()


def _layers(material: Entity, units: Units) -> Layers:
    offset, sense = None, 1
    if material.is_a("IfcMaterialLayerSetUsage"):
        if material.LayerSetDirection == "AXIS2":
            offset = float(material.OffsetFromReferenceLine) * units.length
        sense = -1 if material.DirectionSense == "NEGATIVE" else 1
        material = material.ForLayerSet
    if material.is_a("IfcMaterialLayerSet"):
        layers = tuple(
            RawLayer(_layer_name(layer), float(layer.LayerThickness) * units.length)
            for layer in material.MaterialLayers
            if layer.LayerThickness and layer.LayerThickness > 0
        )
        if any(layer.thickness > _THICKEST for layer in layers):
            raise NotTaken("has a layer of more than ten metres")
        return Layers(layers, offset, sense, tuple(layer.name for layer in layers))
    if material.is_a("IfcMaterialList"):
        return Layers(materials=tuple(_name(one) for one in material.Materials))
    if material.is_a("IfcMaterialConstituentSet"):
        return Layers(materials=tuple(_name(one.Material) for one in material.MaterialConstituents or ()))
    return Layers(materials=(_name(material),) if material.is_a("IfcMaterial") else ())


def _layer_name(layer: Entity) -> str:
    names = [_name(layer.Material) if layer.Material is not None else "", printable(getattr(layer, "Name", None) or "")]
    return next((name for name in names if name), "without a name")


def _name(material: Entity | None) -> str:
    return printable(getattr(material, "Name", None) or "", _LONGEST_NAME)
