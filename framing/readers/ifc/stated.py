"""Quantities that the file states of a wall. They never replace geometry: they stand beside it and are compared.

A figure is taken only where it cannot be mistaken: one value under a known name in the wall's own quantity sets; an
area also from its property sets where there is no quantity set. A name stated twice with different values is not taken.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from framing.readers.ifc.frames import Entity
from framing.readers.ifc.units import Units, factor
from framing.readers.models.values import Stated, printable

_NAMES = {
    "length": {"length", "länge", "longueur", "lengte", "longitud", "lunghezza"},
    "height": {"height", "höhe", "hauteur", "hoogte", "altura", "altezza"},
    "width": {"width", "thickness", "breite", "dicke", "largeur", "épaisseur", "breedte", "dikte", "ancho", "espesor"},
    "net_area": {"netsidearea", "nettoseitenfläche"},
}
_AREA_PROPERTIES = {"area", "netarea", "netsidearea", "fläche", "nettofläche", "superficie", "oppervlakte"}
_SAME = 1e-6
_LARGEST = 1e10  # mm or mm²: more is no quantity of a wall


def stated_of(element: Entity, units: Units) -> tuple[Stated, tuple[str, ...]]:
    """What is stated, and the names that are stated more than once with different values."""
    own = [one.RelatingPropertyDefinition for one in element.IsDefinedBy or () if one.is_a("IfcRelDefinesByProperties")]
    found: dict[str, list[tuple[float, str]]] = defaultdict(list)
    for group in own:
        if group.is_a("IfcElementQuantity"):
            for kind, value in _quantities(group, units):
                found[kind].append((value, printable(group.Name or "a quantity set")))
    if "net_area" not in found and units.area is not None:
        for group in own:
            if group.is_a("IfcPropertySet"):
                found["net_area"] += [(value, printable(group.Name)) for value in _areas(group, units.area)]
    single = {kind: _only([value for value, _ in values]) for kind, values in found.items()}
    one_value = {kind: value for kind, value in single.items() if value is not None}
    twice = tuple(kind for kind, values in found.items() if values and kind not in one_value)
    sources = list(dict.fromkeys(source for kind in one_value for _, source in found[kind]))
    return Stated(**one_value, source=", ".join(sources)), twice


def _quantities(group: Entity, units: Units) -> Iterator[tuple[str, float]]:
    for one in group.Quantities or ():
        name = str(one.Name or "").lower().replace(" ", "").replace("_", "")
        kind = next((kind for kind, names in _NAMES.items() if name in names), None)
        if kind is None:
            continue
        own = one.Unit
        if kind == "net_area" and one.is_a("IfcQuantityArea"):
            per = factor(own, 2) if own is not None else units.area
            if per is not None:
                yield kind, float(one.AreaValue) * per
        elif kind != "net_area" and one.is_a("IfcQuantityLength"):
            per = factor(own, 1) if own is not None else units.length
            if per is not None:
                yield kind, float(one.LengthValue) * per


def _areas(group: Entity, per: float) -> Iterator[float]:
    for one in group.HasProperties:
        if not one.is_a("IfcPropertySingleValue") or one.NominalValue is None or one.Unit is not None:
            continue
        name = str(one.Name or "").lower().replace(" ", "").replace("_", "")
        if name in _AREA_PROPERTIES and one.NominalValue.is_a("IfcAreaMeasure"):
            yield float(one.NominalValue.wrappedValue) * per


def _only(values: list[float]) -> float | None:
    """The one value that all are; None where they differ or are no size of a wall."""
    low, high = min(values, default=0.0), max(values, default=0.0)
    return low if low > 0 and high < _LARGEST and high - low <= _SAME * high else None
