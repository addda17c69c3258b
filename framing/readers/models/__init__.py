"""The front door for building models and drawings: a file in, a plan with its sources and left-outs out.

The libraries that parse these files are heavy and are loaded only when one is read.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from framing.readers.models.mapping import ModelTypes, read_types
from framing.readers.models.plan import imported
from framing.readers.models.propose import propose_types, proposed
from framing.readers.models.values import Imported, Model

_DRAWINGS = (".dxf", ".dwg")


def read_model(path: str | Path, types: str | Path | None = None) -> Imported:
    """Read an .ifc or .dxf file, by a mapping file or by the reader's own proposal.

    Raises PlanMistakes where the file or the mapping file as a whole cannot be read; elements that cannot be taken are
    listed in the result.
    """
    given = None if types is None else read_types(Path(types))
    model, known = _model(Path(path), given)
    return imported(model, known)


def propose(path: str | Path) -> dict[str, Any]:
    """The mapping file that the reader proposes for a model or a drawing, as its JSON value. Raises PlanMistakes."""
    path = Path(path)
    if path.suffix.lower() in _DRAWINGS:
        from framing.readers.dxf import propose_layers

        return propose_layers(path)
    from framing.readers.ifc import read_ifc

    return propose_types(read_ifc(path, path.name))


def _model(path: Path, types: ModelTypes | None) -> tuple[Model, ModelTypes]:
    if path.suffix.lower() in _DRAWINGS:
        from framing.readers.dxf import read_dxf

        return read_dxf(path, types)
    from framing.readers.ifc import read_ifc

    model = read_ifc(path, path.name)
    return model, types if types is not None else proposed(model)
