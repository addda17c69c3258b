"""The only door to the framing engine: bytes of a plan, a model or a drawing in, counts out.

Everything here is the engine's answer as `takeoff` prints it; `jobs.measures` makes quantities of it.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any

from framing.hanging import TIE
from framing.length import LengthMistake, inches, parse_length
from framing.limits import pieces_about
from framing.plan import PlanMistakes
from framing.readers import is_model, read_plan
from framing.readers.plan_csv import folder_files, pack
from framing.takeoff import takeoff
from jobs.counted_apart import counted_apart
from jobs.refusals import Invalid, Mistake


@dataclass(frozen=True, slots=True)
class CountedPlan:
    """A plan as read and taken off. `levels` are those of the take-off's JSON, with reasons."""

    source_sha256: str
    reader: str
    levels: list[dict[str, Any]]
    order: list[Any]
    totals: dict[str, Any]
    cautions: list[dict[str, Any]]


def plan_bytes(path: Path) -> tuple[bytes, str]:
    """A plan's bytes and its name; a folder of tables is packed. Raises Invalid, OSError."""
    if not path.is_dir():
        return path.read_bytes(), path.name
    try:
        return pack(folder_files(path)), f"{path.name}.zip"
    except PlanMistakes as mistakes:
        raise _refused(mistakes) from mistakes


def _refused(mistakes: PlanMistakes) -> Invalid:
    return Invalid(*(Mistake("plan", str(sentence)) for sentence in mistakes.mistakes))


def length_in_inches(text: str, field: str) -> Decimal:
    """A length as the plan file has it (`10'-0"`, `120`, `3048 mm`), in inches to four decimals. Raises Invalid."""
    try:
        return Decimal(inches(parse_length(text))).quantize(Decimal("0.0001"))
    except (LengthMistake, InvalidOperation) as mistake:
        raise Invalid(Mistake(field, f"“{text[:40]}” {mistake}.")) from None


MOST_WALLS = 10_000
"""Of one job's plan, all levels together: about 700 MB while it is counted."""

LITTLE_BYTES, LITTLE_PIECES = 500_000, 50_000
"""Of a plan that is counted at once, in the process that asks: about 500 walls of an office floor."""


def count_plan(source: bytes, source_name: str) -> CountedPlan:
    """Read a plan, a building model or a drawing and take it off; `source_name` ends as the file's own name does. A
    plan is a plan file, or a zip file of its tables.

    A model is read by the reader's own proposal of wall types; each element that it did not take is a caution. Raises
    Invalid with every mistake of the plan, each a sentence of the reader. Size, walls and pieces are bounded there, and
    walls here too.
    """
    try:
        if is_model(source_name):
            counted = counted_apart(source, source_name, MOST_WALLS, "model")
        else:
            counted = _little_plan(source, source_name) or counted_apart(source, source_name, MOST_WALLS, "plan")
    except PlanMistakes as mistakes:
        raise _refused(mistakes) from mistakes
    levels = counted["levels"]
    return CountedPlan(
        source_sha256=hashlib.sha256(source).hexdigest(),
        reader=source_name.rsplit(".", 1)[-1].lower(),
        levels=levels,
        order=counted.get("order", []),
        totals=counted.get("counts", {}),
        cautions=[
            *(caution | {"level": level["name"]} for level in levels for caution in level.get("cautions", [])),
            *_left_out(counted),
        ],
    )


def _little_plan(source: bytes, source_name: str) -> dict[str, Any] | None:
    """The take-off of a plan that takes a second or two; None where it may hold whoever counts it for minutes, and is
    not counted here."""
    if len(source) > LITTLE_BYTES or source_name.lower().endswith(".zip"):
        return None
    plan = read_plan(source, name=source_name)
    pieces = sum(pieces_about(wall, plan.practice) for level in plan.levels for wall in level.walls)
    return takeoff(plan, explain=True) if pieces <= LITTLE_PIECES else None


_MOST_LEFT_OUT = 200


