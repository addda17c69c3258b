"""The parts of a plan file that walls refer to: boards, wall types, practice."""

from __future__ import annotations

from dataclasses import fields, replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

from framing import practice as practice_fields
from framing.length import Length, inch, length_text
from framing.limits import LEAST_STOCK, MOST_LENGTHS
from framing.plan import WallType
from framing.practice import FramingPractice
from framing.products import Board, DesignatorMistake, Section, section
from framing.readers.reading import Reading, Unread, some

_BOARD_KEYS = ("thickness", "width", "lengths", "lay")
_TYPE_KEYS = ("stud", "track", "spacing", "left", "right", "head_gap", "fire_rated", "insulated")
_MOST_LAYERS = 6


def read_boards(reading: Reading, value: Any) -> dict[str, Board | None]:
    """Boards by name; None where one could not be read (its mistakes are noted)."""
    found: dict[str, Board | None] = {}
    try:
        items = reading.object(value, "", "boards", value if isinstance(value, dict) else (), ())
    except Unread:
        return found
    for name, item in items.items():
        where = f"board {name}"
        found[name] = None
        try:
            reading.mark(name, where, "name")
            board = reading.object(item, where, "", _BOARD_KEYS, ("thickness", "width", "lengths"))
            thickness = reading.length(board["thickness"], where, "thickness", above=True)
            width = reading.length(board["width"], where, "width", above=True)
            lay = reading.word(board.get("lay", "standing"), where, "lay", ("standing", "lying"))
            lengths = _lengths(reading, board["lengths"], where, "lengths")
            _long_enough(reading, where, board["lengths"], lengths)
        except (Unread, KeyError):
            continue
        found[name] = Board(name, thickness, width, lengths, lay)
    return found


def _long_enough(reading: Reading, where: str, value: Any, lengths: tuple[Length, ...]) -> None:
    if max(lengths) < LEAST_STOCK:
        least = length_text(LEAST_STOCK)
        reading.note(where, "lengths", value, f"has no sheet of {least} or more", "Check the unit.")
        raise Unread


def _lengths(reading: Reading, value: Any, where: str, field: str) -> tuple[Length, ...]:
    items = reading.items(value, where, field)
    if not items:
        reading.note(where, field, value, "names no length", "List the lengths that are stocked.")
        raise Unread
    if len(items) > MOST_LENGTHS:
        reading.note(where, field, len(items), f"are more lengths than {MOST_LENGTHS}", "Keep those that are stocked.")
        raise Unread
    return tuple(sorted({reading.length(item, where, field, above=True) for item in items}))


def read_wall_types(reading: Reading, value: Any, boards: dict[str, Board | None]) -> dict[str, WallType | None]:
    """Wall types by name; None where one could not be read."""
    found: dict[str, WallType | None] = {}
    try:
        items = reading.object(value, "", "wall_types", value if isinstance(value, dict) else (), ())
    except Unread:
        return found
    for name, item in items.items():
        found[name] = None
        try:
            found[name] = _wall_type(reading, name, item, boards)
        except (Unread, KeyError):
            continue
    return found


