"""The order in which board is hung: what must be up before what, and why, for a whole level.

Common practice, no source. At a corner the board in the slot goes first, for it ties the loose stud; then the other
inside face; then, outside, the face over the flat (web) side of the corner stud, and the face over its flange last. At
a door corner the piece over the door goes before the leg. At a tee the through wall's board goes before the stem's. A
base layer goes before the layer on it. Where these run in a ring, one loose stud is left until later and fastened by
angled screws.

Beyond corners the level is hung room by room (`framing.rooms`): a room after those beside it of less than half its
size, and the board inside of a room before the board on the back of its walls; along a face so that edges land on the
open half of a stud first (`framing.open_edges`). Where a corner asks otherwise, the corner's word stands and the other
is not listed.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from framing.board import FACES
from framing.finish import corner_end, opposite
from framing.joints import LAP, STEM, WallEnd
from framing.length import Length
from framing.open_edges import open_edges
from framing.pieces import Caution, Sheet, Stud
from framing.practice import FramingPractice
from framing.precedence import Before, Wish, in_order
from framing.rooms import Rooms, turns
from framing.runs import Frame

TIE = "it ties the loose stud of wall {0}: the board in the slot goes first"
INSIDE = "the inside of the corner is closed before its outside"
FLAT = "outside, the flat side of the corner stud goes before its flange side"
OVER = "the piece over the door goes before the leg"
ROOM = "the inside of room {0} is closed before the back of its walls"
BASE = "a base layer goes before the layer on it"


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


def hanging_order(
    level: str,
    frames: Sequence[Frame],
    walls: Sequence[Sequence[Sheet]],
    rooms: Rooms,
    studs: Sequence[Sequence[Stud]],
    practice: FramingPractice,
) -> Hanging:
    """A topological order of all sheets of a level, room by room where nothing else is asked.

    `walls[i]` are wall i's sheets, `studs[i]` what stands behind them; the level's list is all sheets, wall after wall.
    """
    hung: list[Hung] = []
    number = 0
    for frame, sheets in zip(frames, walls, strict=True):
        hung.append(Hung(frame, [(number + place, sheet) for place, sheet in enumerate(sheets)]))
        number += len(sheets)
    turn = turns(rooms, len(frames))
    turn_of = [one for wall in hung for one in _turns_of(wall, rooms, turn)]
    wishes = dict(wish for wall in hung for wish in _wishes(wall, turn_of, practice))
    rules = list(dict.fromkeys(_rules(hung)))
    order = in_order([wishes[place] for place in range(number)], rules)
    steps = order.steps
    kept = [rule for rule in rules if rule not in order.broken]
    whose = sorted(range(1, len(turn)), key=lambda room: turn[room])
    softer = [rule for wall in hung for rule in _by_rooms(wall, turn_of, whose)]
    if practice.open_edge_first:
        softer += [rule for wall in hung for rule in open_edges(wall.sheets, studs[wall.frame.index])]
    kept += [rule for rule in softer if steps[rule.first] < steps[rule.then]]
    return Hanging(steps, kept, list(_ring_cautions(level, hung, order.broken)))


def _rules(hung: Sequence[Hung]) -> Iterator[Before]:
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
        for number, other in _behind(by_layer.get((face, layer - 1), ()), own):
            yield Before(number, other, BASE)


def _all(first: Iterable[int], then: Sequence[int], because: str, *, is_tie: bool = False) -> Iterator[Before]:
    for one in first:
        for two in then:
            if one != two:
                yield Before(one, two, because, is_tie)


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


def _wishes(wall: Hung, turn_of: Sequence[int], practice: FramingPractice) -> Iterator[tuple[int, Wish]]:
    """Where nothing is asked: room by room, wall by wall, face by face, upper courses last.

    Along a face from the end to which the studs open; where that is not the firm's rule, from a full sheet in the
    middle outwards.
    """
    index = wall.frame.index
    groups: dict[tuple[int, int, str], list[tuple[int, Sheet]]] = defaultdict(list)
    for number, sheet in wall.sheets:
        groups[turn_of[number], sheet.layer, sheet.face].append((number, sheet))
    for place, ((own_turn, layer, _), own) in enumerate(sorted(groups.items())):
        start = _start(wall.frame, own, practice)
        for number, sheet in own:
            yield number, (own_turn, index, layer, place, abs(sheet.at - start), sheet.bottom)


def _start(frame: Frame, own: Sequence[tuple[int, Sheet]], practice: FramingPractice) -> Length:
    """Where the board of one face begins in a room: at the sheet that starts here."""
    places = [sheet.at for _, sheet in own]
    if practice.open_edge_first:
        return min(places) if frame.wall.layout_from == "from" else max(places)
    widest = max(sheet.width for _, sheet in own)
    middle = (min(places) + max(sheet.at + sheet.width for _, sheet in own)) // 2
    full = (sheet for _, sheet in own if sheet.width == widest)
    return min((abs(sheet.at + sheet.width // 2 - middle), sheet.at) for sheet in full)[1]


def _turns_of(wall: Hung, rooms: Rooms, turn: Sequence[int]) -> Iterator[int]:
    """The turn of the room that each piece looks into: of several the first; of a free end's cap the last beside it."""
    origin, index = wall.frame.origin, wall.frame.index
    for _, sheet in wall.sheets:
        low = sheet.at + origin
        if sheet.face not in FACES:
            yield max(turn[rooms.at(index, face, low)] for face in FACES)
            continue
        one, two = rooms.at(index, sheet.face, low), rooms.at(index, sheet.face, low + sheet.width - 1)
        yield turn[one] if one == two else min(turn[one], turn[two])


def _by_rooms(wall: Hung, turn_of: Sequence[int], whose: Sequence[int]) -> Iterator[Before]:
    """The board inside of a room before the board on the back of the same wall, where that looks elsewhere.

    `turn_of`: of every piece of the level; `whose[t]`: the room whose turn is t.
    """
    sides: dict[tuple[str, int], list[tuple[int, Sheet]]] = defaultdict(list)
    for number, sheet in wall.sheets:
        sides[sheet.face, sheet.layer].append((number, sheet))
    for face in FACES:
        outermost = len(wall.frame.wall.type.layers(face))
        for number, other in _behind(sides[face, outermost], sides[opposite(face), 1]):
            own = turn_of[number]
            if own < turn_of[other] and own < len(whose):
                yield Before(number, other, ROOM.format(whose[own]))


def _behind(sheets: Sequence[tuple[int, Sheet]], others: Sequence[tuple[int, Sheet]]) -> Iterator[tuple[int, int]]:
    """Pairs of numbers, one of each list, whose rectangles overlap as seen through the wall."""
    if not sheets or not others:
        return
    along = sorted(others, key=lambda item: item[1].at)
    starts = [sheet.at for _, sheet in along]
    widest = max([sheet.width for _, sheet in along])
    for number, sheet in sheets:
        for place in range(bisect_right(starts, sheet.at - widest), bisect_left(starts, sheet.at + sheet.width)):
            other, over = along[place]
            if sheet.at < over.at + over.width and _share_height(sheet, over):
                yield number, other


def _share_height(one: Sheet, two: Sheet) -> bool:
    return one.bottom < two.bottom + two.height and two.bottom < one.bottom + one.height
