"""A list typed by hand as it is printed: one JSON object, and the same as text for whoever stands at the saw.

Keys are a contract with whoever reads them: added to, never renamed or moved. Lengths are decimals in the file's own
unit; as in the take-off, a length in millimetres inside a file in inches is rounded to four decimals only here.
"""

from __future__ import annotations

from collections import Counter, defaultdict, deque
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby
from typing import Any

from framing.cutlist import BARS, COST, LENGTH, Bar, CutList, cut_stocks
from framing.length import Length, inches, millimetres, rounded, unit_text
from framing.readers.cuts_file import CutsFile

SAFETY = (
    "Cut ends and offcuts of sheet steel are sharp: wear gloves and eye protection (29 CFR 1926.95, 1926.102).",
    "Saw: guard in place, the bar held fast, hearing protected; sparks and hot ends away from whatever burns "
    "(29 CFR 1926.101, 1926.300, 1926.303).",
    "Measure the first piece of each length against the work before cutting the rest. Local rules and the makers' "
    "instructions come first.",
)


@dataclass(frozen=True, slots=True)
class CutFile:
    """A cuts file and how it is cut; `marks[i]` are the marks of `found.bars[i]`, one for each cut, empty for none."""

    asked: CutsFile
    found: CutList
    marks: tuple[tuple[str, ...], ...]


def cut_file(asked: CutsFile) -> CutFile:
    """Cut a list typed by hand, and give every piece the mark it was asked with."""
    pieces: Counter[Length] = Counter()
    marks: dict[Length, deque[str]] = defaultdict(deque)
    for piece in asked.pieces:
        pieces[piece.length] += piece.count
        marks[piece.length].extend([piece.mark] * piece.count)
    found = cut_stocks(pieces, asked.stocks, asked.kerf, useful=asked.useful, rack=asked.rack)
    return CutFile(asked, found, tuple(tuple(marks[cut].popleft() for cut in bar.cuts) for bar in found.bars))


def cuts_json(cut: CutFile) -> dict[str, Any]:
    """The printed object. `bound` is a number of bars, or where stocks differ the least length or cost as a decimal."""
    asked, found = cut.asked, cut.found
    say = _decimal(asked.unit)
    printed: dict[str, Any] = {
        "name": asked.name,
        "length_unit": asked.unit,
        "kerf": say(asked.kerf),
        "used": [{"length": say(length), "count": count} for length, count in found.bought().items()],
        "bars": [_bar(bar, marks, asked.unit) for bar, marks in zip(found.bars, cut.marks, strict=True)],
        "measure": found.measure,
        "total": _amount(found, found.total, asked.unit),
        "bound": _amount(found, found.bound, asked.unit),
        "proven": found.proven,
        "length_bought": say(_bought(found)),
        "length_wanted": say(sum(piece.length * piece.count for piece in asked.pieces)),
    }
    cost = _cost(cut)
    if cost is not None:
        printed["cost"] = rounded(cost)
    printed["from_rack"] = _counted((bar.stock for bar in found.bars if bar.is_from_rack), asked.unit)
    printed["rack"] = _counted(found.rack, asked.unit)
    return printed


def _decimal(unit: str) -> Any:
    return millimetres if unit == "mm" else inches


def _bar(bar: Bar, marks: tuple[str, ...], unit: str) -> dict[str, Any]:
    say = _decimal(unit)
    printed: dict[str, Any] = {
        "stock": say(bar.stock),
        "cuts": [say(length) for length in bar.cuts],
        "offcut": say(bar.offcut),
    }
    if any(marks):
        printed["marks"] = list(marks)
    if bar.is_from_rack:
        printed["from_rack"] = True
    return printed


def _counted(lengths: Iterable[Length], unit: str) -> list[dict[str, Any]]:
    say = _decimal(unit)
    return [{"length": say(length), "count": count} for length, count in sorted(Counter(lengths).items())]


def _amount(found: CutList, value: Fraction | int, unit: str) -> int | str:
    if found.measure == BARS:
        return int(value)
    return rounded(value) if found.measure == COST else str(_decimal(unit)(int(value)))


