"""A page to draw on: a cursor that runs down, breaks between lines, page numbers, and bytes of the drawing alone."""

from __future__ import annotations

import importlib.util
import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import groupby
from pathlib import Path
from typing import Any, Literal

from reportlab import rl_config
from reportlab.lib.colors import HexColor, black
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.utils import ImageReader
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

# Pages are packed as they are: written out in letters besides, they would be a quarter longer and slower.
rl_config.useA85 = 0

MARGIN = 54.0
TOP = 40.0
FOOT = 54.0
Align = Literal["left", "right"]


@dataclass(frozen=True, slots=True)
class Faces:
    """The three cuts of type on a paper. Figures of every one have the same width."""

    regular: str
    bold: str
    italic: str


STANDARD = Faces("Helvetica", "Helvetica-Bold", "Helvetica-Oblique")


@lru_cache(maxsize=1)
def _wide_faces() -> Faces:
    """Faces with letters beyond Latin 1, embedded. Their files lie beside matplotlib, which is not imported for it."""
    spec = importlib.util.find_spec("matplotlib")
    if spec is None or not spec.submodule_search_locations:
        raise FileNotFoundError(
            "no typeface with letters beyond Latin 1 is installed: install matplotlib, whose DejaVu files are used."
        )
    folder = Path(spec.submodule_search_locations[0]) / "mpl-data" / "fonts" / "ttf"
    for name in ("DejaVuSans", "DejaVuSans-Bold", "DejaVuSans-Oblique"):
        pdfmetrics.registerFont(TTFont(name, str(folder / f"{name}.ttf")))
    return Faces("DejaVuSans", "DejaVuSans-Bold", "DejaVuSans-Oblique")


def faces_for(text: str) -> Faces:
    """The standard faces where they hold every letter of `text`, else the wide ones for the whole paper."""
    try:
        text.encode("cp1252")
    except UnicodeEncodeError:
        return _wide_faces()
    return STANDARD


@lru_cache(maxsize=65536)
def _width(words: str, font: str) -> float:
    """Width at one point of size; statements say the same words over and over."""
    return float(pdfmetrics.stringWidth(words, font, 1.0))


class _Numbered(Canvas):
    """A canvas that keeps its pages until the last, so that each can say how many there are."""

    def __init__(self, *args: Any, foot: Callable[[Canvas, int, int], None], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._foot = foot
        self._kept: list[dict[str, Any]] = []

    def showPage(self) -> None:
        self._kept.append(dict(self.__dict__))
        self._startPage()

    def save(self) -> None:
        kept = self._kept
        for number, state in enumerate(kept, start=1):
            self.__dict__.update(state)
            self._foot(self, number, len(kept))
            super().showPage()
        super().save()


class Sheet:
    """Draws downwards from the top margin. Lengths in points; x runs from the left margin.

    `again` is called at the top of each following page to repeat a heading. The same calls give the same bytes: no
    date, no random id.
    """

    def __init__(
        self,
        *,
        title: str,
        author: str,
        faces: Faces,
        metric: bool,
        foot: Callable[[Canvas, int, int], None],
        language: str = "en",
    ) -> None:
        self.page_width, self.page_height = A4 if metric else LETTER
        self.width = self.page_width - 2 * MARGIN
        self.faces = faces
        self.again: Callable[[], None] | None = None
        self._buffer = io.BytesIO()
        self._canvas = _Numbered(
            self._buffer, pagesize=(self.page_width, self.page_height), lang=language, invariant=1, foot=foot
        )
        self._canvas.setTitle(title)
        self._canvas.setAuthor(author)
        self._canvas.setCreator("Piecewall")
        self.y = self.page_height - TOP

    def room(self, height: float) -> None:
        """Begin a new page unless `height` points are left on this one."""
        if self.y - height >= FOOT:
            return
        self._canvas.showPage()
        self.y = self.page_height - TOP
        if self.again:
            self.again()

    def down(self, height: float) -> None:
        self.y -= height

    def text(self, x: float, words: str, size: float = 9.0, face: str = "regular", align: Align = "left") -> None:
        """Set one line of type with its baseline at the cursor. `x` is its left edge, or right one if so aligned."""
        font = getattr(self.faces, face)
        self._canvas.setFont(font, size)
        if align == "right":
            self._canvas.drawRightString(MARGIN + x, self.y, words)
        else:
            self._canvas.drawString(MARGIN + x, self.y, words)

    def span(self, words: str, size: float, face: str = "regular") -> float:
        """Width of `words` in points."""
        return _width(words, getattr(self.faces, face)) * size

    def fitting(self, words: str, width: float, size: float, face: str = "regular", least: float = 4.5) -> float:
        """The size at which `words` stand within `width`: `size` if they do, smaller else, never below `least`."""
        wide = self.span(words, size, face)
        return size if wide <= width else max(least, size * width / wide)

    def wrap(self, words: str, width: float, size: float, face: str = "regular") -> list[str]:
        """Break `words` into lines no wider than `width`; one word longer than that keeps a line of its own."""
        lines: list[list[str]] = []
        space, used = self.span(" ", size, face), 0.0
        for word in words.split(" "):
            wide = self.span(word, size, face)
            if lines and used + space + wide <= width:
                lines[-1].append(word)
                used += space + wide
            else:
                lines.append([word])
                used = wide
        return [" ".join(line) for line in lines]

    def paragraph(
        self, x: float, words: str, width: float, size: float = 7.5, face: str = "regular", lead: float = 1.3
    ) -> None:
        """Set wrapped lines below the cursor and leave it under the last; breaks to a new page between lines."""
        for line in self.wrap(words, width, size, face):
            self.room(size * lead)
            self.down(size * lead)
            self.text(x, line, size, face)

    def rule(self, weight: float = 0.4, x: float = 0.0, width: float | None = None, colour: str | None = None) -> None:
        """A thin line at the cursor, across the sheet unless told otherwise."""
        self._canvas.setStrokeColor(HexColor(colour) if colour else black)
        self._canvas.setLineWidth(weight)
        end = self.width if width is None else x + width
        self._canvas.line(MARGIN + x, self.y, MARGIN + end, self.y)
        self._canvas.setStrokeColor(black)

    def dots(self, matrix: Sequence[Sequence[int]], x: float, size: float) -> None:
        """A square of dark and light modules, `size` points a side, its lower left corner at `x` and the cursor."""
        each = size / len(matrix)
        left, top = MARGIN + x, self.y + size
        runs = []
        for row, modules in enumerate(matrix):
            start = 0
            for dark, run in groupby(modules):
                length = len(list(run))
                if dark:
                    corner = f"{left + start * each:.3f} {top - (row + 1) * each:.3f}"
                    runs.append(f"{corner} {length * each:.3f} {each:.3f} re")
                start += length
        # One path for all of them, in the page's own language: a call each would cost more than the rest of the page.
        self._canvas.setFillColor(black)
        self._canvas._code.append(" ".join((*runs, "f")))

    def picture(self, png: bytes, height_by_width: float) -> None:
        """A picture across the sheet below the cursor; `height_by_width` is its shape."""
        height = self.width * height_by_width
        self.room(height)
        self.down(height)
        self._canvas.drawImage(ImageReader(io.BytesIO(png)), MARGIN, self.y, self.width, height)

    def finish(self) -> bytes:
        """Close the last page and return the file."""
        self._canvas.showPage()
        self._canvas.save()
        return self._buffer.getvalue()
