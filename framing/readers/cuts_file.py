"""The cuts file, format 1: a list of lengths to cut, typed by hand, with the stock they are cut from. JSON, all exact.

`cuts.schema.json` beside this module describes the same format for others (JSON Schema 2020-12).
"""

from __future__ import annotations

import re
from contextlib import suppress
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

from framing.cutlist import StockLength
from framing.length import Length, unit_text
from framing.plan import PlanMistakes
from framing.readers.reading import Reading, Unread, json_file

FORMAT = "piecewall cuts 1"
LARGEST = 8 * 1024 * 1024
MOST_STOCKS = 40
MOST_PIECES = 200_000
MOST_LENGTHS = 5_000
_KEYS = ("format", "name", "length_unit", "kerf", "stock", "pieces", "rack", "useful_offcut")
_PIECE_KEYS = ("length", "count", "mark")
_PRICE = re.compile(r"[0-9]{1,9}(\.[0-9]{1,4})?")


@dataclass(frozen=True, slots=True)
class Wanted:
    """So many pieces of one length; `mark` is what to write on them, or empty."""

    length: Length
    count: int
    mark: str = ""


@dataclass(frozen=True, slots=True)
class CutsFile:
    """What is to be cut from what. Offcuts of at least `useful` are kept; None keeps none."""

    name: str
    unit: str
    kerf: Length
    stocks: tuple[StockLength, ...]
    pieces: tuple[Wanted, ...]
    rack: tuple[Length, ...] = ()
    useful: Length | None = None


def read_cuts(source: str | Path | bytes, *, name: str = "") -> CutsFile:
    """Read a cuts file from a path or from JSON bytes. Raises PlanMistakes with everything that is wrong."""
    name = name or ("" if isinstance(source, bytes) else Path(source).name)
    value = json_file(source, "the cuts file", LARGEST, "Write it as the cuts file's format asks.", name=name)
    reading = Reading()
    found: CutsFile | None = None
    with suppress(Unread):
        found = _read(reading, value)
    if reading.mistakes or found is None:
        raise PlanMistakes(reading.mistakes, name)
    return found


def _read(reading: Reading, value: Any) -> CutsFile:
    top = reading.object(value, "", "", _KEYS, ("format", "stock", "pieces"))
    if "format" in top and top["format"] != FORMAT:
        reading.note("", "format", top["format"], "is not one that this version reads", f'Write "{FORMAT}".')
    with suppress(Unread):
        reading.unit = reading.word(top.get("length_unit", "in"), "", "length_unit", ("in", "mm"))
    name = top.get("name", "")
    if not isinstance(name, str) or len(name) > 200 or not (name.isprintable() or not name):
        reading.note("", "name", name, "is not a text of at most 200 printable characters", "Shorten it.")
        name = ""
    kerf: Length = 0
    with suppress(Unread):
        kerf = reading.length(top.get("kerf", "0"), "", "kerf")
    useful: Length | None = None
    if "useful_offcut" in top:
        with suppress(Unread):
            useful = reading.length(top["useful_offcut"], "", "useful_offcut", above=True)
    stocks = _stocks(reading, top["stock"]) if "stock" in top else ()
    shortest = min((stock.length for stock in stocks), default=None)
    if shortest is not None and kerf >= shortest:
        reading.note("", "kerf", top["kerf"], f"is no less than a stock length ({unit_text(shortest, reading.unit)})",
                     "Write the width that one cut takes.")  # fmt: skip
    longest = max((stock.length for stock in stocks), default=None)
    pieces = _pieces(reading, top["pieces"], longest) if "pieces" in top else ()
    rack = _rack(reading, top.get("rack", []))
    return CutsFile(name, reading.unit, kerf, stocks, pieces, rack, useful)


