"""The lists of a wall: studs by role and length, sheets with their cut-outs, the order of work with its reasons."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

from framing.board import CAPS
from framing.drawing.drawn import DrawnLevel, DrawnWall
from framing.drawing.lettering import listed, say, say_inches
from framing.drawing.steel_view import ROLE_LETTERS, ROLE_WORDS
from framing.drawing.table import Table
from framing.length import Length
from framing.pieces import Sheet, Stud

_ROLE_ORDER = ("layout", "end", "corner", "loose", "door", "jamb", "backing", "cripple")


def stud_table(wall: DrawnWall, level: DrawnLevel) -> Table:
    """Studs of one wall by role, length and open side, with their places from the layout's origin."""
    groups: dict[tuple[str, Length, Length, str], list[Stud]] = defaultdict(list)
    for stud in wall.studs:
        groups[stud.role, stud.length, stud.bottom, stud.opens].append(stud)
    rows = []
    for key in sorted(groups, key=lambda one: (_ROLE_ORDER.index(one[0]), -one[1], one[2:])):
        role, length, bottom, opens = key
        studs = groups[key]
        places = sorted(wall.from_origin(stud.at) for stud in studs)
        rows.append(
            (
                ROLE_LETTERS.get(role, ""),
                ROLE_WORDS[role],
                str(len(studs)),
                say(length, is_metric=level.is_metric),
                say(bottom, is_metric=level.is_metric) if bottom else "floor",
                f"{opens} end",
                ", ".join(say_inches(place, is_metric=level.is_metric) for place in places),
            )
        )
    kind = wall.wall.type.stud.designator
    stock = say(wall.stud_stock, is_metric=level.is_metric)
    return Table(
        f"Studs: {len(wall.studs)} of {kind}, the tallest from stock of {stock} at least",
        ("", "role", "count", "length", "stands on", "opens to", f"middles from the {wall.wall.layout_from} end"),
        tuple(rows),
        frozenset({2, 3}),
        6,
        frozenset({0}),
    )


def sheet_table(wall: DrawnWall, level: DrawnLevel) -> Table:
    """Pieces of board of one wall in the order of hanging: size, place, sheet, cut-outs, what must be up first."""

    def told(length: Length) -> str:
        return say_inches(length, is_metric=level.is_metric)

    waits = waits_for(wall, level)
    opened = level.opened()
    rows = []
    for sheet in sorted(wall.sheets, key=lambda one: one.step):
        layer = f" {sheet.layer}" if len(wall.layers(sheet.face)) > 1 else ""
        cut = [f"cut out {words}" for words in cut_outs(wall, sheet, is_metric=level.is_metric)]
        rows.append(
            (
                str(sheet.step),
                f"{sheet.face}{layer}",
                sheet.board,
                f"{told(sheet.width)} × {told(sheet.height)}",
                "" if sheet.face in CAPS else told(wall.from_origin(near_edge(wall, sheet))),
                told(sheet.bottom),
                _from_sheet(sheet, opened),
                str(sheet.screws),
                "; ".join([*cut, *waits[sheet.step]]),
            )
        )
    head = ("step", "face", "board", "width × height", "edge at", "foot at", "from sheet", "screws")
    return Table(
        f"Board: {len(wall.sheets)} pieces in the order of hanging",
        (
            *head,
            "cut-outs (in from the edge, up from the foot); what must be up first (another wall's mark in brackets)",
        ),
        tuple(rows),
        frozenset({3, 4, 5, 6, 7}),
        8,
        frozenset({0}),
    )


def _from_sheet(sheet: Sheet, opened: Mapping[int, int]) -> str:
    """The number of a piece's stock sheet, and at which step that was taken from the pile, where it was before."""
    step = opened.get(sheet.stock, sheet.step)
    return str(sheet.stock) if step == sheet.step else f"{sheet.stock}, open since {step}"


def waits_for(wall: DrawnWall, level: DrawnLevel) -> dict[int, list[str]]:
    """What each step of a wall waits for, and why, in words; nothing for one that is free to go up."""
    whose = {sheet.step: other for other in level.walls for sheet in other.sheets}
    found: dict[int, list[str]] = defaultdict(list)
    for rule in level.rules_of(wall):
        names = [
            f"{step} ({whose[step].mark})" if step in whose and whose[step] is not wall else str(step)
            for step in rule.after
        ]
        found[rule.step].append(f"after {listed(names)}: {rule.because}")
    return found


def near_edge(wall: DrawnWall, sheet: Sheet) -> Length:
    """The edge of a sheet that is nearer to where the layout starts."""
    return sheet.at if wall.wall.layout_from == "from" else sheet.at + sheet.width


def cut_outs(wall: DrawnWall, sheet: Sheet, *, is_metric: bool) -> list[str]:
    """What is cut out of a sheet for openings: size, and how far in from its near edge and up from its foot."""
    if sheet.face in CAPS:
        return []
    found = []
    for opening, low, high, foot, head in overlaps(wall, sheet):
        near = low - sheet.at if wall.wall.layout_from == "from" else sheet.at + sheet.width - high
        size = " × ".join(say_inches(part, is_metric=is_metric) for part in (high - low, head - foot))
        where = f"{say_inches(near, is_metric=is_metric)} in, {say_inches(foot - sheet.bottom, is_metric=is_metric)} up"
        found.append(f"{opening}: {size}, {where}")
    return found


def overlaps(wall: DrawnWall, sheet: Sheet) -> list[tuple[str, Length, Length, Length, Length]]:
    """(mark, low, high, foot, head) of the part of each opening that lies in a sheet, in the wall's own places."""
    found = []
    for opening in wall.frame.openings:
        low, high = max(sheet.at, wall.frame.at(opening)), min(sheet.at + sheet.width, wall.frame.far(opening))
        foot, head = max(sheet.bottom, opening.sill), min(sheet.bottom + sheet.height, opening.top)
        if low < high and foot < head:
            found.append((opening.mark, low, high, foot, head))
    return found


def level_order(level: DrawnLevel) -> list[tuple[str, str]]:
    """The level's order in stretches: (`12-15`, `W-03 left face`), each as long as one face is worked on."""
    steps = sorted((sheet.step, wall.mark, sheet.face, sheet.layer) for wall in level.walls for sheet in wall.sheets)
    found: list[tuple[int, int, str]] = []
    for step, mark, face, layer in steps:
        several = f", layer {layer}" if len(level.wall(mark).layers(face)) > 1 else ""
        where = f"{mark} {face}{several}"
        if found and found[-1][2] == where and found[-1][1] == step - 1:
            found[-1] = (found[-1][0], step, where)
        else:
            found.append((step, step, where))
    return [(str(low) if low == high else f"{low}–{high}", where) for low, high, where in found]
