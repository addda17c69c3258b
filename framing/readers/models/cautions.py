"""What a person must look at in an imported model: by level, and under "" for the file as a whole."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator

from framing.pieces import Caution
from framing.plan import place
from framing.readers.models.exact import exact, shown
from framing.readers.models.lines import Line
from framing.readers.models.mapping import ModelTypes
from framing.readers.models.propose import PROPOSAL
from framing.readers.models.values import Model, Source

LENGTH_WITHIN = 1.0
"""mm by which a stated length, height or width may differ from the file's own geometry."""

AREA_WITHIN = 0.002
"""Share by which a stated net area may differ."""

_TOGETHER = ("stated twice",)
_SHOWN_MARKS = 8


def model_cautions(
    model: Model,
    types: ModelTypes,
    by_mark: dict[tuple[str, str], Line],
    sources: dict[tuple[str, str], Source],
    notes: dict[str, list[tuple[str, str]]],
    turn: float,
) -> dict[str, tuple[Caution, ...]]:
    """All cautions of an import. `notes` by the wall's id, beside those that each wall brings."""
    found: dict[str, list[Caution]] = defaultdict(list)
    found[""] += _of_file(model, types, by_mark, turn)
    together: dict[tuple[str, str, str], list[str]] = defaultdict(list)
    for (level, mark), line in by_mark.items():
        for kind, text in (*line.wall.notes, *notes.get(line.wall.id, ())):
            if kind in _TOGETHER:
                together[level, kind, text].append(mark)
            else:
                found[level].append(Caution(kind, f"{place(level, mark)}: {text}.", (mark,)))
        found[level] += _differences(level, mark, sources[level, mark])
    for (level, kind, text), marks in together.items():
        shown_marks = ", ".join(marks[:_SHOWN_MARKS]) + (", ..." if len(marks) > _SHOWN_MARKS else "")
        number = "1 wall" if len(marks) == 1 else f"{len(marks)} walls"
        found[level].append(Caution(kind, f"{level}: {text}, at {number} ({shown_marks}).", tuple(marks)))
    return {level: tuple(cautions) for level, cautions in found.items() if cautions}


def _of_file(model: Model, types: ModelTypes, by_mark: dict[tuple[str, str], Line], turn: float) -> Iterator[Caution]:
    yield from model.cautions
    if not by_mark:
        yield Caution(
            "nothing taken",
            f"{model.name}: no wall was taken; each is listed with its reason. Write down which of our types its "
            "kinds of wall are: the command takeoff prints a start with --propose-types and reads it with --types.",
            (),
        )
    if types.source == PROPOSAL:
        yield Caution(
            "proposed types",
            f"{model.name}: studs, spacing and board are this reader's own proposal from the names and thicknesses "
            "in the file. Check them: the command takeoff prints them with --propose-types, and reads them by --types.",
            (),
        )
    if turn:
        yield Caution(
            "turned",
            f"{model.name}: the building stands {math.degrees(turn):.4f} degrees to the file's axes; the plan is "
            "turned to lie along its own walls.",
            (),
        )


def _differences(level: str, mark: str, wall: Source) -> Iterator[Caution]:
    """Stated quantities that the file's own geometry does not bear out. The geometry is what is counted."""
    stated = wall.stated
    where = place(level, mark)
    lengths = (
        ("length", stated.length, wall.length),
        ("height", stated.height, wall.height),
        ("width", stated.width, wall.width),
    )
    for name, said, found in lengths:
        if said is not None and abs(said - found) > LENGTH_WITHIN:
            yield Caution(
                "stated differs",
                f"{where}: {stated.source} states a {name} of {shown(said)}, its geometry measures {shown(found)}, "
                "which is counted. Look at the model.",
                (mark,),
                by=exact(min(abs(said - found), 1e7), is_imperial=False),
            )
    if stated.net_area is not None and abs(stated.net_area - wall.net_area) > AREA_WITHIN * max(
        stated.net_area, wall.net_area
    ):
        yield Caution(
            "stated differs",
            f"{where}: {stated.source} states a net area of {_feet(stated.net_area)}, its geometry measures "
            f"{_feet(wall.net_area)}, from which is counted. Look at the model.",
            (mark,),
        )


def _feet(area: float) -> str:
    return f"{area / 304.8**2:.2f} sq ft ({area / 1e6:.3f} m²)"
