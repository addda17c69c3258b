"""Opening a DXF file within limits, and its unit."""

from __future__ import annotations

import logging
from pathlib import Path
from typing import Any

from framing.plan import Mistake, PlanMistakes
from framing.readers.models.values import damage, printable

LARGEST = 32 * 1024 * 1024
BROKEN = (
    ArithmeticError,
    AssertionError,
    AttributeError,
    LookupError,
    MemoryError,
    OSError,
    RuntimeError,
    TypeError,
    ValueError,
)
"""What a damaged file makes the parsing library raise, beside its own errors."""

UNITS = {1: "in", 2: "ft", 4: "mm", 5: "cm", 6: "m"}
"""$INSUNITS in the header, and the words for them."""

WORDS = {"in": "inches", "ft": "feet", "mm": "millimetres", "cm": "centimetres", "m": "metres"}
MM_PER_UNIT = {"in": 25.4, "ft": 304.8, "mm": 1.0, "cm": 10.0, "m": 1000.0}
IMPERIAL = ("in", "ft")


def open_dxf(path: Path) -> tuple[Any, tuple[str, ...]]:
    """The parsed drawing and the parser's own complaints. Raises PlanMistakes with one sentence where it cannot be
    read whole.
    """
    name = path.name
    try:
        size = path.stat().st_size
        if size > LARGEST:
            limit = LARGEST // 1024 // 1024
            raise refused(
                name, f"is {size / 1024 / 1024:.0f} MiB, more than the {limit} MiB that are read", "Purge it."
            )
        data = path.read_bytes()
    except OSError as error:
        raise refused(name, f"cannot be read ({error.strerror or type(error).__name__})", "Check the path.") from None
    _look_at(data, name)
    import ezdxf

    heard = _Heard()
    logger = logging.getLogger("ezdxf")
    logger.addHandler(heard)
    propagates, logger.propagate = logger.propagate, False
    try:
        return ezdxf.readfile(path), tuple(heard.messages)
    except ezdxf.DXFError as error:
        raise refused(name, f"cannot be parsed ({' '.join(str(error).split())[:120]})", "Save it again.") from None
    except BROKEN as error:
        raise damaged(name, error) from None
    finally:
        logger.removeHandler(heard)
        logger.propagate = propagates


class _Heard(logging.Handler):
    """Keeps what the parser warns of while it reads on."""

    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.messages: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.messages.append(record.getMessage())


def unit_of(drawing: Any) -> str:
    """The header's length unit, or nothing where it does not say one that is read."""
    try:
        return UNITS.get(int(drawing.header.get("$INSUNITS", 0)), "")
    except BROKEN:
        return ""


def refused(name: str, reason: str, cure: str) -> PlanMistakes:
    return PlanMistakes([Mistake("the drawing", "", "", printable(reason, 250), cure)], name)


def damaged(name: str, error: Exception) -> PlanMistakes:
    return refused(name, f"is damaged: {damage(error)}", "Save it again.")


def _look_at(data: bytes, name: str) -> None:
    head = data[:4096].lstrip(b"\xef\xbb\xbf \t\r\n")
    if head.startswith(b"PK\x03\x04"):
        raise refused(name, "is a zip archive", "Unpack it and give the .dxf file in it.")
    if head.startswith(b"AC10"):
        raise refused(name, "is a DWG file, which is not read", "Save it as DXF.")
    if b"\x00" in head:
        raise refused(name, "is binary", "Save it as DXF in text form.")
    if not head.startswith((b"0", b"999")) or b"SECTION" not in data[:65_536]:
        raise refused(name, "is not a DXF file: it does not start with a section", "Save it as DXF in text form.")
    if data[-64:].strip().rpartition(b"\n")[2].strip() != b"EOF":
        raise refused(name, "is cut off: EOF is missing at its end", "Copy or save it again.")
