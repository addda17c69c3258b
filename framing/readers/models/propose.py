"""What the reader itself would make of a model's kinds of wall: a mapping file for a person to correct.

A kind is taken where one of its layers is steel studs of a stocked web and nothing sets it apart from a partition.
Stocked sections and board sizes are common practice, no source; they are the first thing to correct.
"""

from __future__ import annotations

from collections import Counter
from typing import Any

from framing.readers.models.mapping import FORMAT, ModelTypes, types_from_value
from framing.readers.models.values import Model, ModelWall

PROPOSAL = "the reader's proposal"
WEB_WITHIN = 1.0  # mm between a layer and the web that is proposed for it
BOARD_WITHIN = 0.5
_WEBS = {"162": 41.275, "250": 63.5, "350": 88.9, "362": 92.075, "400": 101.6, "550": 139.7, "600": 152.4, "800": 203.2}
_BOARDS = {"1/4": 6.35, "3/8": 9.525, "1/2": 12.7, "5/8": 15.875}
_THICKEST_BOARD = 30.0
_STEEL = (
    "metal stud",
    "metal - stud",
    "steel stud",
    "stud",
    "steel fram",
    "light gauge",
    "lightgauge",
    "ständer",
    "cw-profil",
)
_BOARD = ("plasterboard", "gypsum", "drywall", "wallboard", "gyp", "gips", "plâtre")
_INSULATION = ("insulation", "mineral wool", "glass wool", "batt", "dämm", "isolant")
_WOOD = ("wood", "timber", "lumber", "holz", "bois")
_SOLID = ("concrete", "masonry", "brick", "block", "cmu", "stone", "beton", "béton", "mauerwerk")
_FLAG_WORDS = {"foundation": "foundation", "footing": "foundation", "parapet": "parapet", "retaining": "retaining"}
_BY_FLAG = {
    "external": "is an external wall",
    "load-bearing": "is load-bearing",
    "shear": "is a shear wall",
    "parapet": "is a parapet",
    "foundation": "is a foundation",
    "retaining": "is a retaining wall",
    "movable": "is a movable partition",
}
_SHOWN_LAYERS = 12


def propose_types(model: Model) -> dict[str, Any]:
    """The mapping file's value for a model of walls with types."""
    boards: dict[str, Any] = {}
    wall_types: dict[str, Any] = {}
    rows = []
    groups: dict[tuple[str, tuple[str, ...]], list[ModelWall]] = {}
    for wall in model.walls:
        groups.setdefault((wall.type_name, tuple(sorted(wall.flags))), []).append(wall)
    for (name, flags), walls in groups.items():
        rows.append(_row(name, flags, walls, boards, wall_types))
    return {
        "format": FORMAT,
        "model": model.name,
        "length_unit": "in",
        "boards": boards,
        "wall_types": wall_types,
        "types": rows,
    }


def proposed(model: Model) -> ModelTypes:
    """The proposal as a mapping file that was read."""
    return types_from_value(propose_types(model), PROPOSAL)


def _row(
    name: str, flags: tuple[str, ...], walls: list[ModelWall], boards: dict[str, Any], wall_types: dict[str, Any]
) -> dict[str, Any]:
    # Walls of one kind may differ in their layers: the commonest speak for all, and `settle` refuses the rest.
    wall = _commonest(walls)
    reason = _not_ours(name, flags, wall)
    steel, why = _steel(wall, any(one.fire_rated for one in walls), boards, wall_types)
    take = reason is None and bool(steel)
    row: dict[str, Any] = {
        "model_type": name,
        "flags": list(flags),
        "walls": len(walls),
        "thickness": _mm(wall.thickness),
        "layers": [f"{_mm(layer.thickness)} {layer.name}" for layer in wall.layers[:_SHOWN_LAYERS]]
        or list(wall.materials),
        "take": take,
        "steel": steel,
    }
    if not take or not wall.layers:
        row["because"] = reason or why
    return row


def _commonest(walls: list[ModelWall]) -> ModelWall:
    kinds = Counter(_layer_key(wall) for wall in walls)
    best = kinds.most_common(1)[0][0]
    return next(wall for wall in walls if _layer_key(wall) == best)


def _layer_key(wall: ModelWall) -> tuple[tuple[str, int], ...]:
    return tuple((layer.name, round(layer.thickness)) for layer in wall.layers)


