"""The take-off of an imported model: the plan's own, with what the file says of each wall beside it, and what was left
out.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from framing.length import inches, rounded
from framing.readers.models.exact import exact
from framing.readers.models.values import Imported, Source
from framing.takeoff import caution_json, takeoff

_SQUARE_MM_PER_SQUARE_FOOT = Fraction(3048, 10) ** 2


def imported_takeoff(model: Imported, *, explain: bool = False) -> dict[str, Any]:
    """The printed object of a plan's take-off; each wall also carries `source_id`, `stated` and `measured`, each level
    the import's cautions, and `left_out` what was not taken. `model` says how the file was read.
    """
    found = takeoff(model.plan, explain=explain)
    for level in found["levels"]:
        for wall in level["walls"]:
            source = model.sources[level["name"], wall["mark"]]
            wall["source_id"] = source.id
            wall["stated"] = _stated(source)
            wall["measured"] = _measured(source)
        level["cautions"] += [caution_json(caution) for caution in model.cautions.get(level["name"], ())]
    found["left_out"] = [{"id": one.id, "what": one.what, "reason": one.reason} for one in model.left_out]
    found["model"] = {
        "kind": model.kind,
        "unit": model.unit,
        "types_from": model.types_from,
        "walls_in_file": model.elements,
        "walls_taken": len({source.id for source in model.sources.values()}),
        "cautions": [caution_json(caution) for caution in model.cautions.get("", ())],
    }
    return found


def _length(millimetres: float) -> str:
    """Decimal inches, exact from the grid of 0.0001 mm."""
    return inches(exact(millimetres, is_imperial=False))


def _area(square_millimetres: float) -> str:
    return rounded(Fraction(round(square_millimetres)) / _SQUARE_MM_PER_SQUARE_FOOT)


def _stated(source: Source) -> dict[str, str]:
    """What the file itself states of the wall, where it cannot be mistaken."""
    stated = source.stated
    lengths = (("length_in", stated.length), ("height_in", stated.height), ("width_in", stated.width))
    found = {name: _length(value) for name, value in lengths if value is not None}
    if stated.net_area is not None:
        found["net_area_sqft"] = _area(stated.net_area)
    if found:
        found["from"] = stated.source
    return found


def _measured(source: Source) -> dict[str, str]:
    """What the file's own geometry measures of the wall, before its ends are run to other walls."""
    return {
        "length_in": _length(source.length),
        "height_in": _length(source.height),
        "width_in": _length(source.width),
        "net_area_sqft": _area(source.net_area),
    }


def imported_text(found: dict[str, Any]) -> str:
    """What to read first of an imported model: how it was read, and what was left out, by reason."""
    return "\n".join(_lines(found))


def _lines(found: dict[str, Any]) -> Iterator[str]:
    model = found["model"]
    yield (
        f"Read from {model['kind']} (unit: {model['unit']}), types from {model['types_from']}: "
        f"{model['walls_taken']} of {model['walls_in_file']} walls taken."
    )
    for caution in model["cautions"]:
        yield f"  {caution['kind']}: {caution['sentence']}"
    if found["left_out"]:
        yield ""
        yield f"Left out: {len(found['left_out'])} elements"
    by_reason: dict[str, list[dict[str, str]]] = defaultdict(list)
    for one in found["left_out"]:
        by_reason[one["reason"]].append(one)
    for reason, ones in by_reason.items():
        yield f"  {len(ones)} x {reason}" if len(ones) > 1 else f"  {reason}"
        yield from (f"      {one['id']}  {one['what']}" for one in ones)
    yield from _stated_table(found["levels"])
    yield ""


def _stated_table(levels: list[dict[str, Any]]) -> Iterator[str]:
    """What the file states of the walls taken, beside what its geometry measures; inches and square feet."""
    rows = [
        (f"{level['name']}, {wall['mark']}", wall["stated"], wall["measured"])
        for level in levels
        for wall in level["walls"]
        if wall["stated"]
    ]
    if not rows:
        return
    yield ""
    yield "Stated by the file / measured from its geometry (in, sq ft)"
    names = ("length_in", "height_in", "width_in", "net_area_sqft")
    body: list[tuple[str, ...]] = [("wall", "length", "height", "width", "net area")]
    for where, stated, measured in rows:
        body.append((where, *(f"{stated.get(name, '-')} / {measured[name]}" for name in names)))
    widths = [max(len(row[column]) for row in body) for column in range(len(body[0]))]
    for row in body:
        yield ("  " + "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True))).rstrip()
