"""Reader of drawings in DXF: lines on named layers are walls, inserted blocks are openings.

A drawing says nothing of heights and types: the mapping file does (`framing.readers.models.mapping`).
"""

from __future__ import annotations

from framing.readers.dxf.propose import propose_layers
from framing.readers.dxf.read import read_dxf

__all__ = ["propose_layers", "read_dxf"]
