"""The order in which board is hung: what must be up before what, and why, for a whole level.

Common practice, no source. At a corner the board in the slot goes first, for it ties the loose stud; then the other
inside face; then, outside, the face over the flat (web) side of the corner stud, and the face over its flange last. At
a door corner the piece over the door goes before the leg. At a tee the through wall's board goes before the stem's. A
base layer goes before the layer on it. Where these run in a ring, one loose stud is left until later and fastened by
angled screws.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from heapq import heapify, heappop, heappush

from framing.board import FACES
from framing.finish import corner_end, opposite
from framing.joints import LAP, STEM, Junctions, WallEnd
from framing.length import Length
from framing.pieces import Caution, Sheet
from framing.runs import Frame

TIE = "it ties the loose stud of wall {0}: the board in the slot goes first"
INSIDE = "the inside of the corner is closed before its outside"
FLAT = "outside, the flat side of the corner stud goes before its flange side"
OVER = "the piece over the door goes before the leg"
BASE = "a base layer goes before the layer on it"


@dataclass(frozen=True, slots=True)
class Before:
    """`first` is hung before `then`, by number of the sheet in the level's list."""

    first: int
    then: int
    because: str
    is_tie: bool = False


@dataclass(slots=True)
class Hanging:
    """Steps of all sheets of a level, in the order of its list, and the rules they keep."""

    steps: list[int] = field(default_factory=list)
    kept: list[Before] = field(default_factory=list)
    cautions: list[Caution] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Hung:
    """One wall's sheets with their numbers in the level's list."""

    frame: Frame
    sheets: Sequence[tuple[int, Sheet]]

    def at_end(self, which: int, face: str) -> list[int]:
        """Sheets of one face, all layers and courses, that reach the wall's start (0) or end (1)."""
        own = [(number, sheet) for number, sheet in self.sheets if sheet.face == face]
        if not own:
            return []
        if which == 0:
            edge = min(sheet.at for _, sheet in own)
            return [number for number, sheet in own if _is_near(sheet.at, edge)]
        edge = max(sheet.at + sheet.width for _, sheet in own)
        return [number for number, sheet in own if _is_near(sheet.at + sheet.width, edge)]

    def at_place(self, face: str, low: Length, high: Length) -> list[int]:
        """Sheets of one face that lie behind a stretch of it."""
        return [
            number
            for number, sheet in self.sheets
            if sheet.face == face and sheet.at < high and sheet.at + sheet.width > low
        ]


def _is_near(place: Length, edge: Length) -> bool:
    """Layers of one face end a board's thickness apart at a corner."""
    return abs(place - edge) <= 2 * _LAYER


_LAYER = 81_280_000  # one inch of ticks


def hanging_order(level: str, frames: Sequence[Frame], walls: Sequence[Sequence[Sheet]], joined: Junctions) -> Hanging:
    """A topological order of all sheets of a level, wall by wall where nothing else is asked.

    `walls[i]` are wall i's sheets; the level's list is their concatenation.
    """
    hung: list[Hung] = []
    number = 0
    for frame, sheets in zip(frames, walls, strict=True):
        hung.append(Hung(frame, [(number + place, sheet) for place, sheet in enumerate(sheets)]))
        number += len(sheets)
    rules = list(dict.fromkeys(_rules(hung, joined)))
    return _sorted(level, hung, rules, number)


def _rules(hung: Sequence[Hung], joined: Junctions) -> Iterator[Before]:
    for wall in hung:
        for run in wall.frame.runs:
            for which, (_, _, end) in enumerate(run.ends()):
                if end.role == LAP:
                    yield from _corner(hung, wall, which, end)
                elif end.role == STEM:
                    yield from _stem(hung, wall, which, end)
        yield from _layers(wall)


def _corner(hung: Sequence[Hung], lap: Hung, which: int, end: WallEnd) -> Iterator[Before]:
    through = hung[end.other]
    met = corner_end(through.frame, lap.frame.index)
    through_end = next(place for place, (_, _, other) in enumerate(_outer(through.frame)) if other == met)
    tie = through.at_end(through_end, met.inside)
    inside = lap.at_end(which, end.inside)
    flat = lap.at_end(which, opposite(end.inside))
    flange = through.at_end(through_end, opposite(met.inside))
    yield from _all(tie, inside, TIE.format(lap.frame.wall.mark), is_tie=True)
    yield from _all(inside, flat, INSIDE)
    yield from _all(tie, flange, INSIDE)
    yield from _all(flat, flange, FLAT)
    if end.is_door_corner:
        for group in (inside, flat):
            yield from _over_before_leg(lap, group)


def _outer(frame: Frame) -> tuple[tuple[Length, int, WallEnd], tuple[Length, int, WallEnd]]:
    return frame.runs[0].ends()[0], frame.runs[-1].ends()[1]


def _over_before_leg(lap: Hung, group: Sequence[int]) -> Iterator[Before]:
    sheets = dict(lap.sheets)
    for number in group:
        for other in group:
            one, two = sheets[number], sheets[other]
            if one.layer == two.layer and one.bottom >= two.bottom + two.height and _is_leg(lap.frame, two):
                yield Before(number, other, OVER)


def _is_leg(frame: Frame, sheet: Sheet) -> bool:
    """A piece beside a door, no higher than its head."""
    top = sheet.bottom + sheet.height
    return any(
        top == opening.top and (sheet.at + sheet.width == frame.at(opening) or sheet.at == frame.far(opening))
        for opening in frame.openings
    )


