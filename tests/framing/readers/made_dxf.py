"""Small drawings made with the DXF library itself, and the mapping file that says what is in them."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import ezdxf

from framing.readers.models import propose, read_model
from framing.readers.models.values import Imported

WALLS = "A-WALL-PRTN"
UNITS = {"in": 1, "ft": 2, "mm": 4, "cm": 5, "m": 6}
MM = {"in": 25.4, "ft": 304.8, "mm": 1.0, "cm": 10.0, "m": 1000.0}


class Drawing:
    """A drawing in the making. Lengths are given in inches and drawn in the drawing's own unit."""

    def __init__(self, unit: str = "in") -> None:
        self.document = ezdxf.new("R2010")
        self.document.header["$INSUNITS"] = UNITS.get(unit, 0)
        self.space = self.document.modelspace()
        self.per_inch = 25.4 / MM.get(unit or "in", 25.4)
        self.unit = unit

    def points(self, points: Any) -> list[tuple[float, ...]]:
        return [tuple(part * self.per_inch for part in point) for point in points]

    def wall(self, start: Any, end: Any, layer: str = WALLS) -> Any:
        return self.space.add_line(*self.points([start, end]), dxfattribs={"layer": layer})

    def run(self, points: Any, *, close: bool = False, layer: str = WALLS) -> Any:
        return self.space.add_lwpolyline(self.points(points), close=close, dxfattribs={"layer": layer})

    def door(self, name: str = "DOOR-38", width: float = 38) -> str:
        """A block as doors are drawn: leaf and swing from the hinge at its base point."""
        block = self.document.blocks.new(name)
        size = width * self.per_inch
        block.add_line((0, 0), (0, size))
        block.add_arc((0, 0), size, 0, 90)
        return name

    def insert(self, block: str, at: Any, turn: float = 0, *, layer: str = "A-DOOR", **more: Any) -> Any:
        (point,) = self.points([at])
        return self.space.add_blockref(block, point, dxfattribs={"layer": layer, "rotation": turn, **more})

    def save(self, folder: Path) -> Path:
        path = folder / "made.dxf"
        self.document.saveas(path)
        return path

    def types(self, folder: Path, height: str = "108", opening_height: str | None = "84", **changes: Any) -> Path:
        """The reader's own proposal with the heights that a person writes in."""
        value = propose(self.save(folder)) | changes
        for row in value["layers"]:
            row["height"] = height
        for row in value["blocks"]:
            row["height"] = opening_height
        path = folder / "types.json"
        path.write_text(json.dumps(value))
        return path

    def read(self, folder: Path, **given: Any) -> Imported:
        types = self.types(folder, **given)
        return read_model(folder / "made.dxf", types)