def _left_out(counted: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    """What a model's reader said of the file as a whole, and each element that it did not take."""
    for caution in counted.get("model", {}).get("cautions", ()):
        yield caution | {"level": ""}
    left_out = counted.get("left_out", ())
    for one in left_out[:_MOST_LEFT_OUT]:
        sentence = f"{one['what']} {one['id']} is not counted: {one['reason']}."
        yield {"kind": "left out", "sentence": sentence, "walls": [], "opening": None, "level": ""}
    if len(left_out) > _MOST_LEFT_OUT:
        more = f"{len(left_out) - _MOST_LEFT_OUT} more elements are not counted; the take-off lists them all."
        yield {"kind": "left out", "sentence": more, "walls": [], "opening": None, "level": ""}


def wall_pieces(level: Mapping[str, Any], mark: str) -> dict[str, Any]:
    """What the take-off lists by level, for one wall alone, and under `because` the reasons of its counts."""

    def of_wall(name: str) -> list[Any]:
        return [piece for piece in level.get(name, []) if piece.get("wall") == mark]

    def with_wall(name: str) -> list[Any]:
        return [found for found in level.get(name, []) if mark in found.get("walls", [])]

    wall = next(found for found in level["walls"] if found["mark"] == mark)
    hanging = [rule for rule in level.get("hanging", []) if rule["step"] in {one["step"] for one in of_wall("sheets")}]
    return {
        "because": wall.get("because", {}),
        "studs": of_wall("studs"),
        "track_pieces": of_wall("track_pieces"),
        "sheets": of_wall("sheets"),
        "junctions": with_wall("junctions"),
        "cautions": with_wall("cautions"),
        "hanging": hanging,
        "goes_first": _goes_first(level, hanging),
    }


def _goes_first(level: Mapping[str, Any], hanging: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """The rules of the hanging order by face and layer: whose board goes up first, for which sheets, and why.

    `kind` is `loose stud` where the board that goes first ties one, else `hanging order`.
    """
    sheets = {sheet["step"]: sheet for sheet in level.get("sheets", [])}
    steps: dict[tuple[Any, ...], set[int]] = {}
    for rule in hanging:
        then = sheets[rule["step"]]
        for step in rule["after"]:
            first = sheets[step]
            places = (then["face"], then["layer"], first["wall"], first["face"], first["layer"], rule["because"])
            steps.setdefault(places, set()).add(rule["step"])
    tied = TIE.split("{", maxsplit=1)[0]
    return [
        {
            "kind": "loose stud" if because.startswith(tied) else "hanging order",
            "face": face,
            "layer": layer,
            "steps": sorted(found),
            "first_wall": first_wall,
            "first_face": first_face,
            "first_layer": first_layer,
            "because": because,
        }
        for (face, layer, first_wall, first_face, first_layer, because), found in sorted(steps.items())
    ]


def wall_geometry(wall: Mapping[str, Any]) -> dict[str, Any]:
    """A wall's lengths and openings: all that the take-off says of it but counts, faces and their reasons."""
    return {key: value for key, value in wall.items() if key not in {"counts", "faces", "because"}}


@dataclass(frozen=True, slots=True)
class WallDrawing:
    """One drawing of a wall. `kind`: elevation, detail or card; `svg` is an element to stand in a page."""

    kind: str
    name: str
    title: str
    told: str
    svg: str


def wall_drawings(
    level: str, walls: Sequence[tuple[Mapping[str, Any], Mapping[str, Any]]], mark: str, *, is_metric: bool = False
) -> tuple[WallDrawing, ...]:
    """Elevations, junction details and cut cards of the wall `mark`, from what is kept of it.

    `walls`: (geometry, pieces) of that wall and of the walls it meets, in any order; a junction is drawn where all of
    its walls are given. Nothing is drawn of a wall kept before take-offs told what drawings need.
    """
    from framing.drawing.read_back import level_read_back
    from framing.drawing.svg import svg
    from framing.drawing.wall_sheet import cards, details, elevations

    if not walls:
        return ()
    lists = {
        name: _unique(item for _, pieces in walls for item in pieces.get(name, []))
        for name in ("studs", "track_pieces", "sheets", "junctions", "cautions", "hanging")
    }
    try:
        drawn = level_read_back(
            {"name": level, "walls": [geometry for geometry, _ in walls], **lists}, is_metric=is_metric
        )
    except KeyError:
        return ()
    wall = drawn.wall(mark)
    made = (("elevation", elevations(wall, drawn)), ("detail", details(wall, drawn)), ("card", cards(wall, drawn)))
    return tuple(
        WallDrawing(kind, one.name, one.title, one.told, svg(one, is_inline=True))
        for kind, drawings in made
        for one in drawings
    )


def _unique(items: Iterable[Any]) -> list[Any]:
    """Items once each, in order: a junction or a caution stands with every wall that it names."""
    found: list[Any] = []
    seen: set[str] = set()
    for item in items:
        key = json.dumps(item, sort_keys=True)
        if key not in seen:
            seen.add(key)
            found.append(item)
    return found
