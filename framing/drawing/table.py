"""Tables on paper: a head, thin rules, columns as wide as their words, rows that break over pages."""

from __future__ import annotations

from dataclasses import dataclass

from framing.drawing.lettering import MM_PER_POINT, span, wrap
from framing.drawing.marks import ring, ring_size
from framing.drawing.shapes import FINE_LINE, Pad, Pen, Shape

SIZE = 7.0
_LEAD = SIZE * MM_PER_POINT * 1.24
_PAD = 1.1
_GAP = 3.4


@dataclass(frozen=True, slots=True)
class Table:
    """`wide`: the column that takes what width is left and breaks its words over lines. `ringed`: marks in circles."""

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: frozenset[int] = frozenset()
    wide: int | None = None
    ringed: frozenset[int] = frozenset()

    def columns(self, width: float) -> list[float]:
        """Widths of the columns, mm; together no more than `width`."""
        cells = (self.head, *self.rows)
        natural = []
        for column in range(len(self.head)):
            needed = max(span(row[column], SIZE, is_bold=index == 0) for index, row in enumerate(cells))
            if column in self.ringed:
                needed = max([needed, *(2 * ring_size(row[column], SIZE)[0] for row in self.rows)])
            natural.append(needed)
        room = width - _GAP * (len(natural) - 1)
        wide = self.wide if self.wide is not None else natural.index(max(natural))
        others = sum(natural) - natural[wide]
        if self.wide is not None or others + natural[wide] > room:
            natural[wide] = max(20.0, room - others)
        return natural


@dataclass(frozen=True, slots=True)
class Line:
    """One row as set: its words by column and line, and its height."""

    cells: tuple[tuple[str, ...], ...]
    height: float


def lines_of(table: Table, width: float) -> list[Line]:
    """The rows of a table with their words broken into lines."""
    columns = table.columns(width)
    found = []
    for row in table.rows:
        cells = tuple(tuple(wrap(cell, columns[index], SIZE)) or ("",) for index, cell in enumerate(row))
        has_ring = any(row[column] for column in table.ringed)
        lines = max(len(cell) for cell in cells)
        found.append(Line(cells, max(lines * _LEAD, 4.3 if has_ring else 0.0) + _PAD))
    return found


def head_height(table: Table) -> float:
    return (6.4 if table.title else 0.0) + (_LEAD + 2.0 if any(table.head) else 1.0)


def draw_head(table: Table, width: float, *, again: bool) -> list[Shape]:
    """The title and the heads of the columns; `again` on a following page."""
    pad = Pad()
    y = 0.0
    if table.title:
        pad.text(0, 4.4, table.title + (", continued" if again else ""), 8.5, bold=True)
        y = 6.4
    if any(table.head):
        y += _LEAD * 0.8
    for column, (left, wide) in enumerate(_places(table, width)):
        is_right = column in table.right
        pad.text(
            left + wide if is_right else left, y, table.head[column], SIZE, "end" if is_right else "start", bold=True
        )
    pad.line((0, y + 1.3), (width, y + 1.3), pen=FINE_LINE)
    return pad.shapes


def draw_line(table: Table, line: Line, width: float) -> list[Shape]:
    """One row, its top at 0."""
    pad = Pad()
    for column, (left, wide) in enumerate(_places(table, width)):
        words = line.cells[column]
        if column in table.ringed and words[0]:
            half, _ = ring_size(words[0], SIZE)
            pad.add(ring(left + half, 2.3, words[0], SIZE))
            continue
        is_right = column in table.right
        drop = 0.7 if table.ringed and any(line.cells[one][0] for one in table.ringed) else 0.0
        for number, text in enumerate(words):
            y = drop + _LEAD * (number + 0.82)
            pad.text(left + wide if is_right else left, y, text, SIZE, "end" if is_right else "start")
    pad.line((0, line.height - 0.3), (width, line.height - 0.3), pen=Pen(0.12))
    return pad.shapes


def _places(table: Table, width: float) -> list[tuple[float, float]]:
    found = []
    left = 0.0
    for wide in table.columns(width):
        found.append((left, wide))
        left += wide + _GAP
    return found
