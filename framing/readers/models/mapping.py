"""The mapping file: which kinds of wall of a model are which of our wall types, and which are not ours.

The reader proposes one (`propose`); a person corrects it and gives it back. It is JSON:

- `format`: "piecewall model types 1"; `length_unit`, `boards`, `wall_types` as in the plan file.
- `types`, one row for each kind of wall of a model: `model_type` (the type's name in the model), `flags` (external,
  load-bearing, parapet, ...), `take`, and `steel`: in which `layer` (from 1; 0 is the whole wall) stands which of our
  wall types, as its `type`. Two rows of steel make two walls.
- `layers`, one row for each layer of a drawing with lines on it: `layer`, `take`, our `type`, `height`, `level`, `line`
  (which line of the steel is drawn). `drawing_unit` where the drawing's header does not say it.
- `blocks`, one row for each block that a drawing inserts: `block`, `take`, `kind`, `from` and `to` (its jambs along the
  block's own x), `height`, `sill`.
- `because` is the reason given for what is not taken. `model`, `walls`, `thickness`, a type's `layers`, `lines`,
  `inserts` and a block's `layer` are there to be read by people and are not read back.
"""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from framing.length import Length
from framing.plan import DOOR, OPENING, WINDOW, Mistake, PlanMistakes, WallType
from framing.readers.plan_parts import read_boards, read_wall_types
from framing.readers.reading import Reading, Unread, load_json

FORMAT = "piecewall model types 1"
LARGEST = 4 * 1024 * 1024
_KEYS = ("format", "model", "length_unit", "drawing_unit", "boards", "wall_types", "types", "layers", "blocks")
_TYPE_KEYS = ("model_type", "flags", "walls", "thickness", "layers", "take", "steel", "because")
_LAYER_KEYS = ("layer", "lines", "take", "type", "height", "level", "line", "because")
_BLOCK_KEYS = ("block", "layer", "inserts", "take", "kind", "from", "to", "height", "sill", "because")
_LONGEST = 200


@dataclass(frozen=True, slots=True)
class Steel:
    """One row of steel in a wall of the model: the layer it stands in (0: the whole wall) and our type for it."""

    layer: int
    type: str


@dataclass(frozen=True, slots=True)
class TypeRow:
    """What becomes of one kind of wall. `because` is the reason that is given where it is not taken."""

    model_type: str
    flags: tuple[str, ...]
    take: bool
    steel: tuple[Steel, ...]
    because: str = ""


@dataclass(frozen=True, slots=True)
class LayerRow:
    """What becomes of the lines on one layer of a drawing. `height` None: not said yet."""

    layer: str
    take: bool
    type: str
    height: Length | None
    level: str
    line: str
    because: str = ""


@dataclass(frozen=True, slots=True)
class BlockRow:
    """What becomes of one block of a drawing. `start` and `end`: its jambs along the block's own x."""

    block: str
    take: bool
    kind: str
    start: Length | None
    end: Length | None
    height: Length | None
    sill: Length
    because: str = ""


@dataclass(frozen=True, slots=True)
class ModelTypes:
    """A mapping file as read. `source` is its name, or "the reader's proposal"."""

    source: str
    wall_types: dict[str, WallType]
    types: tuple[TypeRow, ...] = ()
    layers: tuple[LayerRow, ...] = ()
    blocks: tuple[BlockRow, ...] = ()
    drawing_unit: str = ""
    by_kind: dict[tuple[str, tuple[str, ...]], TypeRow] = field(default_factory=dict)

    def of(self, model_type: str, flags: Iterable[str]) -> TypeRow | None:
        return self.by_kind.get((model_type, tuple(sorted(flags))))


def read_types(path: Path) -> ModelTypes:
    """Read a mapping file. Raises PlanMistakes with everything that is wrong with it."""
    name = path.name
    try:
        if path.stat().st_size > LARGEST:
            raise PlanMistakes([_file(f"is larger than {LARGEST // 1024 // 1024} MiB")], name)
        value = load_json(path.read_bytes())
    except OSError as error:
        raise PlanMistakes([_file(f"cannot be read ({error.strerror or type(error).__name__})")], name) from None
    except ValueError as error:
        raise PlanMistakes([_file(str(error))], name) from None
    return types_from_value(value, name)


def types_from_value(value: Any, source: str) -> ModelTypes:
    """The same from a parsed value. Raises PlanMistakes."""
    reading = Reading()
    found: ModelTypes | None = None
    with suppress(Unread):
        found = _read(reading, value, source)
    if reading.mistakes or found is None:
        raise PlanMistakes(reading.mistakes, source)
    return found


def _file(reason: str) -> Mistake:
    return Mistake(
        "the types file", "", "", reason, "The command takeoff prints one to start from with --propose-types."
    )


