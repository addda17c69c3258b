"""Walls, openings and extras of a plan file."""

from __future__ import annotations

from contextlib import suppress
from typing import Any

from framing.length import Length, inch
from framing.lines import Point
from framing.plan import EXTRA_KINDS, Extra, Opening, Wall, WallType, place
from framing.practice import HIGHEST_FINISH
from framing.products import Section
from framing.readers.reading import Reading, Unread, some
from framing.wall_checks import Sketch

_KEYS = (
    "mark", "type", "from", "to", "line", "height", "height_from", "height_to", "left_height", "right_height",
    "finish_level", "left_finish_level", "right_finish_level", "layout_from", "openings", "extras", "ends",
)  # fmt: skip
_OPENING_KEYS = ("mark", "kind", "at", "width", "height", "sill", "hinge", "swing")
_EXTRA_KEYS = ("kind", "at", "bottom", "width", "height", "count")
_END_WORDS = ("auto", "free", "structure")


class _Wall:
    """The fields of one wall as they are read; one that fails is noted, and named in `unread`."""

    def __init__(self, reading: Reading, value: dict[str, Any], where: str) -> None:
        self.reading, self.value, self.where = reading, value, where
        self.unread: set[str] = set()

    def length(self, key: str, *, least: Length | None = 0, above: bool = False) -> Length:
        try:
            return self.reading.length(self.value[key], self.where, key, least=least, above=above)
        except (Unread, KeyError):
            self.unread.add(key)
            return 0

    def optional_length(self, key: str, default: Length | None = None) -> Length | None:
        return self.length(key, above=default is None) if key in self.value else default

    def word(self, key: str, allowed: tuple[str, ...], default: str) -> str:
        try:
            return self.reading.word(self.value.get(key, default), self.where, key, allowed)
        except Unread:
            self.unread.add(key)
            return default

    def point(self, key: str) -> Point:
        """A point; the origin where it cannot be read."""
        parts = self.value.get(key)
        if not isinstance(parts, list) or len(parts) != 2:
            if key in self.value:
                self.reading.note(self.where, key, parts, "is not a point", 'Write ["x", "y"].')
            self.unread.add(key)
            return Point(0, 0)
        found = []
        for part in parts:
            try:
                found.append(self.reading.length(part, self.where, key, least=None))
            except Unread:
                self.unread.add(key)
                found.append(0)
        return Point(*found)


_UNKNOWN = WallType("", Section("", "S", inch(1), inch(1), 1), Section("", "T", inch(1), inch(1), 1), inch(16), (), ())
"""Stands in for a type that could not be read: bare steel, narrower than any, so that only drawn lines count."""


def read_wall(
    reading: Reading, value: Any, level: str, number: int, types: dict[str, WallType | None]
) -> tuple[Sketch | None, str]:
    """One wall as far as it can be read, mistakes noted, and the mark by which it is spoken of; None for no object."""
    mark = f"number {number}"
    where = place(level, mark)
    if not isinstance(value, dict):
        with suppress(Unread):
            reading.object(value, where, "", (), ())
        return None, mark
    unread: set[str] = set()
    try:
        mark = reading.mark(value["mark"], where, "mark")
    except (Unread, KeyError):
        unread.add("mark")
    where = place(level, mark)
    reading.object(value, where, "", _KEYS, ("mark", "type", "from", "to"))
    read = _Wall(reading, value, where)
    start, end = read.point("from"), read.point("to")
    height_from, height_to = _heights(read)
    kind = _type(read, types)
    line = read.word("line", ("centre", "left", "right"), "centre")
    layout_from = read.word("layout_from", ("from", "to"), "from")
    left_height, right_height = read.optional_length("left_height"), read.optional_length("right_height")
    left_finish, right_finish = _finish(read)
    openings = _openings(read, level, mark)
    extras = _extras(read)
    ends = _ends(read)
    wall = Wall(
        mark,
        kind or _UNKNOWN,
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
        left_finish=left_finish,
        right_finish=right_finish,
    )
    return Sketch(wall, frozenset(read.unread | unread)), mark


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
        read.unread.add("height")
    if "height" in read.value:
        height = read.length("height", above=True)
        return height, height
    if len(raked) == 2:
        return read.length("height_from", above=True), read.length("height_to", above=True)
    missing = "height" if not raked else ({"height_from", "height_to"} - set(raked)).pop()
    read.reading.note(read.where, missing, "", "is missing", "Give height, or height_from and height_to.")
    read.unread.add("height")
    return 0, 0


def _finish(read: _Wall) -> tuple[int | None, int | None]:
    """The level of finish of each face: its own, else the wall's, else None."""
    found: dict[str, int] = {}
    for key in ("finish_level", "left_finish_level", "right_finish_level"):
        with suppress(Unread, KeyError):
            found[key] = read.reading.whole(read.value[key], read.where, key, 0, HIGHEST_FINISH)
    both = found.get("finish_level")
    return found.get("left_finish_level", both), found.get("right_finish_level", both)


def _type(read: _Wall, types: dict[str, WallType | None]) -> WallType | None:
    name = read.value.get("type")
    known = types.get(name) if isinstance(name, str) else None
    if known is None:
        read.unread.add("type")
    if "type" in read.value and (not isinstance(name, str) or name not in types):
        read.reading.note(
            read.where,
            "type",
            name,
            "is no wall type of this plan",
            f"Use one of: {some(types, 'none yet')}; or add it.",
        )
    return known


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
            read.unread.add("openings")
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
        if not own.unread and {"mark", "kind"} <= item.keys():
            found.append(Opening(mark, kind, at, width, height, sill, hinge, swing))
        else:
            read.unread.add("openings")
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
            read.unread.add("extras")
            continue
        if not own.unread and "kind" in extra:
            found.append(Extra(kind, at, bottom, width, height, count))
        else:
            read.unread.add("extras")
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
        read.unread.add("ends")
        return ("auto", "auto")
