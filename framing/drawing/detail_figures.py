"""The figures of a detail: tab, flanges back, slot, bead gap, bevel, width of a cap, each as the piece was counted."""

from __future__ import annotations

import math

from framing.drawing.detail_paper import OnPaper
from framing.drawing.drawn import DrawnLevel
from framing.drawing.lettering import say, span
from framing.drawing.marks import slash
from framing.drawing.meeting_parts import PAST, Part
from framing.drawing.shapes import FINE_LINE, Pad, Spot
from framing.finish import opposite
from framing.joints import LAP, STEM, THROUGH
from framing.length import TICKS_PER_INCH as INCH
from framing.length import Length
from framing.pieces import Cut
from framing.plan import LEFT


def figures(pad: Pad, paper: OnPaper, level: DrawnLevel) -> None:
    """Dimension lines around the figure, and the gap left for the bead."""
    for part in paper.met.parts:
        if part.role == LAP:
            _lap(pad, paper, part)
        elif part.role == STEM:
            _stem(pad, paper, part)
        for cap in part.caps():
            if cap.layer == len(part.wall.layers(cap.face)):
                _cap(pad, paper, part, cap.width)
    _bead(pad, paper, level)


def cut_here(part: Part) -> Cut | None:
    """How the bottom track's end at the junction is cut; None where no bottom track ends there."""
    return next((piece.from_end if part.inward > 0 else piece.to_end for piece in part.track_at_end()), None)


def backs(cut: Cut, inside: str) -> tuple[Length, Length]:
    """(outer, inner) flange cut-backs of an end, by the face that looks into the corner."""
    return (cut.right_back, cut.left_back) if inside == LEFT else (cut.left_back, cut.right_back)


def _line(
    pad: Pad, paper: OnPaper, part: Part, stretch: tuple[Length, Length], side: str, row: int, words: str
) -> None:
    """A dimension along a wall, beside one of its faces: `row` 0 is nearest to the board."""
    sign = 1 if side == LEFT else -1
    edge = part.wall.beside(side)[1]
    away = paper.spot(part.wall.point(part.place, edge + sign * INCH))
    base = paper.spot(part.wall.point(part.place, edge))
    size = math.hypot(away.x - base.x, away.y - base.y)
    out = Spot((away.x - base.x) / size, (away.y - base.y) / size)
    off = 5.0 + 5.2 * row
    ends = []
    for at in stretch:
        foot = paper.spot(part.wall.point(at, edge))
        ends.append(Spot(foot.x + out.x * off, foot.y + out.y * off))
        pad.line((foot.x + out.x * 0.8, foot.y + out.y * 0.8), (foot.x + out.x * (off + 1), foot.y + out.y * (off + 1)))
    _between(pad, ends[0], ends[1], words)


def _between(pad: Pad, one: Spot, two: Spot, words: str) -> None:
    """A dimension line with its words on it, or past its far end where it is too short for them."""
    pad.line(one, two)
    for spot in (one, two):
        slash(pad, spot.x, spot.y)
    dx, dy = two.x - one.x, two.y - one.y
    length = math.hypot(dx, dy) or 1.0
    turn = -math.degrees(math.atan2(dy, dx))
    while turn > 90.01:
        turn -= 180
    while turn <= -89.99:
        turn += 180
    sine, cosine = math.sin(math.radians(turn)), math.cos(math.radians(turn))
    lift = 0.8
    if span(words, 7) + 1 <= length:
        x, y = (one.x + two.x) / 2, (one.y + two.y) / 2
        pad.text(x - sine * lift, y - cosine * lift, words, 7, "middle", turn=turn)
        return
    is_along = dx * cosine - dy * sine >= 0
    x, y = two.x + dx / length * 1.6, two.y + dy / length * 1.6
    drop = 0.9
    pad.text(x + sine * drop, y + cosine * drop, words, 7, "start" if is_along else "end", turn=turn)