def _wall_type(reading: Reading, name: str, value: Any, boards: dict[str, Board | None]) -> WallType:
    where = f"wall type {name}"
    reading.mark(name, where, "name")
    kind = reading.object(value, where, "", _TYPE_KEYS, ("stud", "track"))
    sections: list[Section | None] = []
    for key, letter in (("stud", "S"), ("track", "T")):
        sections.append(_section(reading, kind.get(key), where, key, letter) if key in kind else None)
    spacing = _or_none(reading, kind.get("spacing", "16"), where, "spacing", above=True)
    head_gap = _or_none(reading, kind.get("head_gap", "0"), where, "head_gap")
    faces = [_layers(reading, kind.get(face, []), where, face, boards) for face in ("left", "right")]
    flags = []
    for key in ("fire_rated", "insulated"):
        try:
            flags.append(reading.yes_or_no(kind.get(key, False), where, key))
        except Unread:
            flags.append(False)
    stud, track = sections
    left, right = faces
    if stud is None or track is None or spacing is None or head_gap is None or left is None or right is None:
        raise Unread
    if spacing < inch(2) or spacing <= stud.flange:
        reading.note(
            where, "spacing", kind.get("spacing"), "leaves no room between studs", "Set the studs further apart."
        )
        raise Unread
    cap = stud.web + sum(board.thickness for board in left + right)
    for board in left + right:
        if board.width < cap:
            reading.note(
                where,
                f"board {board.name}, width",
                length_text(board.width),
                f"is narrower than the cap of a free end ({length_text(cap)}: steel and both faces)",
                "Use a wider board.",
            )
            raise Unread
    narrowest = min((board.width for board in left + right if board.lay == "standing"), default=None)
    if narrowest is not None and spacing > narrowest:
        reading.note(
            where,
            "spacing",
            kind.get("spacing"),
            f"is wider than a standing sheet ({length_text(narrowest)})",
            "Set it closer.",
        )
        raise Unread
    return WallType(name, stud, track, spacing, left, right, head_gap, *flags)


def _section(reading: Reading, value: Any, where: str, key: str, letter: str) -> Section | None:
    try:
        if not isinstance(value, str):
            raise DesignatorMistake("is not an S/T designator. Write one such as 362S125-18")
        return section(value, letter)
    except DesignatorMistake as mistake:
        reason, _, cure = str(mistake).partition(". ")
        reading.note(where, key, value, reason, cure + ".")
        return None


def _or_none(reading: Reading, value: Any, where: str, field: str, *, above: bool = False) -> Length | None:
    try:
        return reading.length(value, where, field, above=above)
    except Unread:
        return None


def _layers(
    reading: Reading, value: Any, where: str, face: str, boards: dict[str, Board | None]
) -> tuple[Board, ...] | None:
    items = reading.items(value, where, face)
    found = []
    for name in items:
        if not isinstance(name, str) or name not in boards:
            known = some(boards, "none")
            reading.note(where, face, name, "is no board of this plan", f"Use one of: {known}; or add it to boards.")
            return None
        board = boards[name]
        if board is None:
            return None
        found.append(board)
    if len(found) > _MOST_LAYERS:
        reading.note(where, face, len(found), f"are more layers than {_MOST_LAYERS}", "Check the list.")
        return None
    return tuple(found) if isinstance(value, list) else None


def read_practice(reading: Reading, value: Any) -> tuple[FramingPractice | None, frozenset[str]]:
    """The practice with the plan's overrides, and the names of the fields that the plan set."""
    where = "practice"
    names = [field.name for field in fields(FramingPractice)]
    try:
        items = reading.object(value, where, "", names, ())
    except Unread:
        return None, frozenset()
    changes: dict[str, Any] = {}
    for name, item in items.items():
        if name in names:
            try:
                changes[name] = _field(reading, name, item, where)
            except Unread:
                continue
    return replace(FramingPractice(), **changes), frozenset(changes)


def _field(reading: Reading, name: str, value: Any, where: str) -> Any:
    may_be_zero = name in practice_fields.MAY_BE_ZERO
    if name in practice_fields.LENGTHS:
        return reading.length(value, where, name, above=not may_be_zero)
    if name in practice_fields.LENGTH_LISTS:
        return _lengths(reading, value, where, name)
    if name in practice_fields.YES_OR_NO:
        return reading.yes_or_no(value, where, name)
    if name in practice_fields.WHOLE_NUMBERS:
        return reading.whole(value, where, name, 0 if may_be_zero else 1)
    return _decimal(reading, name, value, where)


def _decimal(reading: Reading, name: str, value: Any, where: str) -> Fraction:
    try:
        found = (
            Fraction(Decimal(value)) if isinstance(value, str | int | Decimal) and not isinstance(value, bool) else None
        )
    except (ArithmeticError, ValueError):
        found = None
    if found is None or not 0 < found < 1_000_000:
        reading.note(where, name, value, "is not a number above zero", 'Write one such as "31.1".')
        raise Unread
    return found
