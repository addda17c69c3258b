"""A take-off as text for a terminal or a printer: the same figures as the JSON, in the plan's own unit of length."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from fractions import Fraction
from typing import Any

from framing.length import TICKS_PER_INCH, TICKS_PER_MM, length_text, rounded, to_sixteenth
from framing.stock_printed import board_words, rooms_text

SAFETY = (
    "Sheet-steel edges cut: wear gloves. Powder-actuated tools only by trained operators, eyes protected "
    "(29 CFR 1926.302(e)). Sanding and cutting make dust: assess exposure to silica (29 CFR 1926.1153).",
    "Load-bearing walls are outside; fire-rated walls follow their listed design. Local codes and licensed practice "
    "come before every figure here.",
)


Say = Callable[[str], str]
"""A printed decimal of inches as a reader of the plan reads it."""


def takeoff_text(found: dict[str, Any], *, explain: bool = False) -> str:
    """The printed object of `framing.takeoff.takeoff` as lines of text."""
    return "\n".join(_lines(found, explain))


def _lines(found: dict[str, Any], explain: bool) -> Iterator[str]:
    yield f"Take-off: {found['plan'] or 'plan without a name'}"
    announced, say = _UNITS[found["length_unit"]]
    yield announced
    for level in found["levels"]:
        yield ""
        yield from _level(level, say)
        if explain:
            yield from _reasons(level, say)
    yield ""
    yield "All levels"
    yield from _counts(found["counts"], say)
    yield ""
    yield from _order(found["order"], say)
    yield ""
    yield "Handbook check (published estimating rules, not how anything here is counted)"
    checks = [
        (row["name"], row["handbook"], row["counted"], row["unit"], row["ratio"] or "", row["source"])
        for row in found["handbook"]
    ]
    yield from _table(("what", "handbook", "counted", "unit", "ratio", "source"), checks, right=(1, 2, 4))
    for row in found["handbook"]:
        if row["far_apart"]:
            yield f"  far apart: {row['name']}. Look at the plan before ordering."
    yield ""
    yield from SAFETY


_SHARE = ("count", "offcuts", "cut_ahead")


def _order(order: Sequence[dict[str, Any]], say: Say) -> Iterator[str]:
    yield "To order (bound: the least number that any way of cutting needs)"
    rows = [
        (
            line["product"],
            say(line["stock_length"]) if "stock_length" in line else "",
            _bought(line),
            str(line["bound"]) if "bound" in line else "",
        )
        for line in order
    ]
    yield from _table(("product", "length", "to buy", "bound"), rows, right=(3,))
    yield from (f"  {line['product']}: {line['because']}" for line in order if "because" in line)
    cut = [line for line in order if "levels" in line]
    if not cut:
        return
    yield ""
    yield "Level by level (offcuts: left by lower levels, used here; cut ahead: pieces already cut with a lower level)"
    rows_by_level = [
        (share["level"], line["product"], say(line["stock_length"]), *(str(share[key]) for key in _SHARE))
        for number in range(len(cut[0]["levels"]))
        for line in cut
        if any((share := line["levels"][number])[key] for key in _SHARE)
    ]
    head = ("level", "product", "length", "count", "offcuts", "cut ahead")
    yield from _table(head, rows_by_level, right=(3, 4, 5))


def _bought(line: dict[str, Any]) -> str:
    """What an order line says to buy: `22 tubes of 10.1 oz`, `4 boxes of 1,000 for 3,172`."""
    count = line["count"]
    if "boxes" in line:
        box = f"{line['per_box']:,} box"
        return f"{_many(line['boxes'], box)} for {count:,}"
    return f"{count:,}" if line["unit"] == "each" else _many(count, line["unit"])


def _many(count: int, unit: str) -> str:
    """`22`, `10.1 oz tube` as `22 tubes of 10.1 oz`."""
    size, _, noun = unit.rpartition(" ")
    plural = "" if count == 1 else "es" if noun.endswith("x") else "s"
    return f"{count:,} {noun}{plural}{f' of {size}' if size else ''}"


def _level(level: dict[str, Any], say: Say) -> Iterator[str]:
    yield f"{level['name']}: {len(level['walls'])} walls"
    rows = []
    for wall in level["walls"]:
        counts = wall["counts"]
        rows.append(
            (
                wall["mark"],
                wall["type"],
                say(wall["line_length"]),
                say(wall["track_length"]),
                str(counts["studs"]),
                counts["board_net_sqft"],
                str(counts["sheets"]),
                str(counts["board_screws"]),
                str(counts["pins"]),
                str(counts["openings"]),
            )
        )
    head = ("wall", "type", "line", "bottom track", "studs", "net sq ft", "sheets", "board screws", "pins", "openings")
    yield from _table(head, rows, right=tuple(range(2, 10)))
    yield ""
    yield f"{level['name']}: junctions"
    for junction in level["junctions"]:
        yield f"  {junction['kind']:<12} {' + '.join(junction['walls']):<20} {junction['because']}"
    yield ""
    yield f"{level['name']}: track, in the order of cutting"
    yield from _table(
        ("wall", "row", "at", "length", "from end", "to end", "pins"),
        [_piece(piece, say) for piece in level["track_pieces"]],
        right=(2, 3),
    )
    yield ""
    yield from (f"{level['name']}: {board_words(stock, say)}" for stock in level["board_stock"])
    yield ""
    yield from rooms_text(level, say)
    if level["cautions"]:
        yield ""
        yield f"{level['name']}: cautions"
        for caution in level["cautions"]:
            yield f"  {caution['kind']}: {caution['sentence']}"


def _piece(piece: dict[str, Any], say: Say) -> tuple[str, ...]:
    ends = []
    for name in ("from_end", "to_end"):
        cut = piece[name]
        bend = piece.get("bent_up", {}).get(name)
        words = f"bent up {say(bend)}" if bend else "square"
        if cut["cut"] == "tab":
            words = f"tab {say(cut['tab'])}, flanges back {_sides(cut['flanges_back'], say)}"
        if "bevel" in cut:
            words += f", snipped back {_sides(cut['bevel'], say)}"
        ends.append(words)
    return (piece["wall"], piece["row"], say(piece["at"]), say(piece["length"]), *ends, str(piece["pins"]))


def _sides(lengths: dict[str, str], say: Say) -> str:
    """Both sides' length where they agree, else each with its side, nought left out."""
    if len(set(lengths.values())) == 1:
        return say(lengths["left"])
    return " and ".join(f"{say(length)} {side}" for side, length in lengths.items() if length != "0")