def _not_ours(name: str, flags: tuple[str, ...], wall: ModelWall) -> str | None:
    low = name.lower()
    named = [flag for word, flag in _FLAG_WORDS.items() if word in low]
    reasons = [_BY_FLAG.get(flag, f"is {flag}") for flag in dict.fromkeys((*flags, *named))]
    if reasons:
        return " and ".join(reasons)
    materials = [text.lower() for text in (*wall.materials, *(layer.name for layer in wall.layers))]
    if _has(low, _WOOD) or any(_has(text, _WOOD) for text in materials):
        return "is framed in wood"
    solid = next((text for text in materials if _has(text, _SOLID) and not _has(text, _BOARD)), None)
    return f"has a layer of {solid}" if solid else None


def _steel(
    wall: ModelWall, fire_rated: bool, boards: dict[str, Any], wall_types: dict[str, Any]
) -> tuple[list[dict[str, Any]], str]:
    """Rows of steel with our types for them, and the reason in words."""
    studs = [number for number, layer in enumerate(wall.layers, 1) if _has(layer.name.lower(), _STEEL)]
    if not wall.layers and not wall.materials:
        return _guessed(wall, fire_rated, boards, wall_types)
    if not studs:
        return [], "has no layer of steel studs"
    found = []
    for number in studs:
        layer = wall.layers[number - 1]
        web = _nearest(layer.thickness, _WEBS, WEB_WITHIN)
        if web is None:
            return (
                [],
                f"has a stud layer of {_mm(layer.thickness)}, a web that is not stocked; say which of our types it is",
            )
        before, after = wall.layers[: number - 1][::-1], wall.layers[number:]
        left, right = (_boards(side, boards) for side in (before, after))
        is_insulated = any(_has(one.name.lower(), _INSULATION) for one in (*before[:1], *after[:1]))
        kind = _our_type(web, left, right, fire_rated, is_insulated, wall_types)
        found.append({"layer": number, "type": kind})
    return found, ""


def _guessed(
    wall: ModelWall, fire_rated: bool, boards: dict[str, Any], wall_types: dict[str, Any]
) -> tuple[list[dict[str, Any]], str]:
    for web, size in _WEBS.items():
        if abs(wall.thickness - size - 2 * _BOARDS["5/8"]) <= WEB_WITHIN:
            board = _board("5/8", "5/8", boards)
            kind = _our_type(web, [board], [board], fire_rated, False, wall_types)
            reason = f"is as thick as a {web} stud with 5/8 in board on both faces; the model names no layers"
            return [{"layer": 0, "type": kind}], reason
    return [], f"names no layers, and {_mm(wall.thickness)} is no stocked stud with 5/8 in board on both faces"


def _boards(layers: Any, boards: dict[str, Any]) -> list[str]:
    """Board layers from the steel outward, up to the first layer that is neither board nor insulation."""
    found = []
    for layer in layers:
        low = layer.name.lower()
        if _has(low, _BOARD) and layer.thickness <= _THICKEST_BOARD:
            size = _nearest(layer.thickness, _BOARDS, BOARD_WITHIN)
            found.append(_board(size or _mm(layer.thickness), size or _mm(layer.thickness), boards))
        elif not _has(low, _INSULATION):
            break
    return found


def _board(name: str, thickness: str, boards: dict[str, Any]) -> str:
    boards.setdefault(
        f"{name} board",
        {"thickness": thickness, "width": "48", "lengths": ["96", "108", "120", "144"], "lay": "standing"},
    )
    return f"{name} board"


def _our_type(
    web: str, left: list[str], right: list[str], fire_rated: bool, is_insulated: bool, wall_types: dict[str, Any]
) -> str:
    """The name of a type with this steel and these boards, added if it is new."""
    kind: dict[str, Any] = {
        "stud": f"{web}S125-18",
        "track": f"{web}T125-18",
        "spacing": "16",
        "left": left,
        "right": right,
        "fire_rated": fire_rated,
        "insulated": is_insulated,
    }
    for name, known in wall_types.items():
        if known == kind:
            return str(name)
    name = f"P{web}"
    number = 1
    while name in wall_types:
        number += 1
        name = f"P{web}-{number}"
    wall_types[name] = kind
    return name


def _nearest(size: float, sizes: dict[str, float], within: float) -> str | None:
    name = min(sizes, key=lambda one: abs(sizes[one] - size))
    return name if abs(sizes[name] - size) <= within else None


def _has(text: str, words: tuple[str, ...]) -> bool:
    return any(word in text for word in words)


def _mm(size: float) -> str:
    return f"{round(size, 2):g} mm"
