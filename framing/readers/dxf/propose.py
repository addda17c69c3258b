"""The mapping file that a drawing's own layers and blocks suggest. Heights are never guessed: a person writes them."""

from __future__ import annotations

from collections import Counter
from contextlib import suppress
from pathlib import Path
from typing import Any

from framing.length import length_text
from framing.plan import DOOR, OPENING, WINDOW
from framing.readers.dxf.blocks import jambs_of
from framing.readers.dxf.lines import LINES, layer_of
from framing.readers.dxf.opened import BROKEN, IMPERIAL, MM_PER_UNIT, damaged, open_dxf, unit_of
from framing.readers.models.exact import exact
from framing.readers.models.mapping import FORMAT, ModelTypes, types_from_value
from framing.readers.models.values import NotTaken, printable

_WALL = ("wall", "partition", "ptn", "wand", "mur", "pared", "muro")
_NOT_OURS = ("extr", "exterior", "ext-", "found", "fndn", "struct", "full-height-masonry", "cmu", "conc")
_DOOR = ("door", "dr-", "tür", "porte", "puerta")
_WINDOW = ("window", "wind", "glaz", "fenster", "fenêtre", "ventana")
_OPENING = ("opening", "opng", "borrow")
_TYPE = "P362"
_BOARD = "5/8 board"


def propose_layers(path: Path) -> dict[str, Any]:
    """The mapping file's value for a drawing. Raises PlanMistakes where it cannot be read."""
    return propose_for(open_dxf(path)[0], path.name)


def propose_for(drawing: Any, name: str) -> dict[str, Any]:
    """The same of a parsed drawing."""
    try:
        return _proposal(drawing, name)
    except BROKEN as error:
        raise damaged(name, error) from None


def proposed_layers(drawing: Any, name: str) -> ModelTypes:
    """The proposal as a mapping file that was read."""
    return types_from_value(propose_for(drawing, name), "the reader's proposal")


def _proposal(drawing: Any, name: str) -> dict[str, Any]:
    unit = unit_of(drawing)
    lines: Counter[str] = Counter()
    inserts: Counter[tuple[str, str]] = Counter()
    for entity in drawing.modelspace():
        if entity.dxftype() in LINES:
            lines[layer_of(entity)] += 1
        elif entity.dxftype() == "INSERT":
            inserts[str(entity.dxf.name), layer_of(entity)] += 1
    blocks: dict[str, dict[str, Any]] = {}
    for (block, layer), number in inserts.items():
        row = blocks.setdefault(block, _block_row(drawing, block, layer, unit))
        row["inserts"] += number
    return {
        "format": FORMAT,
        "model": name,
        "length_unit": "in",
        "drawing_unit": unit or None,
        "boards": {
            _BOARD: {"thickness": "5/8", "width": "48", "lengths": ["96", "108", "120", "144"], "lay": "standing"}
        },
        "wall_types": {
            _TYPE: {
                "stud": "362S125-18",
                "track": "362T125-18",
                "spacing": "16",
                "left": [_BOARD],
                "right": [_BOARD],
            }
        },
        "layers": [_layer_row(layer, number) for layer, number in lines.items()],
        "blocks": list(blocks.values()),
    }


def _layer_row(layer: str, number: int) -> dict[str, Any]:
    low = layer.lower()
    is_wall = any(word in low for word in _WALL)
    is_ours = is_wall and not any(word in low for word in _NOT_OURS)
    row: dict[str, Any] = {"layer": layer, "lines": number, "take": is_ours, "type": _TYPE}
    row |= {"height": None, "level": "Level 1", "line": "centre"}
    if not is_ours:
        row["because"] = "is named as walls outside of this work" if is_wall else "is not named as a layer of walls"
    return row


def _block_row(drawing: Any, block: str, layer: str, unit: str) -> dict[str, Any]:
    kinds = ((DOOR, _DOOR), (WINDOW, _WINDOW), (OPENING, _OPENING))
    named = [kind for text in (block, layer) for kind, words in kinds if any(word in text.lower() for word in words)]
    kind = named[0] if named else None  # the block's own name before its layer's
    row: dict[str, Any] = {"block": printable(block), "layer": layer, "inserts": 0, "take": kind is not None}
    definition = drawing.blocks.get(block)
    jambs = jambs_of(definition) if definition is not None and unit else None
    if jambs is not None:
        with suppress(NotTaken):  # kilometres wide: no opening, and no width to propose
            ends = [exact(end * MM_PER_UNIT[unit], is_imperial=unit in IMPERIAL) for end in jambs]
            row |= {"from": length_text(ends[0]), "to": length_text(ends[1])}
    row |= {"kind": kind or OPENING, "height": None, "sill": 0}
    if kind is None:
        row["because"] = "is not named as a door, a window or an opening"
    return row
