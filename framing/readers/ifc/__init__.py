"""Reader of building models in IFC (ISO 16739), schemas IFC2X3, IFC4 and IFC4X3, as a STEP file."""

from __future__ import annotations

from framing.readers.ifc.read import read_ifc

__all__ = ["read_ifc"]