def _read(reading: Reading, value: Any, source: str) -> ModelTypes:
    top = reading.object(value, "", "", _KEYS, ("format", "wall_types"))
    if "format" in top and top["format"] != FORMAT:
        reading.note("", "format", top["format"], "is not one that this version reads", f'Write "{FORMAT}".')
    with suppress(Unread):
        reading.unit = reading.word(top.get("length_unit", "in"), "", "length_unit", ("in", "mm"))
    unit = ""
    if top.get("drawing_unit") is not None:
        with suppress(Unread):
            unit = reading.word(top["drawing_unit"], "", "drawing_unit", ("in", "ft", "mm", "cm", "m"))
    boards = read_boards(reading, top.get("boards", {}))
    wall_types = read_wall_types(reading, top.get("wall_types", {}), boards)
    types = _rows(reading, top, "types", lambda item, where: _type_row(reading, item, where, wall_types))
    layers = _rows(reading, top, "layers", lambda item, where: _layer_row(reading, item, where, wall_types))
    blocks = _rows(reading, top, "blocks", lambda item, where: _block_row(reading, item, where))
    by_kind: dict[tuple[str, tuple[str, ...]], TypeRow] = {}
    for row in types:
        key = (row.model_type, tuple(sorted(row.flags)))
        if key in by_kind:
            reading.note("types", "model_type", row.model_type, "is given twice with the same flags", "Keep one row.")
        by_kind[key] = row
    for kind, names in (("layers", [row.layer for row in layers]), ("blocks", [row.block for row in blocks])):
        for name in sorted({name for name in names if names.count(name) > 1}):
            reading.note(kind, "", name, "is given twice", "Keep one row.")
    known = {name: kind for name, kind in wall_types.items() if kind is not None}
    return ModelTypes(source, known, tuple(types), tuple(layers), tuple(blocks), unit, by_kind)


def _rows(reading: Reading, top: dict[str, Any], key: str, read: Any) -> list[Any]:
    found = []
    for number, item in enumerate(reading.items(top.get(key, []), "", key), 1):
        with suppress(Unread):
            found.append(read(item, f"{key} {number}"))
    return found


def _text(reading: Reading, value: Any, where: str, field: str) -> str:
    if not isinstance(value, str) or len(value) > _LONGEST:
        reading.note(where, field, value, f"is not a text of at most {_LONGEST} characters", "Correct it.")
        raise Unread
    return value


def _type_row(reading: Reading, item: Any, where: str, types: dict[str, WallType | None]) -> TypeRow:
    row = reading.object(item, where, "", _TYPE_KEYS, ("model_type", "take"))
    name = _text(reading, row.get("model_type", ""), where, "model_type")
    flags = tuple(_text(reading, one, where, "flags") for one in reading.items(row.get("flags", []), where, "flags"))
    take = reading.yes_or_no(row.get("take", False), where, "take")
    steel = []
    for number, one in enumerate(reading.items(row.get("steel", []), where, "steel"), 1):
        part = reading.object(one, where, f"steel {number}", ("layer", "type"), ("layer", "type"))
        layer = reading.whole(part.get("layer", 0), where, f"steel {number}.layer", 0, 100)
        steel.append(Steel(layer, _our_type(reading, part.get("type"), where, f"steel {number}.type", types)))
    if take and not steel:
        reading.note(
            where, "steel", [], f"names no steel for {name}", "Name the layer and our type, or set take to false."
        )
        raise Unread
    because = _text(reading, row.get("because", ""), where, "because")
    return TypeRow(name, flags, take, tuple(steel), because)


def _our_type(reading: Reading, value: Any, where: str, field: str, types: dict[str, WallType | None]) -> str:
    if not isinstance(value, str) or value not in types:
        known = ", ".join(types) or "none yet"
        reading.note(
            where, field, value, "is no wall type of this file", f"Use one of: {known}; or add it to wall_types."
        )
        raise Unread
    return value


def _layer_row(reading: Reading, item: Any, where: str, types: dict[str, WallType | None]) -> LayerRow:
    row = reading.object(item, where, "", _LAYER_KEYS, ("layer", "take"))
    name = _text(reading, row.get("layer", ""), where, "layer")
    take = reading.yes_or_no(row.get("take", False), where, "take")
    kind = _our_type(reading, row.get("type"), where, "type", types) if take or row.get("type") is not None else ""
    height = None if row.get("height") is None else reading.length(row["height"], where, "height", above=True)
    level = reading.mark(row.get("level", "Level 1"), where, "level")
    line = reading.word(row.get("line", "centre"), where, "line", ("centre", "left", "right"))
    return LayerRow(name, take, kind, height, level, line, _text(reading, row.get("because", ""), where, "because"))


def _block_row(reading: Reading, item: Any, where: str) -> BlockRow:
    row = reading.object(item, where, "", _BLOCK_KEYS, ("block", "take"))
    name = _text(reading, row.get("block", ""), where, "block")
    take = reading.yes_or_no(row.get("take", False), where, "take")
    kind = reading.word(row.get("kind", OPENING), where, "kind", (DOOR, WINDOW, OPENING))
    start = None if row.get("from") is None else reading.length(row["from"], where, "from", least=None)
    end = None if row.get("to") is None else reading.length(row["to"], where, "to", least=None)
    if start is not None and end is not None and end <= start:
        reading.note(
            where, "from, to", row["to"], "leave no width", "Write the near and the far jamb along the block's x."
        )
        raise Unread
    height = None if row.get("height") is None else reading.length(row["height"], where, "height", above=True)
    sill = reading.length(row.get("sill", 0), where, "sill")
    return BlockRow(
        name, take, kind, start, end, height, sill, _text(reading, row.get("because", ""), where, "because")
    )
