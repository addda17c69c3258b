"""A plan's take-off as the printed JSON object: plain values, lengths in decimal inches as text.

Keys are a contract with whoever reads them: added to, never renamed or moved.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from itertools import chain
from typing import Any

from framing.beside import Compared, handbook_check
from framing.count import FaceCount, LevelCount, WallCount, count_level
from framing.described import wall_described
from framing.hanging import Hanging
from framing.joints import Junction
from framing.length import inches, rounded, square_feet
from framing.order import OrderLine, order_list
from framing.pieces import MEASURES, TAPE_OF_LEVEL, Because, Caution, Counts, Cut, Sheet, Stud, TrackPiece
from framing.plan import Plan
from framing.practice import FramingPractice
from framing.reasons import Term, because
from framing.sheetbound import board_stock
from framing.stock_printed import board_stock_json, rooms_json

_LENGTHS = {
    "track": "track_in",
    "stud_length": "stud_in",
    "sealant": "sealant_in",
    "bead": "bead_in",
    "tape": "tape_in",
    **{measure: f"tape_level_{level}_in" for level, measure in enumerate(TAPE_OF_LEVEL) if measure},
}
_AREAS = {
    "board_net": "board_net_sqft",
    "board_high": "board_high_sqft",
    "board_bought": "board_bought_sqft",
    "skim": "skim_sqft",
}
PRINTED = {measure: _LENGTHS.get(measure, _AREAS.get(measure, measure)) for measure in MEASURES}
"""The engine's measures by their printed names."""


def takeoff(plan: Plan, *, explain: bool = False) -> dict[str, Any]:
    """Count a validated plan. With `explain`, every wall's and face's counts carry `because`."""
    levels = [count_level(level, plan.practice, explain=explain) for level in plan.levels]
    boards = [board_stock(level) for level in levels]
    order = order_list(levels, plan.practice, list(chain(*boards)))
    return {
        "plan": plan.name,
        "length_unit": plan.length_unit,
        "levels": [
            _level(level, plan.practice, explain)
            | {"board_stock": [board_stock_json(one) for one in own]}
            | rooms_json(level, order)
            for level, own in zip(levels, boards, strict=True)
        ],
        "counts": counts_json(Counts.total(level.counts for level in levels)),
        "order": [_order_line(line) for line in order],
        "left_out": [],
        "handbook": [_compared(compared) for compared in handbook_check(levels, plan.practice)],
    }


def _compared(compared: Compared) -> dict[str, Any]:
    row = compared.row
    return {
        "name": row.name,
        "unit": row.unit,
        "handbook": rounded(row.handbook, 1),
        "counted": rounded(row.counted, 1),
        "ratio": None if row.ratio is None else rounded(row.ratio, 2),
        "far_apart": compared.is_far,
        "source": row.source,
    }


def counts_json(counts: Counts) -> dict[str, Any]:
    """Counts under their printed names: lengths and areas as decimal text, the rest as whole numbers."""
    return {name: _amount(measure, getattr(counts, measure)) for measure, name in PRINTED.items()}


def _amount(measure: str, value: Any) -> Any:
    if measure in _LENGTHS:
        return inches(value)
    return rounded(square_feet(value)) if measure in _AREAS else value


def _level(level: LevelCount, practice: FramingPractice, explain: bool) -> dict[str, Any]:
    return {
        "name": level.name,
        "counts": counts_json(level.counts),
        "walls": [_wall(wall, explain) | wall_described(wall, level.walls, practice) for wall in level.walls],
        "junctions": [_junction(junction) for junction in level.joined.found],
        "track_pieces": [_track_piece(wall.wall.mark, piece) for wall in level.walls for piece in wall.track],
        "studs": [_stud(wall.wall.mark, stud) for wall in level.walls for stud in wall.studs],
        "sheets": [_sheet(wall.wall.mark, sheet) for wall in level.walls for sheet in wall.sheets],
        "hanging": _hanging(level.hanging),
        "cautions": [caution_json(caution) for caution in level.cautions],
    }


def _wall(count: WallCount, explain: bool) -> dict[str, Any]:
    wall = count.wall
    found: dict[str, Any] = {
        "mark": wall.mark,
        "type": wall.type.name,
        "line_length": inches(wall.length),
        "track_length": inches(count.frame.track_length),
        "track_start_in": inches(count.frame.origin),
        "from": [inches(part) for part in wall.start],
        "to": [inches(part) for part in wall.end],
        "height_in": inches(wall.highest),
        "stud_stock_in": inches(count.stud_stock),
        "openings": [
            {
                "mark": opening.mark,
                "kind": opening.kind,
                "at_in": inches(count.frame.at(opening)),
                "width_in": inches(opening.width),
                "height_in": inches(opening.height),
                "sill_in": inches(opening.sill),
                "hinge": opening.hinge,
                "swing": opening.swing,
            }
            for opening in count.frame.openings
        ],
        "counts": counts_json(count.counts),
        "faces": [_face(face, explain) for face in count.faces],
    }
    if explain:
        found["because"] = _reasons(count.terms)
    return found