def _stem(hung: Sequence[Hung], stem: Hung, which: int, end: WallEnd) -> Iterator[Before]:
    through = hung[end.other]
    middle = end.other_at - through.frame.origin
    reach = end.turn.over_sin(stem.frame.half)
    tie = through.at_place(end.inside, middle - reach, middle + reach)
    for face in FACES:
        yield from _all(tie, stem.at_end(which, face), TIE.format(stem.frame.wall.mark), is_tie=True)


def _layers(wall: Hung) -> Iterator[Before]:
    by_layer: dict[tuple[str, int], list[tuple[int, Sheet]]] = defaultdict(list)
    for number, sheet in wall.sheets:
        by_layer[sheet.face, sheet.layer].append((number, sheet))
    for (face, layer), own in by_layer.items():
        for number, sheet in by_layer.get((face, layer - 1), ()):
            for other, over in own:
                if (
                    sheet.at < over.at + over.width
                    and over.at < sheet.at + sheet.width
                    and sheet.bottom < over.bottom + over.height
                    and over.bottom < sheet.bottom + sheet.height
                ):
                    yield Before(number, other, BASE)


def _all(first: Iterable[int], then: Sequence[int], because: str, *, is_tie: bool = False) -> Iterator[Before]:
    for one in first:
        for two in then:
            if one != two:
                yield Before(one, two, because, is_tie)


def _sorted(level: str, hung: Sequence[Hung], rules: Sequence[Before], size: int) -> Hanging:
    result = Hanging(steps=[0] * size)
    wishes = {number: wish for wall in hung for number, wish in _wishes(wall)}
    after: dict[int, list[Before]] = defaultdict(list)
    waiting = [0] * size
    for rule in rules:
        after[rule.first].append(rule)
        waiting[rule.then] += 1
    ready = [(wishes[number], number) for number in range(size) if not waiting[number]]
    heapify(ready)
    broken: set[Before] = set()
    step = 0
    while step < size:
        if not ready:
            heappush(ready, _break_ring(rules, result.steps, wishes, waiting, broken))
        _, number = heappop(ready)
        step += 1
        result.steps[number] = step
        for rule in after[number]:
            if rule not in broken:
                waiting[rule.then] -= 1
                if not waiting[rule.then] and not result.steps[rule.then]:
                    heappush(ready, (wishes[rule.then], rule.then))
    result.kept = [rule for rule in rules if rule not in broken]
    result.cautions += _ring_cautions(level, hung, broken)
    return result


_LEFT_LOOSE = (
    "left loose",
    "the inside of this corner is closed before its loose stud can be tied. Leave the stud loose and fasten it later "
    "by angled screws every 24 in.",
)
_OUT_OF_ORDER = (
    "the rules of these corners run in a ring, so the board of {then} goes up before that of {first}. Leave its edge "
    "at the corner unfastened until the other is up."
)
_BOTH_FACES = (
    "the rules of its corners run in a ring, so the board of one of its faces goes up before that of the other. Leave "
    "its edge at the corner unfastened until the other is up."
)

Wish = tuple[int, int, int, Length, Length]


def _break_ring(
    rules: Sequence[Before], steps: Sequence[int], wishes: dict[int, Wish], waiting: list[int], broken: set[Before]
) -> tuple[Wish, int]:
    """Let the sheet go that only waits to be tied (else any), the most wished for first; its open rules are broken."""
    held: dict[int, list[Before]] = defaultdict(list)
    for rule in rules:
        if rule not in broken and not steps[rule.first] and not steps[rule.then]:
            held[rule.then].append(rule)
    number = min(held, key=lambda one: (not all(rule.is_tie for rule in held[one]), wishes[one]))
    broken.update(held[number])
    waiting[number] = 0
    return wishes[number], number


def _ring_cautions(level: str, hung: Sequence[Hung], broken: set[Before]) -> Iterator[Caution]:
    wall_of = {number: wall for wall in hung for number, _ in wall.sheets}
    pairs = {(wall_of[rule.first].frame.index, wall_of[rule.then].frame.index, rule.is_tie) for rule in broken}
    for first, then, is_tie in sorted(pairs):
        one, two = hung[first].frame.wall.mark, hung[then].frame.wall.mark
        if first == then:
            yield Caution("out of order", f"{level}, wall {one}: {_BOTH_FACES}", (one,))
            continue
        kind, told = _LEFT_LOOSE if is_tie else ("out of order", _OUT_OF_ORDER.format(then=two, first=one))
        yield Caution(kind, f"{level}, walls {one} and {two}: {told}", (one, two))


def _wishes(wall: Hung) -> Iterator[tuple[int, Wish]]:
    """Where nothing is asked: wall by wall, face by face, from a full sheet in the middle outwards, upper ones last."""
    by_face: dict[tuple[str, int], list[tuple[int, Sheet]]] = defaultdict(list)
    for number, sheet in wall.sheets:
        by_face[sheet.face, sheet.layer].append((number, sheet))
    for place, ((_, layer), own) in enumerate(sorted(by_face.items(), key=lambda item: (item[0][1], item[0][0]))):
        widest = max(sheet.width for _, sheet in own)
        middle = wall.frame.end // 2
        start = min((abs(sheet.at + sheet.width // 2 - middle), sheet.at) for _, sheet in own if sheet.width == widest)[
            1
        ]
        for number, sheet in own:
            yield number, (wall.frame.index, layer, place, abs(sheet.at - start), sheet.bottom)
