"""Where walls meet, and which wall's track runs through.

Found from the plan alone, at any angle from 30 to 150 degrees: corners, door corners, tees, crosses, walls in line,
free ends, ends at existing structure. Positions `at` along a wall are ticks from the start of its drawn line. All of it
is common practice, no source: a through track reaches the outer corner, the other laps it; a tee's stem stops one slot
short.
"""

from __future__ import annotations

from bisect import bisect_left
from weakref import ref

from framing.at_rest import collector_at_rest
from framing.crosses import Side, contradicted, longer_because, rules_of_cross, through_of_cross
from framing.joints import (
    AT_STRUCTURE,
    CORNER,
    CROSS,
    DOOR_CORNER,
    FREE_END,
    IN_LINE,
    LAP,
    STEM,
    TEE,
    THROUGH,
    Gap,
    Junction,
    Junctions,
    RunIn,
    Slot,
    WallEnd,
)
from framing.junction_words import meets_two, near_miss, snapped, through_at_door, too_sharp, unused_rule
from framing.length import Length, in_words
from framing.lines import SQUARE, Point, Turn
from framing.meetings import InLine, Meeting, axes_of, meetings, near_misses
from framing.nearby import Nearby
from framing.plan import DOOR, FREE, LEFT, RIGHT, STRUCTURE, Level, Wall
from framing.practice import FramingPractice

_KNOWN: dict[int, tuple[ref[Level], FramingPractice, Junctions]] = {}


def find_junctions(level: Level, practice: FramingPractice, near: Nearby | None = None) -> Junctions:
    """Every junction of a level. Mistakes found on the way (an angle out of reach, say) are kept, not raised.

    `near`: the level's walls by place, where the caller has them. What is found is kept as long as the level itself
    lives: a plan is checked when it is read, and counted after. Do not change it.
    """
    known = _KNOWN.get(id(level))
    if known is not None and known[0]() is level and known[1] == practice:
        return known[2]
    with collector_at_rest():
        found = _Finder(level, practice, near).run()
    number = id(level)
    _KNOWN[number] = (ref(level, lambda _: _KNOWN.pop(number, None)), practice, found)
    return found


def door_clearance(wall: Wall, end: int, at: Length, reach: Length) -> Length | None:
    """Clear length between the crossing wall's nearer steel face and the nearest door's jamb, at one end.

    `reach`: how far that face lies from the crossing at `at`. None where the wall has no door; negative where the door
    lies in the crossing steel.
    """
    doors = [opening for opening in wall.openings if opening.kind == DOOR]
    if not doors:
        return None
    if end == 0:
        return min(door.at for door in doors) - (at + reach)
    return (at - reach) - max(door.far for door in doors)


