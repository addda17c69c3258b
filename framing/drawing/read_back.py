"""A printed take-off read back, to draw a wall from what was kept of it, without the plan.

Takes the objects of `framing.takeoff.takeoff`: some or all walls of one level, each with its pieces. A junction is
drawn where every wall that it joins is given.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from framing.described import FASTENING
from framing.drawing.drawn import DrawnLevel, DrawnWall, HangRule
from framing.drawing.stocked import Stocked
from framing.joints import Junction, WallEnd
from framing.length import Length, parse_length
from framing.lines import Point
from framing.meetings import axes_of
from framing.pieces import Caution, Cut, Sheet, Stud, TrackPiece
from framing.plan import Opening, Wall, WallType
from framing.products import Board, section
from framing.runs import Frame, Run
from framing.stock_printed import STOCKED

Printed = Mapping[str, Any]


def level_read_back(level: Printed, *, plan: str = "", is_metric: bool = False) -> DrawnLevel:
    """A level of a printed take-off as it is drawn. Raises KeyError where it was printed without what drawings need."""
    marks = [wall["mark"] for wall in level["walls"]]
    frames = [_frame(index, wall, marks) for index, wall in enumerate(level["walls"])]
    axes = axes_of([frame.wall for frame in frames])
    walls = []
    for frame, axis, printed in zip(frames, axes, level["walls"], strict=True):
        mark = frame.wall.mark
        walls.append(
            DrawnWall(
                frame,
                axis,
                tuple(_stud(one) for one in level["studs"] if one["wall"] == mark),
                tuple(_track(one) for one in level["track_pieces"] if one["wall"] == mark),
                tuple(_sheet(one) for one in level["sheets"] if one["wall"] == mark),
                _ticks(printed["stud_stock_in"]),
                {face: level for face, level in printed.get("finish", {}).items() if frame.wall.type.layers(face)},
            )
        )
    return DrawnLevel(
        plan,
        level["name"],
        is_metric,
        tuple(walls),
        tuple(_junction(one) for one in level["junctions"] if set(one["walls"]) <= set(marks)),
        tuple(HangRule(one["step"], tuple(one["after"]), one["because"]) for one in level["hanging"]),
        tuple(_caution(one) for one in level["cautions"]),
        _fastening(level["walls"]),
        Stocked({name: level[name] for name in STOCKED if name in level}),
    )


def _ticks(decimal_inches: str) -> Length:
    return parse_length(Decimal(decimal_inches))


def _some(decimal_inches: str | None) -> Length | None:
    return None if decimal_inches is None else _ticks(decimal_inches)


def _fastening(walls: Sequence[Printed]) -> dict[str, Length]:
    given = walls[0]["fastening_in"] if walls else {}
    return {name: _ticks(given[name]) for name in FASTENING if name in given}


def _frame(index: int, printed: Printed, marks: Sequence[str]) -> Frame:
    origin = _ticks(printed["track_start_in"])
    openings = tuple(_opening(one, origin) for one in printed["openings"])
    heights = printed["heights_in"]
    wall = Wall(
        printed["mark"],
        _kind(printed),
        Point(*(_ticks(part) for part in printed["from"])),
        Point(*(_ticks(part) for part in printed["to"])),
        _ticks(heights["from"]),
        _ticks(heights["to"]),
        printed["line"],
        _some(heights["left"]),
        _some(heights["right"]),
        printed["layout_from"],
        openings,
    )
    runs = tuple(
        Run(_ticks(run["start"]), _ticks(run["end"]), _end(run["from_end"], marks), _end(run["to_end"], marks))
        for run in printed["runs"]
    )
    return Frame(index, wall, origin, runs, openings)


def _kind(printed: Printed) -> WallType:
    left, right = (
        tuple(Board(one["board"], _ticks(one["thickness_in"]), 0, (), one["lay"]) for one in printed["boards"][face])
        for face in ("left", "right")
    )
    return WallType(
        printed["type"],
        section(printed["stud"], "S"),
        section(printed["track"], "T"),
        _ticks(printed["spacing_in"]),
        left,
        right,
        _ticks(printed["head_gap_in"]),
        printed["fire_rated"],
    )


def _end(printed: Printed, marks: Sequence[str]) -> WallEnd:
    other = marks.index(printed["other"]) if printed["other"] in marks else -1
    return WallEnd(
        printed["role"],
        _ticks(printed["at_in"]),
        other,
        slot=_ticks(printed["slot_in"]),
        inside=printed["inside"],
        other_at=_ticks(printed["other_at_in"]),
        is_door_corner=printed["door_corner"],
    )


def _opening(printed: Printed, origin: Length) -> Opening:
    at, width, height, sill = (_ticks(printed[name]) for name in ("at_in", "width_in", "height_in", "sill_in"))
    return Opening(
        printed["mark"], printed["kind"], at + origin, width, height, sill, printed["hinge"], printed["swing"]
    )


def _stud(printed: Printed) -> Stud:
    at, length, bottom = (_ticks(printed[name]) for name in ("at", "length", "bottom"))
    return Stud(at, printed["role"], length, bottom, printed["opens"])


def _track(printed: Printed) -> TrackPiece:
    bent = printed.get("bent_up", {})
    from_end, to_end = (_cut(printed[name], bent.get(name, "0")) for name in ("from_end", "to_end"))
    return TrackPiece(
        printed["row"], _ticks(printed["at"]), _ticks(printed["length"]), from_end, to_end, printed["pins"]
    )


def _cut(printed: Printed, bend: str) -> Cut:
    back, bevel = printed.get("flanges_back", {}), printed.get("bevel", {})
    return Cut(
        printed["cut"],
        _ticks(printed.get("tab", "0")),
        _ticks(back.get("left", "0")),
        _ticks(back.get("right", "0")),
        _ticks(bevel.get("left", "0")),
        _ticks(bevel.get("right", "0")),
        _ticks(bend),
    )


def _sheet(printed: Printed) -> Sheet:
    at, bottom, width, height = (_ticks(printed[name]) for name in ("at", "bottom", "width", "height"))
    return Sheet(
        printed["face"],
        printed["layer"],
        printed["board"],
        at,
        bottom,
        width,
        height,
        printed["screws"],
        printed["sheet"],
        printed["step"],
    )


def _junction(printed: Printed) -> Junction:
    at = Point(*(_ticks(part) for part in printed["at"]))
    return Junction(printed["kind"], tuple(printed["walls"]), at, printed["because"], printed["through"])


def _caution(printed: Printed) -> Caution:
    return Caution(
        printed["kind"],
        printed["sentence"],
        tuple(printed["walls"]),
        printed["opening"] or "",
        _some(printed.get("by")),
    )