def _bought(found: CutList) -> Length:
    return sum(length * count for length, count in found.bought().items())


def _cost(cut: CutFile) -> Fraction | None:
    prices = {stock.length: stock.price for stock in cut.asked.stocks}
    each = [(prices[length], count) for length, count in cut.found.bought().items()]
    if not prices or None in prices.values():
        return None
    return sum((price * count for price, count in each if price is not None), Fraction(0))


def _money(value: Fraction | int) -> str:
    """With two decimals, or as many as it has."""
    whole, _, part = rounded(value).partition(".")
    return f"{whole}.{part:0<2}"


def cuts_text(cut: CutFile) -> str:
    """The list as lines of text, equal bars together."""
    return "\n".join(_lines(cut))


def _lines(cut: CutFile) -> Iterator[str]:
    asked, found, unit = cut.asked, cut.found, cut.asked.unit
    yield f"Cut list: {asked.name}" if asked.name else "Cut list"
    wanted = sum(piece.count for piece in asked.pieces)
    yield f"{wanted:,} {'piece' if wanted == 1 else 'pieces'}. {_kerf(asked)}"
    yield ""
    yield "To buy"
    yield from (f"  {count:>6,} x {unit_text(length, unit)}" for length, count in found.bought().items())
    if not found.bought():
        yield "  nothing: the rack holds it all"
    yield f"  {_verdict(cut)}"
    yield ""
    yield "To cut, bar by bar; from one end, in this order"
    number = 0
    rows = zip(found.bars, cut.marks, strict=True)
    for (bar, marks), same in groupby(rows):
        times = sum(1 for _ in same)
        first, number = number + 1, number + times
        label = f"bar {first}" if times == 1 else f"bars {first} to {number}"
        source = f"offcut of {unit_text(bar.stock, unit)} from the rack" if bar.is_from_rack else ""
        yield f"  {label}: {times:,} x {source or unit_text(bar.stock, unit)}"
        for (length, mark), cuts in groupby(zip(bar.cuts, marks, strict=True)):
            yield f"      {sum(1 for _ in cuts):>4} at {unit_text(length, unit)}{f'  mark {mark}' if mark else ''}"
        yield f"      {_left(bar.offcut, asked)}"
    if found.rack:
        yield ""
        yield "Keep on the rack for the next list"
        yield from (f"  {count:>6,} x {unit_text(length, unit)}" for length, count in _by_length(found.rack))
    yield ""
    yield from SAFETY


def _kerf(asked: CutsFile) -> str:
    if asked.kerf:
        return f"Each cut takes {unit_text(asked.kerf, asked.unit)} beside the piece."
    return "Cuts take nothing (kerf 0), as snips do; a saw's blade wants its kerf in the file."


def _by_length(lengths: Iterable[Length]) -> list[tuple[Length, int]]:
    return sorted(Counter(lengths).items(), reverse=True)


def _left(offcut: Length, asked: CutsFile) -> str:
    if not offcut:
        return "nothing left"
    keep = asked.useful is not None and offcut >= asked.useful
    return f"left: {unit_text(offcut, asked.unit)}{', keep it' if keep else ''}"


_LEAST = {BARS: "fewer bars", LENGTH: "less length", COST: "less money"}


def _verdict(cut: CutFile) -> str:
    found, unit = cut.found, cut.asked.unit
    cost = _cost(cut)
    bars = f"{found.used:,} {'bar' if found.used == 1 else 'bars'}"
    told = f"{bars}, {unit_text(_bought(found), unit)} in all{'' if cost is None else f', cost {_money(cost)}'}. "
    if found.proven:
        return f"{told}No way of cutting takes {_LEAST[found.measure]}: proven."
    least = {BARS: f"{found.bound} bars", COST: f"a cost of {_money(found.bound)}"}
    return (
        f"{told}Any way of cutting takes at least {least.get(found.measure) or unit_text(int(found.bound), unit)}; "
        "whether that can be had is not known."
    )