def _reasons(terms: Sequence[Term]) -> dict[str, list[dict[str, str]]]:
    return {name: found for measure, name in PRINTED.items() if (found := _because(because(terms, measure)))}


def _because(reasons: Iterable[Because]) -> list[dict[str, str]]:
    return [{"rule": reason.rule, "source": reason.source, "term": reason.term} for reason in reasons]


def _face(face: FaceCount, explain: bool) -> dict[str, Any]:
    found: dict[str, Any] = {
        "face": face.face,
        "layer": face.layer,
        "board": face.board,
        "run_in": inches(face.run),
        "height_in": inches(face.height),
        "board_net_sqft": rounded(square_feet(face.net)),
        "sheets": face.sheets,
        "board_screws": face.board_screws,
    }
    if explain:
        found["because"] = _because(because(face.terms, "board_net"))
    return found


def _junction(junction: Junction) -> dict[str, Any]:
    return {
        "kind": junction.kind,
        "walls": list(junction.walls),
        "through": junction.through,
        "at": [inches(part) for part in junction.at],
        "because": junction.because,
    }


def _track_piece(mark: str, piece: TrackPiece) -> dict[str, Any]:
    ends = {"from_end": piece.from_end, "to_end": piece.to_end}
    found: dict[str, Any] = {
        "wall": mark,
        "row": piece.row,
        "at": inches(piece.at),
        "length": inches(piece.length),
        **{name: _cut(cut) for name, cut in ends.items()},
        "pins": piece.pins,
    }
    bent = {name: inches(cut.bend) for name, cut in ends.items() if cut.bend}
    if any(cut.kind == "tab" for cut in ends.values()):
        found["tab_lies"] = "under" if piece.row == "bottom" else "over"
    if bent:
        found["bent_up"] = bent
    return found


def _cut(cut: Cut) -> dict[str, Any]:
    found: dict[str, Any] = {"cut": cut.kind}
    if cut.kind == "tab":
        back = {"left": inches(cut.left_back), "right": inches(cut.right_back)}
        found |= {"tab": inches(cut.tab), "flanges_back": back}
    if cut.left_bevel or cut.right_bevel:
        found["bevel"] = {"left": inches(cut.left_bevel), "right": inches(cut.right_bevel)}
    return found


def _stud(mark: str, stud: Stud) -> dict[str, Any]:
    return {
        "wall": mark,
        "at": inches(stud.at),
        "role": stud.role,
        "length": inches(stud.length),
        "bottom": inches(stud.bottom),
        "opens": stud.opens,
    }


def _sheet(mark: str, sheet: Sheet) -> dict[str, Any]:
    return {
        "wall": mark,
        "face": sheet.face,
        "layer": sheet.layer,
        "board": sheet.board,
        "at": inches(sheet.at),
        "bottom": inches(sheet.bottom),
        "width": inches(sheet.width),
        "height": inches(sheet.height),
        "sheet": sheet.stock,
        "step": sheet.step,
        "screws": sheet.screws,
    }


def _hanging(hanging: Hanging) -> list[dict[str, Any]]:
    """What the order of hanging keeps: `step` after each of `after`, because."""
    by_step: dict[tuple[int, str], list[int]] = defaultdict(list)
    for rule in hanging.kept:
        by_step[hanging.steps[rule.then], rule.because].append(hanging.steps[rule.first])
    return [
        {"step": step, "after": sorted(after), "because": because} for (step, because), after in sorted(by_step.items())
    ]


def caution_json(caution: Caution) -> dict[str, Any]:
    """One caution as printed; `by` in inches where it has a size."""
    found: dict[str, Any] = {
        "kind": caution.kind,
        "sentence": caution.sentence,
        "walls": list(caution.walls),
        "opening": caution.opening or None,
    }
    if caution.by is not None:
        found["by"] = inches(caution.by)
    return found


def _order_line(line: OrderLine) -> dict[str, Any]:
    found: dict[str, Any] = {"product": line.product, "count": line.count, "unit": line.unit}
    if line.stock_length is not None:
        found["stock_length"] = inches(line.stock_length)
    if line.bound is not None:
        found["bound"] = line.bound
    if line.per_box is not None:
        found |= {"boxes": line.boxes, "per_box": line.per_box}
    if line.because:
        found["because"] = line.because
    if len(line.shares) > 1:
        found["levels"] = [
            {"level": share.level, "count": share.count, "offcuts": share.offcuts, "cut_ahead": share.cut_ahead}
            for share in line.shares
        ]
    return found
