"""What a drawing needs of a wall beyond its counts, as plain values: steel, board, heights, runs, fastening.

Joins the wall's printed object, so that whoever keeps a take-off can draw it again without the plan.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from framing.board import FACES
from framing.count import WallCount
from framing.finish import finish_of
from framing.joints import WallEnd
from framing.length import Length, inches
from framing.practice import FramingPractice
from framing.products import Board

FASTENING = (
    "floor_gap",
    "bead_gap",
    "stud_short",
    "pin_from_end",
    "pin_spacing",
    "screw_field",
    "screw_edge",
    "screw_end_edge",
    "track_screw_spacing",
    "loose_stud_screw",
)
"""The lengths of the practice that drawings print or place fasteners by."""


def wall_described(count: WallCount, walls: Sequence[WallCount], practice: FramingPractice) -> dict[str, Any]:
    """The drawing's part of a wall's printed object; `walls` are the level's, by number. Lengths in decimal inches."""
    wall, kind = count.wall, count.wall.type
    return {
        "line": wall.line,
        "stud": kind.stud.designator,
        "track": kind.track.designator,
        "spacing_in": inches(kind.spacing),
        "layout_from": wall.layout_from,
        "fire_rated": kind.fire_rated,
        "boards": {"left": _boards(kind.left), "right": _boards(kind.right)},
        "finish": {face: finish_of(wall, face, practice) for face in FACES},
        "head_gap_in": inches(kind.head_gap),
        "heights_in": {
            "from": inches(wall.height_from),
            "to": inches(wall.height_to),
            "left": _some(wall.left_height),
            "right": _some(wall.right_height),
        },
        "runs": [
            {
                "start": inches(run.start),
                "end": inches(run.end),
                "from_end": _end(run.start_end, walls),
                "to_end": _end(run.end_end, walls),
            }
            for run in count.frame.runs
        ],
        "fastening_in": {name: inches(getattr(practice, name)) for name in FASTENING},
    }


def _boards(boards: Sequence[Board]) -> list[dict[str, str]]:
    return [{"board": board.name, "thickness_in": inches(board.thickness), "lay": board.lay} for board in boards]


def _some(length: Length | None) -> str | None:
    return None if length is None else inches(length)


def _end(end: WallEnd, walls: Sequence[WallCount]) -> dict[str, Any]:
    return {
        "role": end.role,
        "other": walls[end.other].wall.mark if end.other >= 0 else None,
        "at_in": inches(end.at),
        "other_at_in": inches(end.other_at),
        "slot_in": inches(end.slot),
        "inside": end.inside,
        "door_corner": end.is_door_corner,
    }
