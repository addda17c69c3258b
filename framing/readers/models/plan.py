"""A model as a plan: which walls are taken, as which of our types, on which level; the rest left out, each with why.

Nothing is counted in silence and nothing is dropped in silence: a wall that the engine itself would refuse is left out
with the engine's own reason, and its neighbours end at existing structure there.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from statistics import median_low

from framing.checks import plan_mistakes
from framing.plan import Level, Mistake, Plan, PlanMistakes, Wall, place
from framing.practice import FramingPractice
from framing.readers.models.cautions import model_cautions
from framing.readers.models.exact import shown
from framing.readers.models.lines import Line, joined, line_of, main_turn, turned
from framing.readers.models.mapping import ModelTypes
from framing.readers.models.values import Imported, LeftOut, Model, ModelWall, NotTaken, Source, Vec, printable
from framing.readers.models.walls import marks_of, standing, wall_of

_MOST_ROUNDS = 50
_SILENT = 0.1  # mm: what is bent less is not worth a word
_FAR = 10_000_000.0  # mm: a model further from its own origin than this is moved near it


@dataclass(slots=True)
class _Taking:
    """The work in progress: candidates by key, those refused with the reason, and what else was found."""

    model: Model
    lines: dict[str, Line] = field(default_factory=dict)
    left_out: list[LeftOut] = field(default_factory=list)
    refused: dict[str, str] = field(default_factory=dict)
    notes: dict[str, list[tuple[str, str]]] = field(default_factory=lambda: defaultdict(list))


def imported(model: Model, types: ModelTypes) -> Imported:
    """Make a plan of a model by a mapping file. Raises PlanMistakes only where the plan as a whole is wrong."""
    taking = _Taking(model, left_out=list(model.left_out))
    turn, walls = _set_straight(taking)
    _choose(taking, walls, types)
    floors = {level.name: level.floor for level in model.levels}
    for _ in range(_MOST_ROUNDS):
        before = len(taking.refused)
        plan, by_where = _plan(taking, walls, floors)
        found = list(plan_mistakes(plan))
        if not found and len(taking.refused) == before:
            break
        _refuse(taking, by_where, found, model.name)
    else:
        raise PlanMistakes(found, model.name)
    lines = {key: line for key, line in taking.lines.items() if key not in taking.refused}
    _list_refused(taking)
    sources = {}
    by_mark: dict[tuple[str, str], Line] = {}
    drawn = {wall.id: wall for wall in walls}
    for where, key in by_where.items():
        if key in lines:
            by_mark[where] = lines[key]
            sources[where] = _source(drawn[lines[key].wall.id])
    cautions = model_cautions(model, types, by_mark, sources, taking.notes, turn)
    return Imported(
        plan,
        model.kind,
        model.unit,
        types.source,
        model.elements,
        tuple(LeftOut(printable(one.id), printable(one.what), one.reason) for one in taking.left_out),
        sources,
        cautions,
    )


def _set_straight(taking: _Taking) -> tuple[float, list[ModelWall]]:
    """All walls turned to the main direction, moved near the origin where they are far, and set straight."""
    model = taking.model
    if not model.walls:
        return 0.0, []
    turn = main_turn(model.walls)
    xs, ys = [wall.origin.x for wall in model.walls], [wall.origin.y for wall in model.walls]
    middle = Vec(median_low(xs), median_low(ys))  # one wall astray does not move the others
    is_far = max(abs(middle.x), abs(middle.y)) > _FAR
    shift = Vec(-float(round(middle.x)), -float(round(middle.y))) if is_far else Vec(0.0, 0.0)
    walls = []
    for wall in model.walls:
        straight, bent = turned(wall, turn, shift)
        if bent > _SILENT:
            taking.notes[wall.id].append(("straightened", f"is drawn {shown(bent)} out of square and was set straight"))
        walls.append(straight)
    return turn, walls


def _choose(taking: _Taking, walls: list[ModelWall], types: ModelTypes) -> None:
    """Decide on each wall by its kind, then by how it stands on its level."""
    for wall in walls:
        row = types.of(wall.type_name, wall.flags)
        if row is None:
            reason = f"is of a kind that {types.source} does not name: {wall.type_name}"
        elif not row.take:
            reason = row.because or f"is of a kind that {types.source} does not take: {wall.type_name}"
        else:
            try:
                upright, notes = standing(wall, taking.left_out)
                for number, steel in enumerate(row.steel):
                    if steel.layer > len(upright.layers):
                        raise NotTaken(f"has {len(upright.layers)} layers; its kind's steel is in layer {steel.layer}")
                    key = wall.id if len(row.steel) == 1 else f"{wall.id}/{number + 1}"
                    kind = types.wall_types[steel.type]
                    taking.lines[key] = line_of(key, upright, upright.layer(steel.layer), kind)
                    taking.notes[wall.id] += notes if number == 0 else []
            except NotTaken as why:
                reason = str(why)
                for key in [key for key, line in taking.lines.items() if line.wall.id == wall.id]:
                    del taking.lines[key]
            else:
                continue
        taking.left_out.append(LeftOut(wall.id, wall.what, reason))


def _plan(taking: _Taking, walls: list[ModelWall], floors: dict[str, float]) -> tuple[Plan, dict[tuple[str, str], str]]:
    """The plan of all lines not refused so far, and which line each (level, mark) is."""
    kept = [line for key, line in taking.lines.items() if key not in taking.refused]
    lines = joined(kept, walls, floors)
    marks = marks_of(lines)
    by_where: dict[tuple[str, str], str] = {}
    levels = []
    for level in taking.model.levels:
        made: list[Wall] = []
        for line in lines:
            if line.wall.level != level.name:
                continue
            try:
                made.append(wall_of(line, marks[line.key], is_imperial=taking.model.is_imperial))
            except NotTaken as why:
                taking.refused[line.key] = str(why)
                continue
            by_where[level.name, marks[line.key]] = line.key
        if made:
            levels.append(Level(level.name, tuple(made)))
    unit = "in" if taking.model.is_imperial else "mm"
    return Plan(taking.model.name, unit, tuple(levels), FramingPractice()), by_where


def _refuse(taking: _Taking, by_where: dict[tuple[str, str], str], mistakes: list[Mistake], name: str) -> None:
    """Refuse each wall that a mistake names. Raises PlanMistakes where one names none."""
    by_place = {place(level, mark): key for (level, mark), key in by_where.items()}
    lost = []
    for mistake in mistakes:
        head = mistake.where.partition(", opening ")[0]
        key = by_place.get(head)
        if key is None:
            lost.append(mistake)
        else:
            taking.refused.setdefault(key, _sentence(mistake))
    if lost:
        raise PlanMistakes(lost, name)


def _sentence(mistake: Mistake) -> str:
    opening = mistake.where.partition(", opening ")[2]
    head = f"opening {opening}: " if opening else ""
    value = f"{mistake.value} " if mistake.value else ""
    return f"cannot be framed as drawn: {head}{mistake.field} {value}{mistake.reason}"


def _list_refused(taking: _Taking) -> None:
    for key, reason in taking.refused.items():
        wall = taking.lines[key].wall
        taking.left_out.append(LeftOut(wall.id, wall.what, reason))


def _source(wall: ModelWall) -> Source:
    return Source(wall.id, wall.stated, wall.length, wall.height, wall.thickness, wall.net_area)
