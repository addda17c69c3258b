"""A part of a work unit in the unit that people speak: sheets, feet of wall, studs. Exact, by a stated rule each.

Works on what is kept of a wall (see `jobs.models.WallVersion`) and knows no geometry but rectangles. Every rule ties
the part to the wall's own counts, so that all parts of a wall together are the wall, and nothing is a guess.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from jobs.measures import MEASURES, half_up
from jobs.requests import FEET, SHEETS, STUDS, PartAsked, plain

HOUSE = "the house's own rule"
# What is left after parts that were rounded: so near to the end of a work unit its end is meant.
CRUMB = Decimal("0.001")
LONGEST = 60
_DECIMAL = re.compile(r"\d{1,3}(,\d{3})+(\.\d+)?|\d+(\.\d*)?|\.\d+", re.ASCII)
_MIXED = re.compile(r"(?:(\d+)\s+)?(\d+)\s*/\s*([1-9]\d*)", re.ASCII)
_FRACTION = r"(?:(?P<whole>\d+)(?=\s|$|\"))?\s*(?:(?P<over>\d+)\s*/\s*(?P<under>[1-9]\d*))?"
_INCHES = re.compile(rf"(?P<feet>\d+)\s*'\s*-?\s*(?:{_FRACTION}\s*\"?)?", re.ASCII)
_MARKS = str.maketrans({"′": "'", "’": "'", "″": '"', "”": '"', "⁄": "/"})


class NotSpoken(ValueError):
    """A part cannot be told so; the message is a sentence with the next step."""


@dataclass(frozen=True, slots=True)
class Number:
    """A number as it was said; `in_feet` where it was said in feet and inches."""

    value: Fraction
    in_feet: bool = False


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a quantity is what it is."""

    rule: str
    source: str
    term: str

    def json(self) -> dict[str, str]:
        return {"rule": self.rule, "source": self.source, "term": self.term}


@dataclass(frozen=True, slots=True)
class SheetPiece:
    """A piece of board by its number in the hanging order. Inches; `net` in sq ft, openings left out."""

    step: int
    face: str
    layer: int
    width: Fraction
    height: Fraction
    net: Fraction

    @property
    def width_in(self) -> str:
        return plain(half_up(self.width))

    @property
    def height_in(self) -> str:
        return plain(half_up(self.height))

    @property
    def net_sqft(self) -> Decimal:
        return half_up(self.net)


@dataclass(frozen=True, slots=True)
class Spoken:
    """One work unit and the counts of its wall by which parts of it are told.

    `sheets_add_up`: the pieces of board together are exactly what is measured, as under every level top. `feet` is the
    length of wall that the whole of it covers. Empty or None where that unit is not spoken of this work.
    """

    measured: Decimal
    unit: str
    plan: int = 0
    sheets: tuple[SheetPiece, ...] = ()
    sheets_add_up: bool = False
    feet: Fraction | None = None
    studs: int | None = None

    @property
    def units(self) -> tuple[str, ...]:
        """The units in which a part may be told, beside the operation's own."""
        known = ((SHEETS, bool(self.sheets)), (FEET, self.feet is not None or self.unit == "LF"), (STUDS, self.studs))
        return tuple(name for name, is_known in known if is_known)


def number_said(text: str) -> Number | None:
    """12.5, 1,250, 10 1/2 or 12'-6 1/2" as an exact number; None where it is none of these."""
    said = text.strip().translate(_MARKS)
    if not said or len(said) > LONGEST:
        return None
    if _DECIMAL.fullmatch(said):
        return Number(Fraction(said.replace(",", "")))
    if found := _MIXED.fullmatch(said):
        return Number(Fraction(int(found[1] or 0)) + Fraction(int(found[2]), int(found[3])))
    if found := _INCHES.fullmatch(said):
        inches = Fraction(int(found["whole"] or 0))
        if found["over"]:
            inches += Fraction(int(found["over"]), int(found["under"]))
        return Number(int(found["feet"]) + inches / 12, in_feet=True)
    return None


def spoken_of(
    *, measure: str, face: str, layer: int, measured: Decimal, plan: int, drawn: Mapping[str, Any] | None
) -> Spoken:
    """`drawn` is what a wall's version keeps: geometry, counts, faces, pieces; None for work of a whole level."""
    unit = MEASURES[measure].unit if measure in MEASURES else ""
    if drawn is None:
        return Spoken(measured, unit)
    if measure == "board":
        sheets = tuple(_sheets(drawn, face, layer))
        add_up = half_up(sum((one.net for one in sheets), Fraction(0))) == measured
        return Spoken(measured, unit, plan, sheets, add_up, _run_feet(drawn["faces"], face, layer))
    if measure in {"studs", "stud length"}:
        return Spoken(measured, unit, plan, studs=int(drawn["counts"].get("studs") or 0) or None)
    return Spoken(measured, unit, plan)


def _run_feet(faces: Sequence[Mapping[str, Any]], face: str, layer: int) -> Fraction | None:
    """Length of the face, in feet; None for a whole wall, whose two faces differ."""
    runs = [
        Fraction(part["run_in"])
        for part in faces
        if face and part["face"] == face and layer in {0, part["layer"]} and part.get("run_in")
    ]
    return max(runs) / 12 if runs else None