class _Finder:
    """The work in progress: one level, read once, end by end."""

    def __init__(self, level: Level, practice: FramingPractice, near: Nearby | None) -> None:
        self.level = level
        self.practice = practice
        self.walls = level.walls
        self.near = near or Nearby(axes_of(level.walls), practice.snap)
        self.axes = self.near.axes
        self.result = Junctions()
        self.ends: list[list[WallEnd | None]] = [[None, None] for _ in level.walls]
        self.layers: dict[tuple[str, str], Length] = {}  # thickness of the board on a face of a wall type
        self.overrides = {frozenset(rule.walls): rule.through for rule in level.junctions}
        self.used_overrides: set[frozenset[str]] = set()
        self.partners: dict[tuple[int, int], tuple[int, int]] = {}
        self.alone: list[tuple[int, int]] = []  # ends that no wall meets, though the plan does not set them free
        self.stems: dict[tuple[int, int], int] = {}  # where a stem's tee stands in what was found
        self.crosses: dict[frozenset[Side], Side] = {}

    def run(self) -> Junctions:
        """All that was found, meeting by meeting, then the ends that none takes."""
        crossings, in_line = meetings(self.walls, self.near, self.practice.snap)
        self._pair(in_line)
        for meeting in crossings:
            if meeting.turn.is_within_reach:
                self._meet(meeting)
            else:
                self._too_sharp(meeting)
        self._in_line_ends()
        self.result.ends = [
            (first or self._unmet(index, 0), last or self._unmet(index, 1))
            for index, (first, last) in enumerate(self.ends)
        ]
        self._near_misses()
        for rule in self.level.junctions:
            if frozenset(rule.walls) not in self.used_overrides:
                self.result.mistakes.append(unused_rule(self.level.name, rule.walls))
        return self.result

    def _pair(self, in_line: list[InLine]) -> None:
        for pair in in_line:
            if pair.one not in self.partners and pair.two not in self.partners:
                self.partners[pair.one] = pair.two
                self.partners[pair.two] = pair.one

    def _too_sharp(self, m: Meeting) -> None:
        one, two = self.walls[m.first], self.walls[m.second]
        self.used_overrides.add(frozenset((one.mark, two.mark)))
        self.result.mistakes.append(too_sharp(self.level.name, one, two))

    # one meeting of two walls

    def _meet(self, m: Meeting) -> None:
        first_end = self._stopping(m.first, m.first_end)
        second_end = self._stopping(m.second, m.second_end)
        if first_end is not None and second_end is not None:
            self._corner(m, (m.first, first_end, m.first_at), (m.second, second_end, m.second_at))
        elif second_end is not None:
            self._tee(m, m.second, second_end, m.second_at, m.first, m.first_at)
        elif first_end is not None:
            self._tee(m, m.first, first_end, m.first_at, m.second, m.second_at)
        else:
            self._cross(m)

    def _stopping(self, wall: int, end: int | None) -> int | None:
        """The end that stops here; None where the wall, or the one in line with it, runs on."""
        return None if end is None or (wall, end) in self.partners else end

    def _corner(self, m: Meeting, one: tuple[int, int, Length], two: tuple[int, int, Length]) -> None:
        if self._taken(*one[:2], m.second) or self._taken(*two[:2], m.first):
            return
        legs = (self._is_leg(one, m.second, m.turn), self._is_leg(two, m.first, m.turn))
        through, because = self._through_of_corner(m.first, m.second, legs)
        (run, run_end, run_at), (lap, lap_end, lap_at) = (one, two) if through == m.first else (two, one)
        turn = m.turn if run_end == lap_end else m.turn.turned()
        is_door = any(legs)
        inside, lap_inside = self._side_of(run, lap, lap_end), self._side_of(lap, run, run_end)
        slot = self._slot(run, inside, lap)
        run_half, lap_half = self.axes[run].half, self.axes[lap].half
        self.ends[run][run_end] = WallEnd(THROUGH, run_at, lap, lap_half, slot, inside, lap_at, turn, is_door)
        self.ends[lap][lap_end] = WallEnd(LAP, lap_at, run, run_half, slot, lap_inside, run_at, turn, is_door)
        if m.gap:
            self._caution_snapped(m.first, m.second, m.gap)
        self._add(DOOR_CORNER if is_door else CORNER, (run, lap), self._point(run, run_at), because, through)

    def _is_leg(self, wall_end: tuple[int, int, Length], other: int, turn: Turn) -> bool:
        wall, end, at = wall_end
        if not self.walls[wall].openings:
            return False
        axis = self.axes[wall]
        reach = turn.over_sin(self.axes[other].half) + abs(turn.cot(axis.half))
        clear = door_clearance(self.walls[wall], end, at, reach)
        return clear is not None and clear < self.practice.door_corner_within

    def _through_of_corner(self, first: int, second: int, legs: tuple[bool, bool]) -> tuple[int, str]:
        chosen = self._override(first, second)
        longer = first if self.walls[first].length >= self.walls[second].length else second
        if chosen is not None:
            if (chosen == first and legs[0] and not legs[1]) or (chosen == second and legs[1] and not legs[0]):
                other = second if chosen == first else first
                self.result.cautions.append(through_at_door(self.level.name, self.walls[chosen], self.walls[other]))
            return chosen, f"the plan says that wall {self.walls[chosen].mark} runs through"
        if legs[0] != legs[1]:
            through = second if legs[0] else first
            leg = first if legs[0] else second
            return through, (
                f"a door stands beside the corner in wall {self.walls[leg].mark}: the leg beside it laps, "
                f"so wall {self.walls[through].mark} runs through"
            )
        return longer, longer_because(self.walls[first], self.walls[second])

    def _tee(self, m: Meeting, stem: int, end: int, stem_at: Length, through: int, through_at: Length) -> None:
        self._run_in(through, through_at, stem, m.turn)
        found = self._stem(stem, end, stem_at, through, through_at, m.turn)
        before = self.ends[stem][end]
        if before is not None and before.role == STEM and self._same_line(before.other, through):
            if found.stop(self.axes[stem].half) > before.stop(self.axes[stem].half):
                self.ends[stem][end] = found
                self.result.found[self.stems[stem, end]] = self._tee_found(stem, found)
            return
        if self._taken(stem, end, through):
            return
        self.ends[stem][end] = found
        if m.gap:
            self._caution_snapped(stem, through, m.gap)
        self.stems[stem, end] = len(self.result.found)
        self.result.found.append(self._tee_found(stem, found))

    def _tee_found(self, stem: int, end: WallEnd) -> Junction:
        one, other = self.walls[stem].mark, self.walls[end.other].mark
        behind = f"the board of {other} runs on behind it"
        if not self.walls[end.other].type.layers(end.inside):
            behind = f"no board of {other} stands in the slot, for that face is open"
        because = (
            f"wall {one} ends at wall {other}: its track stops one slot short ({in_words(end.slot)}) of the steel "
            f"and {behind}"
        )
        return Junction(TEE, (other, one), self._point(stem, end.at), because, other)

    def _stem(self, stem: int, end: int, stem_at: Length, through: int, through_at: Length, turn: Turn) -> WallEnd:
        side = self._side_of(through, stem, end)
        slot = self._slot(through, side, stem)
        return WallEnd(STEM, stem_at, through, self.axes[through].half, slot, side, through_at, turn)

    def _cross(self, m: Meeting) -> None:
        through = self._through_of_cross(m)
        if m.first in through:
            run, stop, stop_end, stop_at, run_at = m.first, m.second, m.second_end, m.second_at, m.first_at
        else:
            run, stop, stop_end, stop_at, run_at = m.second, m.first, m.first_end, m.first_at, m.second_at
        self._run_in(run, run_at, stop, m.turn)
        if stop_end is not None:
            found, before = self._stem(stop, stop_end, stop_at, run, run_at, m.turn), self.ends[stop][stop_end]
            if before is not None and before.role == STEM and before.other in through:
                if found.stop(self.axes[stop].half) > before.stop(self.axes[stop].half):
                    self.ends[stop][stop_end] = found
            elif not self._taken(stop, stop_end, run):
                self.ends[stop][stop_end] = found
            return
        gap = self._gap(run, run_at, stop, stop_at, m.turn)
        gaps = self.result.gaps.setdefault(stop, [])
        place = bisect_left(gaps, gap.at, key=lambda known: known.at)
        near = [
            known for known in gaps[max(0, place - 1) : place + 1] if abs(known.at - gap.at) < known.reach + gap.reach
        ]
        if not near:
            gaps.insert(place, gap)
            self._run_in(stop, stop_at, run, m.turn)
        elif near[0].before.other not in through:
            self._meets_two(stop, "from, to", stop_at, near[0].before.other, run)

    def _through_of_cross(self, m: Meeting) -> Side:
        """The side that runs through where two lines of walls cross: told once, whichever of their walls is looked at.

        The first of its walls that is looked at tells of the crossing.
        """
        one, two = self._at_crossing(m.first, m.first_end), self._at_crossing(m.second, m.second_end)
        known = self.crosses.get(frozenset((one, two)))
        if known is not None:
            return known
        rules = rules_of_cross(self.walls, one, two, self.overrides)
        self.used_overrides.update(key for key, _ in rules)
        mistake = contradicted(self.level.name, self.walls, one, two, (wall for _, wall in rules))
        if mistake is not None:
            self.result.mistakes.append(mistake)
        through, because = through_of_cross(self.walls, one, two, rules[0][1] if rules else None)
        self.crosses[frozenset((one, two))] = through
        stop = two if through == one else one
        self._add(CROSS, (through[0], *stop), self._point(m.first, m.first_at), because, through[0])
        return through

    def _at_crossing(self, wall: int, end: int | None) -> Side:
        return (wall,) if end is None else tuple(sorted((wall, self.partners[wall, end][0])))

    def _gap(self, run: int, run_at: Length, stop: int, stop_at: Length, turn: Turn) -> Gap:
        """The two stems of an interrupted wall, before and after the through wall as one walks along it."""
        left_ahead = self.axes[run].cross(self.axes[stop]) > 0  # the interrupted wall walks on to the run's left
        half = self.axes[run].half
        before, after = (
            WallEnd(STEM, stop_at, run, half, self._slot(run, face, stop), face, run_at, turn)
            for face in ((RIGHT, LEFT) if left_ahead else (LEFT, RIGHT))
        )
        return Gap(stop_at, before.face_of_steel(self.axes[stop].half), before, after)

    # ends that no crossing wall takes

    def _in_line_ends(self) -> None:
        for (wall, end), (other, other_end) in self.partners.items():
            if self.ends[wall][end] is not None:
                continue
            meet_at = self._own_end(wall, end)
            if wall > other:
                meet_at = self.axes[wall].along(self._point(other, self._own_end(other, other_end)))
            self.ends[wall][end] = WallEnd(IN_LINE, meet_at, other)
            if wall < other and self.ends[other][other_end] is None:
                gap = abs(self.axes[other].along(self._point(wall, meet_at)) - self._own_end(other, other_end))
                if gap:
                    self._caution_snapped(wall, other, gap)
                one, two = self.walls[wall], self.walls[other]
                change = (
                    ""
                    if one.type.name == two.type.name
                    else f" and change from type {one.type.name} to {two.type.name}"
                )
                self._add(
                    IN_LINE,
                    (wall, other),
                    self._point(wall, meet_at),
                    f"walls {one.mark} and {two.mark} meet end to end{change}: tracks butt, each has an end stud",
                )

    def _unmet(self, index: int, end: int) -> WallEnd:
        """An end that no wall takes butts existing work or is free."""
        at, word = self._own_end(index, end), self.walls[index].ends[end]
        if word == STRUCTURE:
            because, role = "the plan says that it butts existing work", AT_STRUCTURE
        else:
            because, role = "the plan says that this end is free", FREE_END
            if word != FREE:
                because = "no other wall meets this end"
                self.alone.append((index, end))
        self._add(role, (index,), self._point(index, at), because)
        return WallEnd(role, at)

    def _near_misses(self) -> None:
        for index, end, other, distance in near_misses(self.near, self.alone):
            caution = near_miss(self.level.name, self.walls[index], end, self.walls[other], distance)
            self.result.cautions.append(caution)

    # small helps

    def _taken(self, wall: int, end: int, other: int) -> bool:
        known = self.ends[wall][end]
        if known is None:
            return False
        if known.other != other:
            self._meets_two(wall, ("from", "to")[end], self._own_end(wall, end), known.other, other)
        return True

    def _meets_two(self, wall: int, field: str, at: Length, one: int, two: int) -> None:
        point, walls = self._point(wall, at), self.walls
        self.result.mistakes.append(meets_two(self.level.name, walls[wall], field, point, walls[one], walls[two]))

    def _override(self, first: int, second: int) -> int | None:
        key = frozenset((self.walls[first].mark, self.walls[second].mark))
        mark = self.overrides.get(key)
        if mark is None:
            return None
        self.used_overrides.add(key)
        return first if mark == self.walls[first].mark else second

    def _same_line(self, one: int, two: int) -> bool:
        return any((one, end) in self.partners and self.partners[(one, end)][0] == two for end in (0, 1))

    def _own_end(self, wall: int, end: int) -> Length:
        return 0 if end == 0 else self.walls[wall].length

    def _point(self, wall: int, along: Length) -> Point:
        return self.axes[wall].point(along)

    def _side_of(self, wall: int, other: int, other_end: int) -> str:
        """The face of `wall` on which `other` lies, that ends here with its end `other_end`."""
        is_left = (self.axes[wall].cross(self.axes[other]) > 0) == (other_end == 0)
        return LEFT if is_left else RIGHT

    def _run_in(self, wall: int, at: Length, other: int, turn: Turn) -> None:
        reach = self.axes[other].half
        if turn is not SQUARE:
            reach = turn.over_sin(reach) + abs(turn.cot(self.axes[wall].half))
        self.result.run_ins.append(RunIn(wall, at, reach, other))

    def _slot(self, through: int, face: str, lapping: int) -> Length:
        wall = self.walls[through]
        layers = self.layers.get((wall.type.name, face))
        if layers is None:
            layers = self.layers[wall.type.name, face] = sum(board.thickness for board in wall.type.layers(face))
        self.result.slots.append(Slot(self.walls[lapping].mark, wall.mark, layers))
        return max(self.practice.slot, layers)

    def _caution_snapped(self, one: int, two: int, gap: Length) -> None:
        self.result.cautions.append(snapped(self.level.name, self.walls[one], self.walls[two], gap))

    def _add(self, kind: str, walls: tuple[int, ...], at: Point, because: str, through: int | None = None) -> None:
        marks = tuple(self.walls[index].mark for index in walls)
        self.result.found.append(
            Junction(kind, marks, at, because, None if through is None else self.walls[through].mark)
        )