_SHOWN = {
    "stud_in": "stud length",
    "sheets": "stock sheets",
    "board_net_sqft": "board hung, net sq ft",
    "board_high_sqft": "high board, net sq ft",
    "board_bought_sqft": "board bought, sq ft",
    "sealant_in": "sealant at the floor",
    "bead_in": "corner bead",
    "openings": "openings framed",
    "over_opening_pieces": "pieces over openings",
}


def _counts(counts: dict[str, Any], say: Say) -> Iterator[str]:
    for name, value in counts.items():
        if value == "0" and (name.startswith("tape_level") or name == "skim_sqft"):
            continue  # most plans have one level of finish
        shown = say(value) if name.endswith("_in") else str(value)
        yield f"  {_SHOWN.get(name) or name.removesuffix('_in').replace('_', ' '):<22} {shown:>14}"


def _reasons(level: dict[str, Any], say: Say) -> Iterator[str]:
    yield ""
    yield f"{level['name']}: because"
    for wall in level["walls"]:
        yield f"  wall {wall['mark']}"
        for measure, reasons in wall.get("because", {}).items():
            amount = wall["counts"][measure]
            name = _SHOWN.get(measure) or measure.removesuffix("_in").replace("_", " ")
            yield f"    {name} = {say(amount) if measure.endswith('_in') else amount}"
            by_rule: dict[tuple[str, str], list[str]] = {}
            for reason in reasons:
                by_rule.setdefault((reason["rule"], reason["source"]), []).append(reason["term"])
            for (rule, source), terms in by_rule.items():
                yield f"      {rule} [{source}]"
                yield from (f"        {term}" for term in terms)


def _feet(decimal_inches: str) -> str:
    """Feet and inches of a printed decimal; what is not exact to 1/64 in is shown to the nearest 1/16, marked `~`."""
    ticks = Fraction(decimal_inches) * TICKS_PER_INCH
    exact = length_text(ticks.numerator) if ticks.denominator == 1 else ""
    return exact if exact.endswith('"') else f"~{length_text(to_sixteenth(round(ticks)))}"


_AS_PRINTED = TICKS_PER_INCH // 20_000  # what four decimals of an inch leave open


def _millimetres(decimal_inches: str) -> str:
    """The same in millimetres, to a tenth; `~` marks what is not exact to one."""
    ticks = Fraction(decimal_inches) * TICKS_PER_INCH
    tenths = rounded(ticks / TICKS_PER_MM, 1)
    is_exact = abs(Fraction(tenths) * TICKS_PER_MM - ticks) <= _AS_PRINTED
    return f"{'' if is_exact else '~'}{tenths} mm"


_UNITS: dict[str, tuple[str, Say]] = {
    "in": ("Feet and inches; ~ marks a length that is not exact to 1/64 in, shown to the nearest 1/16.", _feet),
    "mm": ("Millimetres; ~ marks a length that is not exact to a tenth of one.", _millimetres),
}
"""How a plan's own unit of length is announced, and how its lengths are said."""


def _table(head: Sequence[str], rows: Iterable[Sequence[str]], right: tuple[int, ...] = ()) -> Iterator[str]:
    body = [tuple(head), *(tuple(row) for row in rows)]
    widths = [max(len(row[column]) for row in body) for column in range(len(head))]
    for number, row in enumerate(body):
        cells = (
            cell.rjust(widths[column]) if column in right else cell.ljust(widths[column])
            for column, cell in enumerate(row)
        )
        yield ("  " + "  ".join(cells)).rstrip()
        if number == 0:
            yield "  " + "  ".join("-" * width for width in widths)