def _lap(pad: Pad, paper: OnPaper, part: Part) -> None:
    cut = cut_here(part)
    if cut is None or part.end is None:
        return
    inside = part.end.inside
    outer, inner = backs(cut, inside)
    tip, sign = part.place, part.inward
    _line(pad, paper, part, (tip, tip + sign * cut.tab), opposite(inside), 0, f"tab {_say(paper, cut.tab)}")
    if outer == inner:
        slot = outer - cut.tab
        _line(
            pad,
            paper,
            part,
            (tip + sign * cut.tab, tip + sign * outer),
            opposite(inside),
            0,
            f"slot {_say(paper, slot)}",
        )
        _line(pad, paper, part, (tip, tip + sign * outer), opposite(inside), 1, f"flanges back {_say(paper, outer)}")
        return
    side = opposite(inside)
    _line(pad, paper, part, (tip, tip + sign * outer), side, 1, f"outer flange back {_say(paper, outer)}")
    _line(pad, paper, part, (tip, tip + sign * inner), side, 2, f"inner flange back {_say(paper, inner)}")


def _stem(pad: Pad, paper: OnPaper, part: Part) -> None:
    """The slot between the through wall's steel and a stem's square end, where they meet squarely."""
    through = next(one for one in paper.met.parts if one.role == PAST)
    ax, ay = part.away()
    bx, by = through.away()
    if part.end is None or abs(ax * bx + ay * by) > 1e-6:
        return
    sign = part.inward
    slot = part.end.slot
    _line(pad, paper, part, (part.place - sign * slot, part.place), LEFT, 0, f"slot {_say(paper, slot)}")


def _cap(pad: Pad, paper: OnPaper, part: Part, width: Length) -> None:
    outside = part.place - part.inward * (part.wall.depth("left")[1] + INCH)
    right = -(part.wall.half + part.wall.depth("right")[1])
    one, two = (paper.spot(part.wall.point(outside, right + beside)) for beside in (0, width))
    _between(pad, one, two, _say(paper, width))


def _bead(pad: Pad, paper: OnPaper, level: DrawnLevel) -> None:
    """A note at the outer corner, where both outermost layers stop short for the bead."""
    gap = level.fastening.get("bead_gap", 0)
    lap = next((part for part in paper.met.parts if part.role == LAP), None)
    through = next((part for part in paper.met.parts if part.role == THROUGH), None)
    if lap is None or through is None or lap.end is None or through.end is None or not gap:
        return
    sides = (opposite(lap.end.inside), opposite(through.end.inside))
    if not (lap.wall.layers(sides[0]) and through.wall.layers(sides[1])):
        return
    ends = [
        (low if through.inward > 0 else high)
        for face, layer, (low, high), _ in through.boards()
        if face == sides[1] and layer == len(through.wall.layers(face))
    ]
    if not ends:
        return
    at = min(ends) if through.inward > 0 else max(ends)
    edge = through.wall.beside(sides[1])[1]
    out = edge + (INCH if edge > 0 else -INCH)
    corner, below = paper.spot(through.wall.point(at, edge)), paper.spot(through.wall.point(at, out))
    on = paper.spot(through.wall.point(at + through.inward * INCH, edge))
    size = math.hypot(below.x - corner.x, below.y - corner.y)
    x, y = corner.x + (below.x - corner.x) / size * 6, corner.y + (below.y - corner.y) / size * 6
    pad.line(corner, (x, y), pen=FINE_LINE)
    pad.circle(corner.x, corner.y, 0.5, None, "black")
    sign, base = (1, "start") if on.x >= corner.x else (-1, "end")
    pad.text(x + sign * 0.8, y + (2.0 if below.y > corner.y else -0.2), f"{_say(paper, gap)} for the bead", 7, base)


def _say(paper: OnPaper, length: Length) -> str:
    return say(length, is_metric=paper.is_metric)
