"""Sheets of paper in the filling: drawings side by side and below one another, lists that break over, title blocks."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from framing.drawing.lettering import MM_PER_POINT, clipped, span, wrap
from framing.drawing.paper import MARGIN
from framing.drawing.safety import FOOT
from framing.drawing.shapes import FINE_LINE, LINE, Drawing, Pad, Shape
from framing.drawing.table import Table, draw_head, draw_line, head_height, lines_of

FOOT_HEIGHT = 11.0
_BETWEEN = 4.0


@dataclass(slots=True)
class Sheet:
    """One sheet: its size, what is on it, and what its title block says."""

    size: tuple[float, float]
    title: str
    told: list[str] = field(default_factory=list)
    pad: Pad = field(default_factory=Pad)

    @property
    def width(self) -> float:
        return self.size[0] - 2 * MARGIN

    @property
    def height(self) -> float:
        """Room for contents, mm."""
        return self.size[1] - 2 * MARGIN - FOOT_HEIGHT - 2.0


class Filling:
    """Fills sheet after sheet of one size. `title` goes into the title blocks of the sheets begun from then on."""

    def __init__(self, size: tuple[float, float], title: str) -> None:
        self.size = size
        self.title = title
        self.sheets: list[Sheet] = []
        self.y = 0.0
        self._row: list[Drawing] = []
        self.begin()

    def begin(self, size: tuple[float, float] | None = None) -> None:
        """A new sheet."""
        self._set_row()
        self.sheets.append(Sheet(size or self.size, self.title))
        self.y = 0.0

    @property
    def sheet(self) -> Sheet:
        return self.sheets[-1]

    @property
    def width(self) -> float:
        return self.size[0] - 2 * MARGIN

    def room(self, height: float) -> None:
        """Begin a new sheet unless `height` mm are left on this one."""
        self._set_row()
        if self.y and self.y + height > self.sheet.height:
            self.begin()

    def beside(self, drawing: Drawing) -> None:
        """Put a drawing to the right of the one before, or below where there is no room."""
        used = sum(one.width + _BETWEEN for one in self._row)
        if self._row and used + drawing.width > self.width:
            self._set_row()
        self._row.append(drawing)

    def below(self, drawing: Drawing, gap: float = _BETWEEN) -> None:
        self.room(drawing.height)
        self._put(drawing, 0.0)
        self.y += drawing.height + gap

    def _set_row(self) -> None:
        row, self._row = self._row, []
        if not row:
            return
        tall = max(one.height for one in row)
        if self.y and self.y + tall > self.sheet.height:
            self.begin()
        left = 0.0
        for one in row:
            self._put(one, left)
            left += one.width + _BETWEEN
        self.y += tall + _BETWEEN

    def _put(self, drawing: Drawing, left: float) -> None:
        self.sheet.pad.add(drawing.shapes, MARGIN + left, MARGIN + self.y)
        if drawing.told and (not self.sheet.told or self.sheet.told[-1] != drawing.told):
            self.sheet.told.append(drawing.told)

    def text(self, words: str, size: float = 7.5, *, bold: bool = False, indent: float = 0.0, gap: float = 1.2) -> None:
        """Words broken over the width, each line where there is room for it."""
        lead = size * MM_PER_POINT * 1.3
        for line in wrap(words, self.width - indent, size, is_bold=bold):
            self.room(lead)
            self.y += lead
            self.sheet.pad.text(MARGIN + indent, MARGIN + self.y - lead * 0.24, line, size, bold=bold)
        self.y += gap

    def rule(self) -> None:
        self._set_row()
        y = MARGIN + self.y
        self.sheet.pad.line((MARGIN, y), (MARGIN + self.width, y))
        self.y += 2.0

    def table(self, table: Table) -> None:
        """A table; its head stands again on each sheet that it runs on to."""
        lines = lines_of(table, self.width)
        top = head_height(table)
        self.room(top + sum(line.height for line in lines[:2]))
        is_again = False
        self._head(table, again=False)
        for line in lines:
            if self.y + line.height > self.sheet.height:
                self.begin()
                is_again = True
                self._head(table, again=is_again)
            self.sheet.pad.add(draw_line(table, line, self.width), MARGIN, MARGIN + self.y)
            self.y += line.height
        self.y += _BETWEEN

    def _head(self, table: Table, *, again: bool) -> None:
        self._set_row()
        self.sheet.pad.add(draw_head(table, self.width, again=again), MARGIN, MARGIN + self.y)
        self.y += head_height(table)

    def done(self) -> list[Sheet]:
        self._set_row()
        return self.sheets


def finished(sheets: Sequence[Sheet], name: Callable[[int], str], plan: str, level: str) -> list[Drawing]:
    """Every sheet with its title block: plan, level, what is on it, its number of how many, and what comes first."""
    found = []
    for number, sheet in enumerate(sheets, 1):
        block = _title_block(sheet, plan, level, f"{number} of {len(sheets)}")
        told = f"Sheet {number} of {len(sheets)} of {plan or 'a plan without a name'}, {level}. " + " ".join(sheet.told)
        shapes = (*sheet.pad.shapes, *block)
        found.append(Drawing(name(number), f"{number}  {sheet.title}", told.strip(), *sheet.size, shapes))
    return found


def _title_block(sheet: Sheet, plan: str, level: str, number: str) -> list[Shape]:
    pad = Pad()
    width, height = sheet.size
    top = height - MARGIN - FOOT_HEIGHT
    left, right = MARGIN, width - MARGIN
    pad.line((left, top), (right, top), pen=LINE)
    pad.line((left, top + 0.8), (right, top + 0.8), pen=FINE_LINE)
    third = (right - left) * 0.3
    pad.text(left, top + 5.2, clipped(plan or "plan without a name", third - 3, 8.5, is_bold=True), 8.5, bold=True)
    pad.text(left, top + 9.2, clipped(level, third - 3, 7.5), 7.5)
    middle = left + third
    pad.line((middle - 1.5, top + 2.2), (middle - 1.5, top + 10))
    pad.text(middle + 1, top + 5.2, clipped(sheet.title, third - 3, 8.5, is_bold=True), 8.5, bold=True)
    pad.text(middle + 1, top + 9.2, "Crew book", 7.5)
    last = middle + third
    pad.line((last - 1.5, top + 2.2), (last - 1.5, top + 10))
    numbered = f"sheet {number}"
    room = right - last - span(numbered, 9, is_bold=True) - 6
    for index, line in enumerate(wrap(FOOT, room, 6)[:3]):
        pad.text(last + 1, top + 4.2 + index * 2.7, line, 6)
    pad.text(right, top + 5.2, numbered, 9, "end", bold=True)
    return pad.shapes
