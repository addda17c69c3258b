"""Opening an IFC file within limits: what is no IFC file, or one that is cut off, gets one sentence."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

from framing.plan import Mistake, PlanMistakes

if TYPE_CHECKING:
    import ifcopenshell

LARGEST = 64 * 1024 * 1024
_SCHEMAS = re.compile(r"IFC2X3|IFC4|IFC4X3(_\w+)?")
_HEADER = re.compile(rb"FILE_SCHEMA\s*\(\s*\(\s*'([^']{1,60})'", re.IGNORECASE)
_END = b"END-ISO-10303-21;"


def open_ifc(path: Path, name: str) -> ifcopenshell.file:
    """The parsed file. Raises PlanMistakes with one sentence where it cannot be read whole."""
    try:
        size = path.stat().st_size
        if size > LARGEST:
            raise _refused(
                name,
                f"is {size / 1024 / 1024:.0f} MiB, more than the {LARGEST // 1024 // 1024} MiB that are read",
                "Export the storeys or the walls alone.",
            )
        data = path.read_bytes()
    except OSError as error:
        raise _refused(name, f"cannot be read ({error.strerror or type(error).__name__})", "Check the path.") from None
    _look_at(data, name)
    import ifcopenshell

    try:
        return ifcopenshell.open(str(path))
    except (
        ArithmeticError,
        AttributeError,
        LookupError,
        MemoryError,
        OSError,
        RuntimeError,
        TypeError,
        ValueError,
        ifcopenshell.Error,
    ) as error:
        reason = " ".join(str(error).split())[:120] or type(error).__name__
        raise _refused(name, f"cannot be parsed ({reason})", "Export it again.") from None


def _look_at(data: bytes, name: str) -> None:
    start = data[:65_536].lstrip(b"\xef\xbb\xbf \t\r\n")
    if start.startswith(b"PK\x03\x04"):
        raise _refused(name, "is a zip archive", "Unpack it and give the .ifc file in it.")
    if start.startswith(b"<"):
        raise _refused(name, "is XML", "Export it as a STEP file (.ifc).")
    if not start.startswith(b"ISO-10303-21"):
        raise _refused(
            name, "is not an IFC file: it does not start with ISO-10303-21", "Export it as a STEP file (.ifc)."
        )
    if _END not in data[-4096:]:
        raise _refused(name, f"is cut off: {_END.decode()} is missing at its end", "Copy or export it again.")
    schema = _HEADER.search(start)
    if schema is None:
        raise _refused(name, "does not name its schema", "Export it again as IFC2X3 or IFC4.")
    text = schema[1].decode("latin-1").strip().upper()
    if not _SCHEMAS.fullmatch(text):
        raise _refused(name, f"is in schema {text!r}, which is not read", "Export it as IFC2X3 or IFC4.")


def _refused(name: str, reason: str, cure: str) -> PlanMistakes:
    return PlanMistakes([Mistake("the model", "", "", reason, cure)], name)