def _sheets(drawn: Mapping[str, Any], face: str, layer: int) -> Iterable[SheetPiece]:
    openings = drawn["geometry"].get("openings", [])
    found = [
        sheet
        for sheet in drawn["pieces"].get("sheets", [])
        if (not face or sheet["face"] == face) and layer in {0, sheet["layer"]}
    ]
    for sheet in sorted(found, key=lambda sheet: sheet["step"]):
        width, height = Fraction(sheet["width"]), Fraction(sheet["height"])
        # A cap of a free end has no openings; they lie in the two faces.
        out = _cut_out(sheet, openings) if sheet["face"] in {"left", "right"} else Fraction(0)
        net = (width * height - out) / 144
        yield SheetPiece(sheet["step"], sheet["face"], sheet["layer"], width, height, net)


def _cut_out(sheet: Mapping[str, Any], openings: Sequence[Mapping[str, Any]]) -> Fraction:
    """Square inches of openings within a sheet's rectangle."""
    left, bottom = Fraction(sheet["at"]), Fraction(sheet["bottom"])
    right, top = left + Fraction(sheet["width"]), bottom + Fraction(sheet["height"])
    out = Fraction(0)
    for opening in openings:
        near, sill = Fraction(opening["at_in"]), Fraction(opening["sill_in"])
        far, head = near + Fraction(opening["width_in"]), sill + Fraction(opening["height_in"])
        across, up = min(right, far) - max(left, near), min(top, head) - max(bottom, sill)
        out += across * up if across > 0 and up > 0 else 0
    return out


def part_quantity(part: PartAsked, spoken: Spoken) -> tuple[Decimal, Reason]:
    """The quantity of a part in the operation's unit, rounded half up to four decimals once, and why.

    Raises NotSpoken.
    """
    if part.unit not in spoken.units:
        ways = ", ".join((spoken.unit, *spoken.units))
        raise NotSpoken(f"this work is not told in {part.unit}. Tell it in one of: {ways}.")
    if part.steps:
        return _by_number(part, spoken)
    count = part.count or Fraction(0)
    told = f"{_say(count)} {part.unit}"
    if part.unit == FEET and spoken.feet is None:
        return _found(count, "feet are what it is measured in", told, spoken.unit)
    if part.unit == STUDS and spoken.unit == "each":
        return _found(count, "studs are what it is measured in", told, spoken.unit)
    whole, rule = _whole(part.unit, spoken)
    exact = Fraction(spoken.measured) * count / whole
    term = f"{told} of {_say(whole)}, of {plain(spoken.measured)} {spoken.unit}"
    return _found(exact, rule, term, spoken.unit)


def _whole(unit: str, spoken: Spoken) -> tuple[Fraction, str]:
    if unit == SHEETS:
        return Fraction(len(spoken.sheets)), "sheets by count are equal parts of all pieces of this board"
    if unit == FEET:
        return spoken.feet or Fraction(1), "feet of wall are parts of the length of this face"
    return Fraction(spoken.studs or 1), "studs by count are equal parts of all studs of this wall"


def _by_number(part: PartAsked, spoken: Spoken) -> tuple[Decimal, Reason]:
    by_step = {sheet.step: sheet for sheet in spoken.sheets}
    if part.plan is not None and part.plan != spoken.plan:
        raise NotSpoken(
            f"the sheets are numbered by plan revision {part.plan}, and the newest is {spoken.plan} by now. Look up "
            "their numbers again."
        )
    if missing := [step for step in part.steps if step not in by_step]:
        known = ", ".join(str(step) for step in by_step)
        raise NotSpoken(f"sheet {missing[0]} is none of this board. Its sheets are {known}.")
    sheets = [by_step[step] for step in part.steps]
    numbers = ", ".join(str(step) for step in part.steps)
    if spoken.sheets_add_up:
        nets = " + ".join(plain(half_up(sheet.net)) for sheet in sheets)
        rule = "sheets by number are their own areas, openings left out"
        return _found(sum((one.net for one in sheets), Fraction(0)), rule, f"sheets {numbers}: {nets}", spoken.unit)
    whole = sum((one.width * one.height for one in spoken.sheets), Fraction(0))
    some = sum((one.width * one.height for one in sheets), Fraction(0))
    rule = "under a sloping top, sheets by number are parts of the measure by their rectangles"
    return _found(Fraction(spoken.measured) * some / whole, rule, f"sheets {numbers}", spoken.unit)


def _found(exact: Fraction, rule: str, term: str, unit: str) -> tuple[Decimal, Reason]:
    quantity = half_up(exact)
    rounded = "" if Fraction(quantity) == exact else ", rounded half up to four decimals"
    return quantity, Reason(rule, HOUSE, f"{term} = {plain(quantity)} {unit}{rounded}")


def crumb_reason(quantity: Decimal, left: Decimal, unit: str) -> Reason:
    """Why a part that ends within a crumb of what is left takes all of it."""
    return Reason(
        f"a part within {CRUMB} of what is left is all that is left: parts before it were rounded",
        HOUSE,
        f"{plain(quantity)} becomes {plain(left)} {unit}",
    )


def _say(number: Fraction) -> str:
    whole, rest = divmod(number, 1)
    return f"{whole} {rest}" if rest and whole else str(rest or whole)