def _stocks(reading: Reading, value: Any) -> tuple[StockLength, ...]:
    """The stock lengths that could be read; empty where one of them could not, so that nothing is held against it."""
    items = reading.items(value, "", "stock")
    if isinstance(value, list) and not 1 <= len(items) <= MOST_STOCKS:
        reading.note("", "stock", len(items), "is no number of stock lengths", f"Give 1 to {MOST_STOCKS} of them.")
        return ()
    found: list[StockLength] = []
    prices = [isinstance(item, dict) and "price" in item for item in items]
    for number, item in enumerate(items, 1):
        where = f"stock {number}"
        with suppress(Unread):
            stock = reading.object(item, where, "", ("length", "price"), ("length",))
            if any(prices) and "price" not in stock:
                reading.note(where, "price", "", "is missing, but other stock has one", "Price all stock or none.")
            price = _price(reading, stock["price"], where) if "price" in stock else None
            if "length" not in stock:
                continue
            length = reading.length(stock["length"], where, "length", above=True)
            if length in [other.length for other in found]:
                reading.note(where, "length", stock["length"], "is given twice", "Keep one of them.")
            found.append(StockLength(length, price))
    return tuple(found) if len(found) == len(items) else ()


def _price(reading: Reading, value: Any, where: str) -> Fraction | None:
    """A price above zero with at most four decimals, or None once its mistake is noted."""
    plain = str(value) if isinstance(value, int | str) and not isinstance(value, bool) else ""
    if isinstance(value, Decimal) and value.is_finite() and abs(value.adjusted()) < 20:
        plain = f"{value:f}"
    if "." in plain:
        plain = plain.rstrip("0").rstrip(".") if isinstance(value, Decimal) else plain
    if not _PRICE.fullmatch(plain) or not Fraction(plain):
        reading.note(where, "price", value, "is not a price above zero", 'Write one such as "7.25", without a sign.')
        return None
    return Fraction(plain)


def _pieces(reading: Reading, value: Any, longest: Length | None) -> tuple[Wanted, ...]:
    items = reading.items(value, "", "pieces")
    if isinstance(value, list) and not 1 <= len(items) <= MOST_LENGTHS:
        reading.note("", "pieces", len(items), "is no number of lines", f"Give 1 to {MOST_LENGTHS} of them.")
        return ()
    found: list[Wanted] = []
    for number, item in enumerate(items, 1):
        where = f"piece {number}"
        try:
            piece = reading.object(item, where, "", _PIECE_KEYS, ("length",))
        except Unread:
            continue
        mark, count = "", 1
        with suppress(Unread):
            mark = reading.mark(piece["mark"], where, "mark") if "mark" in piece else ""
        if mark:
            where = f"{where} ({mark})"
        with suppress(Unread):
            count = reading.whole(piece.get("count", 1), where, "count", 1, MOST_PIECES)
        with suppress(Unread):
            if "length" in piece:
                length = reading.length(piece["length"], where, "length", above=True)
                if longest is not None and length > longest:
                    reason = f"is longer than every stock length; the longest is {unit_text(longest, reading.unit)}"
                    cure = "Add a longer stock, or make the piece of two."
                    reading.note(where, "length", piece["length"], reason, cure)
                found.append(Wanted(length, count, mark))
    total = sum(piece.count for piece in found)
    if total > MOST_PIECES:
        reading.note("", "pieces", total, f"are more pieces than {MOST_PIECES}", "Split the list.")
    return tuple(found)


def _rack(reading: Reading, value: Any) -> tuple[Length, ...]:
    items = reading.items(value, "", "rack")
    if len(items) > MOST_LENGTHS:
        reading.note("", "rack", len(items), "is no number of lines", f"Give at most {MOST_LENGTHS} of them.")
        return ()
    found: list[tuple[Length, int]] = []
    for number, item in enumerate(items, 1):
        where = f"rack {number}"
        with suppress(Unread):
            offcut = reading.object(item, where, "", ("length", "count"), ("length",))
            count = reading.whole(offcut.get("count", 1), where, "count", 1, MOST_PIECES)
            if "length" in offcut:
                found.append((reading.length(offcut["length"], where, "length", above=True), count))
    if sum(count for _, count in found) > MOST_PIECES:
        reading.note("", "rack", sum(count for _, count in found), f"are more offcuts than {MOST_PIECES}",
                     "Leave the shortest out.")  # fmt: skip
        return ()
    return tuple(length for length, count in found for _ in range(count))
