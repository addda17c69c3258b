"""What the take-off measures and people are paid by: the quantities of a wall, face, layer, opening or level.

Works on the take-off's JSON (see `jobs.geometry`); it knows no geometry, only which count stands where.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

PLACES = 4
ROUNDING = {
    "rule": "quantity rounded half up to four decimals, once, when measured",
    "source": "the house's own rule",
}


@dataclass(frozen=True, slots=True)
class Measure:
    """A count of the take-off that people are paid by. `per` divides it into `unit`; `grains` can be told apart."""

    count: str
    unit: str
    per: int
    grains: tuple[str, ...]


# Units: common practice, no source.
MEASURES: dict[str, Measure] = {
    "track": Measure("track_in", "LF", 12, ("wall", "level")),
    "studs": Measure("studs", "each", 1, ("wall", "level")),
    "stud length": Measure("stud_in", "LF", 12, ("wall", "level")),
    "openings": Measure("openings", "each", 1, ("opening", "wall", "level")),
    "board": Measure("board_net_sqft", "sq ft", 1, ("layer", "face", "wall", "level")),
    "sheets": Measure("sheets", "sheet", 1, ("layer", "face", "wall", "level")),
    "bead": Measure("bead_in", "LF", 12, ("wall", "level")),
    "tape": Measure("tape_in", "LF", 12, ("wall", "level")),
    **{
        f"tape, finish level {level}": Measure(f"tape_level_{level}_in", "LF", 12, ("wall", "level"))
        for level in range(1, 6)
    },
    "skim coat": Measure("skim_sqft", "sq ft", 1, ("wall", "level")),
    "sealant": Measure("sealant_in", "LF", 12, ("wall", "level")),
    "corners": Measure("corners", "each", 1, ("wall", "level")),
    "door corners": Measure("door_corners", "each", 1, ("wall", "level")),
    "extras": Measure("extras", "each", 1, ("wall", "level")),
}


@dataclass(frozen=True, slots=True)
class Measured:
    """The quantity of one work unit and why. Empty face, layer 0 and empty opening stand for the whole wall."""

    quantity: Decimal
    because: list[dict[str, Any]]
    face: str = ""
    layer: int = 0
    opening: str = ""


def measured(name: str, grain: str, found: Mapping[str, Any]) -> Iterator[Measured]:
    """The quantities of measure `name` on one wall (or, for grain level, one level) of the take-off, above zero only.

    What the engine did not compute is absent, and then nothing is yielded: no quantity is ever a guess.
    """
    measure = MEASURES[name]
    if grain == "opening":
        for opening in found.get("openings", []):
            because = [
                {"rule": "one for each opening", "source": "common practice, no source", "term": opening["kind"]}
            ]
            yield Measured(Decimal(1), because, opening=opening["mark"])
    elif grain in {"face", "layer"}:
        yield from _by_face(measure, grain, found.get("faces", []))
    else:
        yield from _one(measure, found.get("counts", {}).get(measure.count), _reasons(found, measure.count))


def _by_face(measure: Measure, grain: str, faces: list[dict[str, Any]]) -> Iterator[Measured]:
    layers: dict[tuple[str, int], list[dict[str, Any]]] = {}
    for part in faces:
        layers.setdefault((part["face"], part["layer"] if grain == "layer" else 0), []).append(part)
    for (face, layer), parts in layers.items():
        counts = [Fraction(part[measure.count]) for part in parts if part.get(measure.count) is not None]
        if counts:
            # A face's reasons are those of its board; the other counts of a face come without.
            told = parts if measure.count == "board_net_sqft" else []
            reasons = [reason for part in told for reason in part.get("because", [])]
            yield from _one(measure, sum(counts, Fraction(0)), reasons, face=face, layer=layer)


def _one(
    measure: Measure, count: Any, reasons: list[dict[str, Any]], *, face: str = "", layer: int = 0
) -> Iterator[Measured]:
    if count is None:
        return
    exact = Fraction(count) / measure.per
    quantity = half_up(exact)
    if quantity <= 0:
        return
    because = list(reasons)
    if Fraction(quantity) != exact:
        because.append(ROUNDING | {"term": f"{exact} = {quantity} {measure.unit}"})
    yield Measured(quantity, because, face=face, layer=layer)


def _reasons(found: Mapping[str, Any], count: str) -> list[dict[str, Any]]:
    reasons = found.get("because", {})
    return list(reasons.get(count, [])) if isinstance(reasons, Mapping) else list(reasons)


def half_up(exact: Fraction) -> Decimal:
    """Round to four decimals, halves away from zero."""
    steps = abs(exact) * 10**PLACES
    whole = steps.numerator // steps.denominator
    if 2 * (steps - whole) >= 1:
        whole += 1
    return Decimal(whole if exact >= 0 else -whole).scaleb(-PLACES)
