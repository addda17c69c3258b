"""Walls, openings and extras of a plan file."""

from __future__ import annotations

from typing import Any

from framing.length import Length
from framing.lines import Point
from framing.plan import EXTRA_KINDS, Extra, Opening, Wall, WallType, place
from framing.readers.reading import Reading, Unread

_KEYS = (
    "mark", "type", "from", "to", "line", "height", "height_from", "height_to", "left_height", "right_height",
    "layout_from", "openings", "extras", "ends",
)  # fmt: skip
_OPENING_KEYS = ("mark", "kind", "at", "width", "height", "sill", "hinge", "swing")
_EXTRA_KEYS = ("kind", "at", "bottom", "width", "height", "count")
_END_WORDS = ("auto", "free", "structure")


class _Wall:
    """The fields of one wall as they are read; any that fails leaves the wall unread, with its mistake noted."""

    def __init__(self, reading: Reading, value: dict[str, Any], where: str) -> None:
        self.reading, self.value, self.where = reading, value, where
        self.is_whole = True

    def length(self, key: str, *, least: Length | None = 0, above: bool = False) -> Length:
        try:
            return self.reading.length(self.value[key], self.where, key, least=least, above=above)
        except (Unread, KeyError):
            self.is_whole = False
            return 0

    def optional_length(self, key: str, default: Length | None = None) -> Length | None:
        return self.length(key, above=default is None) if key in self.value else default

    def word(self, key: str, allowed: tuple[str, ...], default: str) -> str:
        try:
            return self.reading.word(self.value.get(key, default), self.where, key, allowed)
        except Unread:
            self.is_whole = False
            return default

    def point(self, key: str) -> Point:
        parts = self.value.get(key)
        if not isinstance(parts, list) or len(parts) != 2:
            if key in self.value:
                self.reading.note(self.where, key, parts, "is not a point", 'Write ["x", "y"].')
            self.is_whole = False
            return Point(0, 0)
        found = []
        for part in parts:
            try:
                found.append(self.reading.length(part, self.where, key, least=None))
            except Unread:
                self.is_whole = False
                found.append(0)
        return Point(*found)


def read_wall(
    reading: Reading, value: Any, level: str, number: int, types: dict[str, WallType | None]
) -> tuple[Wall | None, str]:
    """One wall, or None with its mistakes noted, and the mark by which it is spoken of."""
    mark = f"number {number}"
    where = place(level, mark)
    try:
        wall = reading.object(value, where, "", (), ()) if not isinstance(value, dict) else value
        mark = reading.mark(wall["mark"], where, "mark") if "mark" in wall else mark
    except Unread:
        return None, mark
    where = place(level, mark)
    reading.object(wall, where, "", _KEYS, ("mark", "type", "from", "to"))
    read = _Wall(reading, wall, where)
    start, end = read.point("from"), read.point("to")
    height_from, height_to = _heights(read)
    kind = _type(read, types)
    line = read.word("line", ("centre", "left", "right"), "centre")
    layout_from = read.word("layout_from", ("from", "to"), "from")
    left_height, right_height = read.optional_length("left_height"), read.optional_length("right_height")
    openings = _openings(read, level, mark)
    extras = _extras(read)
    ends = _ends(read)
    if not read.is_whole or kind is None or "mark" not in wall:
        return None, mark
    return (
        Wall(
            mark,
            kind,
            start,
            end,
            height_from,
            height_to,
            line,
            left_height,
            right_height,
            layout_from,
            openings,
            extras,
            ends,
        ),
        mark,
    )


def _heights(read: _Wall) -> tuple[Length, Length]:
    raked = [key for key in ("height_from", "height_to") if key in read.value]
    if "height" in read.value and raked:
        read.reading.note(
            read.where,
            "height",
            read.value["height"],
            f"stands beside {' and '.join(raked)}",
            "Give one height, or both ends'.",
        )
        read.is_whole = False
    if "height" in read.value:
        height = read.length("height", above=True)
        return height, height
    if len(raked) == 2:
        return read.length("height_from", above=True), read.length("height_to", above=True)
    missing = "height" if not raked else ({"height_from", "height_to"} - set(raked)).pop()
    read.reading.note(read.where, missing, "", "is missing", "Give height, or height_from and height_to.")
    read.is_whole = False
    return 0, 0


def _type(read: _Wall, types: dict[str, WallType | None]) -> WallType | None:
    name = read.value.get("type")
    if "type" not in read.value:
        return None
    if not isinstance(name, str) or name not in types:
        read.reading.note(
            read.where,
            "type",
            name,
            "is no wall type of this plan",
            f"Use one of: {', '.join(types) or 'none yet'}; or add it.",
        )
        return None
    return types[name]


def _openings(read: _Wall, level: str, wall: str) -> tuple[Opening, ...]:
    found = []
    marks: set[str] = set()
    for number, item in enumerate(read.reading.items(read.value.get("openings", []), read.where, "openings"), 1):
        mark = f"number {number}"
        where = place(level, wall, mark)
        try:
            if not isinstance(item, dict):
                read.reading.object(item, where, "", (), ())
            if "mark" in item:
                mark = read.reading.mark(item["mark"], where, "mark")
        except Unread:
            read.is_whole = False
            continue
        where = place(level, wall, mark)
        read.reading.object(item, where, "", _OPENING_KEYS, ("mark", "kind", "at", "width", "height"))
        if mark in marks:
            read.reading.note(where, "mark", mark, "is used by two openings of this wall", "Give each its own mark.")
        marks.add(mark)
        own = _Wall(read.reading, item, where)
        kind = own.word("kind", ("door", "window", "opening"), "opening")
        at, width, height = (
            own.length("at", least=None),
            own.length("width", above=True),
            own.length("height", above=True),
        )
        sill = own.optional_length("sill", 0) or 0
        hinge = own.word("hinge", ("near", "far"), "near") if "hinge" in item else ""
        swing = own.word("swing", ("left", "right"), "left") if "swing" in item else ""
        if own.is_whole and {"mark", "kind"} <= item.keys():
            found.append(Opening(mark, kind, at, width, height, sill, hinge, swing))
        else:
            read.is_whole = False
    return tuple(found)


def _extras(read: _Wall) -> tuple[Extra, ...]:
    found = []
    for number, item in enumerate(read.reading.items(read.value.get("extras", []), read.where, "extras"), 1):
        field = f"extras {number}"
        try:
            extra = read.reading.object(item, read.where, field, _EXTRA_KEYS, ("kind", "at"))
            own = _Wall(read.reading, extra, f"{read.where}, extra {number}")
            kind = own.word("kind", EXTRA_KINDS, "backing")
            at = own.length("at", least=None)
            bottom, width, height = (own.length(key) if key in extra else 0 for key in ("bottom", "width", "height"))
            count = read.reading.whole(extra.get("count", 1), read.where, f"{field}.count", 1)
        except Unread:
            read.is_whole = False
            continue
        if own.is_whole and "kind" in extra:
            found.append(Extra(kind, at, bottom, width, height, count))
        else:
            read.is_whole = False
    return tuple(found)


def _ends(read: _Wall) -> tuple[str, str]:
    value = read.value.get("ends", {})
    try:
        ends = read.reading.object(value, read.where, "ends", ("from", "to"), ())
        return (
            read.reading.word(ends.get("from", "auto"), read.where, "ends.from", _END_WORDS),
            read.reading.word(ends.get("to", "auto"), read.where, "ends.to", _END_WORDS),
        )
    except Unread:
        read.is_whole = False
        return ("auto", "auto")
