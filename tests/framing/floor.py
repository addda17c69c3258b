"""Plans for the framing tests, and ways to look a count up in what the take-off prints.

A plan is built as the plan file's own JSON and goes through the reader, so every test starts where a user starts.
Numbers in these tests are worked by hand from the rules of counting; the engine is never asked what to expect.
"""

from __future__ import annotations

import json
from copy import deepcopy
from fractions import Fraction
from typing import Any

from framing.readers import read_plan
from framing.takeoff import takeoff

Json = dict[str, Any]

BOARD: Json = {"thickness": "5/8", "width": "48", "lengths": ["96", "108", "120", "144"], "lay": "standing"}
LIGHT: Json = {"stud": "362S125-18", "track": "362T125-18", "spacing": "16", "left": ["B58"], "right": ["B58"]}

STEEL = Fraction(29, 8)  # web of 362 steel: 3 5/8 in
HALF = STEEL / 2
SLOT = Fraction(5, 8)
FLANGE = Fraction(5, 4)  # 125: 1 1/4 in


def wall_type(web: str = "362", flange: str = "125", **keys: Any) -> Json:
    """One wall type with one 5/8 in board on each face unless `keys` say otherwise."""
    return {**LIGHT, "stud": f"{web}S{flange}-18", "track": f"{web}T125-18", **keys}


def wall(mark: str, start: tuple[Any, Any], end: tuple[Any, Any], **keys: Any) -> Json:
    """A wall 9 ft high of type P1 unless `keys` say otherwise."""
    return {"mark": mark, "type": "P1", "from": list(start), "to": list(end), "height": "9'-0\"", **keys}


def door(mark: str, at: Any, width: Any = "38", height: Any = "84", **keys: Any) -> Json:
    """A door's rough opening, `at` from the wall's `from` end to its near jamb."""
    return {"mark": mark, "kind": "door", "at": at, "width": width, "height": height, **keys}


def plan(
    *walls: Json,
    junctions: list[Json] | None = None,
    types: Json | None = None,
    practice: Json | None = None,
    boards: Json | None = None,
    unit: str = "in",
) -> Json:
    """A plan of one level."""
    level: Json = {"name": "Level 1", "walls": list(walls)}
    if junctions:
        level["junctions"] = junctions
    made: Json = {
        "format": "piecewall plan 1",
        "name": "Hand-worked walls",
        "length_unit": unit,
        "boards": boards or {"B58": BOARD},
        "wall_types": types or {"P1": LIGHT},
        "levels": [level],
    }
    if practice:
        made["practice"] = practice
    return deepcopy(made)  # a test may spoil its plan


def room(*, opening: bool = True, junctions: list[Json] | None = None) -> Json:
    """The plan file's worked example: A 120 in runs through, B 96 in laps it, both free at their far ends."""
    openings = {"openings": [door("D1", "30", hinge="near")]} if opening else {}
    return plan(
        wall("A", (0, 0), (120, 0)),
        wall("B", (0, 0), (0, 96), **openings),
        junctions=[{"walls": ["A", "B"], "through": "A"}] if junctions is None else junctions,
    )


def taken(made: Json, *, explain: bool = False) -> Json:
    """The take-off of a plan, as printed: through JSON text and back, so nothing but JSON can be in it."""
    return json.loads(json.dumps(takeoff(read_plan(json.dumps(made).encode()), explain=explain)))


def size(text: Any) -> Fraction:
    """A printed length or area. A JSON number with a point would be a float, and is refused."""
    assert isinstance(text, (str, int)) and not isinstance(text, bool), f"{text!r} is not an exact number"
    return Fraction(text)


def printed(value: Fraction) -> str:
    """A number as the take-off prints it: half up to 4 decimals, without trailing zeros."""
    sign = "-" if value < 0 else ""
    tenthousandths = (abs(value) * 20_000 + 1) // 2
    whole, rest = divmod(int(tenthousandths), 10_000)
    return f"{sign}{whole}.{rest:04d}".rstrip("0").rstrip(".")


def level(out: Json) -> Json:
    """The only level of a one-level take-off."""
    (one,) = out["levels"]
    return one


def wall_of(out: Json, mark: str) -> Json:
    (one,) = [w for w in level(out)["walls"] if w["mark"] == mark]
    return one


def pieces(out: Json, mark: str, row: str) -> list[Json]:
    """Track pieces of one row of a wall, as they lie along it."""
    found = [p for p in level(out)["track_pieces"] if p["wall"] == mark and p["row"] == row]
    return sorted(found, key=lambda p: size(p["at"]))


def lap_of(end: Json) -> tuple[str, str, str, str]:
    """How a piece's end is cut at a lap: the cut, the tab, and the flanges back on the left and on the right."""
    return end["cut"], end["tab"], end["flanges_back"]["left"], end["flanges_back"]["right"]


def spans(out: Json, mark: str, row: str) -> list[tuple[Fraction, Fraction]]:
    """Start and end of each piece of a row, from the row's start."""
    return [(size(p["at"]), size(p["at"]) + size(p["length"])) for p in pieces(out, mark, row)]


def studs(out: Json, mark: str, role: str) -> list[Fraction]:
    """Where the studs of one role stand: middle of the flange, from the track's start."""
    return sorted(size(s["at"]) for s in level(out)["studs"] if s["wall"] == mark and s["role"] == role)


def sheets(out: Json, mark: str, face: str, layer: int = 1) -> list[Json]:
    found = [s for s in level(out)["sheets"] if (s["wall"], s["face"], s["layer"]) == (mark, face, layer)]
    return sorted(found, key=lambda s: (size(s["at"]), size(s["bottom"])))


def run(out: Json, mark: str, face: str, layer: int = 1) -> tuple[Fraction, Fraction]:
    """Where a face's board starts, and how far it runs, by its sheets."""
    found = sheets(out, mark, face, layer)
    start = min(size(s["at"]) for s in found)
    return start, max(size(s["at"]) + size(s["width"]) for s in found) - start


def face_of(out: Json, mark: str, face: str, layer: int = 1) -> Json:
    (one,) = [f for f in wall_of(out, mark)["faces"] if (f["face"], f["layer"]) == (face, layer)]
    return one


def junctions(out: Json, kind: str) -> list[Json]:
    return [j for j in level(out)["junctions"] if j["kind"] == kind]


def cautions(out: Json, kind: str) -> list[Json]:
    return [c for lev in out["levels"] for c in lev["cautions"] if c["kind"] == kind]
