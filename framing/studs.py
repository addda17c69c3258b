"""Studs: on layout from one origin, and those that ends, corners and openings ask for.

Common practice, no source: a corner stud at the end of the through wall, a loose stud beyond the slot of a lapping
wall or at the end of a stem, one stud at each jamb, cripples on layout over heads and under sills. A stud is cut
shorter than the clear height by `practice.stud_short` (Ontario Building Code 9.24.3.2(1)).
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Iterable

from framing.joints import LAP, STEM, THROUGH, RunIn
from framing.length import Length
from framing.pieces import Stud
from framing.plan import DOOR, Opening
from framing.practice import FramingPractice
from framing.runs import Frame, Run

_END_ROLES = {THROUGH: "corner", LAP: "loose", STEM: "loose"}


def end_stud_at(frame: Frame, run: Run, first: bool) -> Length:
    """Middle of the stud that stands at a run's end: one half flange in, beyond tab and slot where the wall laps.

    At a sharp corner the corner stud stands back until both its edges are inside the other wall's outer face.
    """
    place, inward, end = run.ends()[0 if first else 1]
    back = 0
    if end.role == LAP:
        back = max(end.flanges_back(frame.half))
    elif end.role == THROUGH:
        back = end.beyond_square(2 * frame.half)
    return place + inward * (back + frame.wall.type.stud.flange // 2)


def studs(frame: Frame, practice: FramingPractice, run_ins: list[RunIn]) -> list[Stud]:
    """Every stud of one wall, by position. `run_ins`: where other walls end on this one (for backing)."""
    found: list[Stud] = []
    flange = frame.wall.type.stud.flange
    for run in frame.runs:
        fixed = _fixed(frame, run, practice, run_ins)
        found += [_full(frame, at, role, practice, opens) for at, role, opens in fixed]
        taken = sorted(at for at, _, _ in fixed)
        low, high = end_stud_at(frame, run, True), end_stud_at(frame, run, False)
        for at in _marks(frame, run):
            if not low < at < high or _is_near(at, taken, flange):
                continue
            over = _opening_at(frame, at)
            if over is None:
                found.append(_full(frame, at, "layout", practice, _layout_opens(frame)))
            else:
                found += _cripples(frame, at, over, practice)
    found.sort(key=lambda stud: (stud.at, stud.bottom, stud.role))
    return found


def _fixed(frame: Frame, run: Run, practice: FramingPractice, run_ins: list[RunIn]) -> list[tuple[Length, str, str]]:
    """(place, role, open side) of the studs that ends, openings and tees ask for.

    Webs stand flat to a run's end (a corner's flat side, a loose stud's side to the board in the slot, a cap) and to an
    opening. A jamb without room for a stud on its track gets none, and one that would stand in a stem's loose stud is
    served by it: `framing.doors` cautions of both.
    """
    flange = frame.wall.type.stud.flange
    fixed = [
        (end_stud_at(frame, run, True), _END_ROLES.get(run.start_end.role, "end"), "to"),
        (end_stud_at(frame, run, False), _END_ROLES.get(run.end_end.role, "end"), "from"),
    ]
    stems = [at for (at, _, _), (_, _, end) in zip(fixed, run.ends(), strict=True) if end.role == STEM]
    for opening in frame.openings:
        role = "door" if opening.kind == DOOR else "jamb"
        if run.start + flange <= frame.at(opening) <= run.end:
            fixed.append((frame.at(opening) - flange // 2, role, "from"))
        if run.start <= frame.far(opening) <= run.end - flange:
            fixed.append((frame.far(opening) + flange // 2, role, "to"))
    fixed = fixed[:2] + [jamb for jamb in fixed[2:] if not any(abs(jamb[0] - at) < flange for at in stems)]
    if practice.tee_backing:
        taken = sorted(at for at, _, _ in fixed)
        for run_in in run_ins:
            at = run_in.at - frame.origin
            if run.start < at < run.end and not _is_near(at, taken, flange):
                fixed.append((at, "backing", _layout_opens(frame)))
                insort(taken, at)
    return fixed


def _marks(frame: Frame, run: Run) -> list[Length]:
    """Layout marks inside a run: multiples of the spacing from the track's start at the wall's layout end."""
    spacing = frame.wall.type.spacing
    if frame.wall.layout_from == "from":
        first = -(-run.start // spacing) * spacing
        return list(range(first, run.end + 1, spacing))
    end = frame.end
    last = end - -(-(end - run.end) // spacing) * spacing
    return list(range(last, run.start - 1, -spacing))[::-1]


def _is_near(at: Length, taken: list[Length], flange: Length) -> bool:
    """A layout stud that would stand in another stud is not set: two flanges cannot share the place."""
    place = bisect_left(taken, at)
    return any(abs(at - taken[near]) < flange for near in (place - 1, place) if 0 <= near < len(taken))


def _opening_at(frame: Frame, at: Length) -> Opening | None:
    for opening in frame.openings:
        if frame.at(opening) < at < frame.far(opening):
            return opening
    return None


def stud_top(frame: Frame, at: Length, practice: FramingPractice) -> Length:
    """Top of a stud at a place: the wall's height there less head gap and `stud_short`, whole ticks, never over."""
    return int(frame.wall.height_at(at + frame.origin) // 1) - frame.wall.type.head_gap - practice.stud_short


def _layout_opens(frame: Frame) -> str:
    """Layout studs' open sides face one way, to the end from which the layout is measured.

    Hung from that end on, each board's leading edge then lands on the open edge first (GA-216, ASTM C840; from memory).
    """
    return frame.wall.layout_from


def _full(frame: Frame, at: Length, role: str, practice: FramingPractice, opens: str) -> Stud:
    return Stud(at, role, stud_top(frame, at, practice), 0, opens)


def _cripples(frame: Frame, at: Length, opening: Opening, practice: FramingPractice) -> list[Stud]:
    found = []
    over = stud_top(frame, at, practice) - opening.top
    if over > 0:
        found.append(Stud(at, "cripple", over, opening.top, _layout_opens(frame)))
    under = opening.sill - practice.stud_short
    if under > 0:
        found.append(Stud(at, "cripple", under, 0, _layout_opens(frame)))
    return found


def stock_for(studs: Iterable[Stud], practice: FramingPractice) -> Length:
    """The stock length that a wall's studs are cut from: the shortest that reaches its tallest stud."""
    tallest = max(stud.length for stud in studs)
    return min(length for length in practice.stud_stock if length >= tallest)
