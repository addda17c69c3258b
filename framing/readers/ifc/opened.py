"""Opening an IFC file within limits: what is no IFC file, or one that is cut off, gets one sentence."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from framing.plan import Mistake, PlanMistakes
from framing.readers.models.values import damage

if TYPE_CHECKING:
    import ifcopenshell

BROKEN = (
    ArithmeticError,
    AttributeError,
    LookupError,
    MemoryError,
    OSError,
    RuntimeError,
    SystemError,
    TypeError,
    ValueError,
)
"""What a damaged file makes of reading it: references to nothing, wrong kinds, missing values."""

LARGEST = 64 * 1024 * 1024
_SCHEMAS = re.compile(r"IFC2X3|IFC4|IFC4X3(_\w+)?")
_HEADER = re.compile(rb"FILE_SCHEMA\s*\(\s*\(\s*'([^']{1,60})'", re.IGNORECASE)
_END = b"END-ISO-10303-21;"


def open_ifc(path: Path, name: str) -> tuple[ifcopenshell.file, tuple[str, ...]]:
    """The parsed file and the parser's own complaints. Raises PlanMistakes where it cannot be read, in one sentence."""
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

    log: Callable[[], str] = ifcopenshell.get_log
    log()  # empties it: only this file's errors are wanted
    try:
        file = ifcopenshell.open(str(path))
    except (ifcopenshell.Error, *BROKEN) as error:
        raise _refused(name, f"cannot be parsed: {damage(error)}", "Export it again.") from None
    return file, tuple(_errors(log()))


def _errors(log: str) -> Iterator[str]:
    """What the parser could not follow: such instances are lost, and what refers to them with them."""
    for line in log.splitlines():
        if "[error]" in line or "Overwriting instance" in line:
            yield line.rpartition("] ")[2]


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
