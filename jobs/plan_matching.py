"""Which wall of a new plan is which wall of the one before: by mark, and where a mark was changed, by where it stands.

Two walls of a level never lie on the same line (the plan file forbids it), so the line tells them apart. Knows no
database: what stands and what is drawn come in, pairs go out.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

Line = tuple[str, tuple[str, ...], tuple[str, ...]]

# What a drawing says of a wall, in the words of a difference. Lengths are decimal inches.
_DRAWN = {
    "type": "type",
    "from": "start",
    "to": "end",
    "line": "line",
    "height_in": "height",
    "heights_in": "heights",
    "stud": "stud",
    "track": "track",
    "spacing_in": "spacing",
    "layout_from": "layout from",
    "head_gap_in": "head gap",
    "boards": "board",
    "finish": "finish",
    "fire_rated": "fire rated",
}
_OPENING = ("kind", "at_in", "width_in", "height_in", "sill_in", "hinge", "swing")


@dataclass(frozen=True, slots=True)
class Standing:
    """A wall as the newest revision draws it."""

    id: int
    level: str
    mark: str
    geometry: Mapping[str, Any]
    counts: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Drawn:
    """A wall as the plan to import draws it: `found` is what the take-off says of it."""

    level: str
    found: Mapping[str, Any]

    @property
    def mark(self) -> str:
        return str(self.found["mark"])


@dataclass(frozen=True, slots=True)
class Pair:
    """A wall before and after; one of them is None for a wall that is added or gone."""

    before: Standing | None
    after: Drawn | None

    @property
    def renamed(self) -> bool:
        return self.before is not None and self.after is not None and self.before.mark != self.after.mark


def walls_match(standing: Sequence[Standing], drawn: Sequence[Drawn]) -> list[Pair]:
    """Pair the walls of two plans; in the order of the new plan, those that are gone last.

    First those with the same mark on the same line; then those on the same line under another mark, which are renamed;
    then those with the same mark on another line, which have moved. The rest is added or gone.
    """
    free = {(wall.level, wall.mark): wall for wall in standing}
    found: dict[int, Standing] = {}

    def take(nth: int, wall: Standing | None) -> None:
        if wall is not None and (wall.level, wall.mark) in free:
            found[nth] = free.pop((wall.level, wall.mark))

    for nth, wall in enumerate(drawn):
        known = free.get((wall.level, wall.mark))
        if known is not None and _line(known.level, known.geometry) == _line(wall.level, wall.found):
            take(nth, known)
    lines = _by_line(free.values())
    for nth, wall in enumerate(drawn):
        line = _line(wall.level, wall.found)
        if nth not in found and line is not None:
            take(nth, lines.get(line))
    for nth, wall in enumerate(drawn):
        if nth not in found:
            take(nth, free.get((wall.level, wall.mark)))
    return [Pair(found.get(nth), wall) for nth, wall in enumerate(drawn)] + [Pair(wall, None) for wall in free.values()]


def openings_renamed(pair: Pair) -> dict[str, str]:
    """Old mark -> new mark of each opening that stands where another one stood under another mark."""
    if pair.before is None or pair.after is None:
        return {}
    before, after = _openings(pair.before.geometry), _openings(pair.after.found)
    places = {_place(one): mark for mark, one in before.items() if mark not in after}
    fresh = {mark: places.get(_place(one)) for mark, one in after.items() if mark not in before}
    return {old: new for new, old in fresh.items() if old is not None}


def differences(pair: Pair) -> list[str]:
    """What is drawn or counted otherwise than before, each as a short phrase: 'height 108 -> 96'."""
    if pair.before is None or pair.after is None:
        return []
    before, after = pair.before.geometry, pair.after.found
    said = [
        f"{words} {_say(before[key])} -> {_say(after.get(key))}"
        for key, words in _DRAWN.items()
        if key in before and before[key] != after.get(key)
    ]
    said += _opening_differences(pair)
    counts = pair.after.found.get("counts", {})
    said += [
        f"{name.removesuffix('_in').replace('_', ' ')} {_say(pair.before.counts[name])} -> {_say(counts.get(name))}"
        for name in pair.before.counts
        if pair.before.counts[name] != counts.get(name)
    ]
    return said


def _opening_differences(pair: Pair) -> list[str]:
    assert pair.before is not None and pair.after is not None  # noqa: S101 - both callers have looked
    before, after = _openings(pair.before.geometry), _openings(pair.after.found)
    renamed = openings_renamed(pair)
    said = [f"opening {old} renamed {new}" for old, new in renamed.items()]
    for mark, one in after.items():
        if mark in before:
            said += [
                f"opening {mark} {key.removesuffix('_in')} {_say(before[mark][key])} -> {_say(one.get(key))}"
                for key in _OPENING
                if key in before[mark] and before[mark][key] != one.get(key)
            ]
        elif mark not in renamed.values():
            said.append(f"opening {mark} added")
    return said + [f"opening {mark} removed" for mark in before if mark not in after and mark not in renamed]


def _by_line(walls: Iterable[Standing]) -> dict[Line, Standing]:
    found: dict[Line, Standing] = {}
    twice: set[Line] = set()
    for wall in walls:
        line = _line(wall.level, wall.geometry)
        if line is None:
            continue
        if line in found:
            twice.add(line)
        found[line] = wall
    return {line: wall for line, wall in found.items() if line not in twice}


def _line(level: str, geometry: Mapping[str, Any]) -> Line | None:
    """Where a wall stands. Its direction counts: turned round, left and right are no longer the same faces."""
    if not geometry.get("from") or not geometry.get("to"):
        return None
    return (level, tuple(map(str, geometry["from"])), tuple(map(str, geometry["to"])))


def _openings(geometry: Mapping[str, Any]) -> dict[str, Mapping[str, Any]]:
    return {str(one["mark"]): one for one in geometry.get("openings", [])}


def _place(opening: Mapping[str, Any]) -> tuple[str, ...]:
    return tuple(str(opening.get(key)) for key in ("kind", "at_in", "width_in"))


def _say(value: Any) -> str:
    if isinstance(value, Mapping):
        return ", ".join(f"{key} {_say(part)}" for key, part in value.items())
    if isinstance(value, list | tuple):
        return ", ".join(_say(part) for part in value) or "none"
    return "none" if value is None else str(value)
