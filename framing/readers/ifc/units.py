"""The file's units: millimetres in its length unit, square millimetres in its area unit, each on its own."""

from __future__ import annotations

import math
from dataclasses import dataclass

from framing.readers.ifc.frames import Entity
from framing.readers.models.values import printable

_PREFIXES = {
    None: 1.0, "KILO": 1e3, "HECTO": 1e2, "DECA": 1e1, "DECI": 1e-1, "CENTI": 1e-2, "MILLI": 1e-3, "MICRO": 1e-6,
}  # fmt: skip
_EXACT_LENGTHS = (25.4, 304.8, 914.4)  # inch, foot, yard: files round their own factors
_LONGEST_NAME = 60


class NoUnit(ValueError):
    """The file does not say its length unit in a way that can be read: the middle of a sentence."""


@dataclass(frozen=True, slots=True)
class Units:
    """`length`: mm per unit. `area`: mm² per unit, None where the file does not say. `angle`: radians per unit."""

    name: str
    length: float
    area: float | None
    angle: float
    is_imperial: bool


def units_of(assignment: Entity | None) -> Units:
    """Read an IfcUnitAssignment. Raises NoUnit where the length unit is missing or unknown."""
    by_kind = {}
    for entity in assignment.Units if assignment is not None else ():
        if entity.is_a("IfcNamedUnit") and entity.UnitType not in by_kind:
            by_kind[entity.UnitType] = entity
    if "LENGTHUNIT" not in by_kind:
        raise NoUnit("names no length unit")
    length = factor(by_kind["LENGTHUNIT"], 1)
    if length is None:
        raise NoUnit(f"is in a length unit that is not read ({_name(by_kind['LENGTHUNIT'])})")
    area = factor(by_kind["AREAUNIT"], 2) if "AREAUNIT" in by_kind else None
    angle = _in_si(by_kind["PLANEANGLEUNIT"], 0) if "PLANEANGLEUNIT" in by_kind else None
    is_imperial = any(abs(length / known - 1) < 1e-9 for known in _EXACT_LENGTHS)
    return Units(_name(by_kind["LENGTHUNIT"]), length, area, angle or 1.0, is_imperial)


def factor(unit: Entity, power: int) -> float | None:
    """Millimetres, or square millimetres for power 2, in one unit; None where it cannot be told."""
    metres = _in_si(unit, power)
    if metres is None:
        return None
    found = metres * 1000.0**power
    for known in _EXACT_LENGTHS:
        if abs(found / known**power - 1) < 1e-4:
            return float(known**power)
    return found


def _in_si(unit: Entity, power: int) -> float | None:
    """Size in the SI's own unit (metre, square metre, radian). An area's prefix counts twice: mm² is 1e-6 m²."""
    found = None
    if unit.is_a("IfcSIUnit"):
        prefix = _PREFIXES.get(unit.Prefix)
        found = None if prefix is None else prefix ** max(power, 1)
    elif unit.is_a("IfcConversionBasedUnit"):
        measure = unit.ConversionFactor
        inner = measure.UnitComponent
        if inner.is_a("IfcSIUnit"):
            base = _in_si(inner, power)
            found = None if base is None else float(measure.ValueComponent.wrappedValue) * base
    return found if found is not None and math.isfinite(found) and found > 0 else None


def _name(unit: Entity) -> str:
    if unit.is_a("IfcSIUnit"):
        return f"{unit.Prefix or ''}{unit.Name}".lower()
    return printable(getattr(unit, "Name", None) or unit.is_a(), _LONGEST_NAME).lower()
