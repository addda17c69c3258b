"""Drawings as the pages of a PDF, from the same shapes as the SVG: no date, no random id, the same bytes each time.

reportlab is imported when a file is written, not before. The standard faces hold Latin letters; a text with others is
set in DejaVu Sans, whose files lie beside matplotlib (which is not imported), squeezed to the room it was given.
"""

from __future__ import annotations

import importlib.util
import io
from collections.abc import Iterable, Sequence
from functools import lru_cache
from pathlib import Path as FilePath
from typing import Any

from framing.drawing.lettering import MM_PER_POINT, parts, span
from framing.drawing.shapes import Circle, Drawing, Group, Path, Pen, Shape, Spot, Text

_POINTS_PER_MM = 72 / 25.4
_FACES = {False: "Helvetica", True: "Helvetica-Bold"}
_WIDE = {False: "DejaVuSans", True: "DejaVuSans-Bold"}


def pdf(pages: Iterable[Drawing], *, title: str) -> bytes:
    """The drawings as pages of their own sizes, with an outline of their titles."""
    from reportlab.pdfgen.canvas import Canvas

    buffer = io.BytesIO()
    canvas = Canvas(buffer, pagesize=(1, 1), invariant=1, pageCompression=1)
    canvas.setTitle(title)
    canvas.setCreator("Piecewall")
    for number, page in enumerate(pages):
        canvas.setPageSize((page.width * _POINTS_PER_MM, page.height * _POINTS_PER_MM))
        key = f"page-{number}"
        canvas.bookmarkPage(key)
        canvas.addOutlineEntry(page.title, key, 0)
        _Page(canvas, page.height).draw(page.shapes, Spot(0.0, 0.0))
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


@lru_cache(maxsize=1)
def _wide_faces() -> dict[bool, str]:
    """Register the faces with letters beyond Latin 1; where their files are missing the standard ones serve."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    spec = importlib.util.find_spec("matplotlib")
    if spec is None or not spec.submodule_search_locations:
        return _FACES
    folder = FilePath(spec.submodule_search_locations[0]) / "mpl-data" / "fonts" / "ttf"
    for name in _WIDE.values():
        pdfmetrics.registerFont(TTFont(name, str(folder / f"{name}.ttf")))
    return _WIDE


class _Page:
    """Puts shapes on one page; remembers pen and dash so that only changes are written."""

    def __init__(self, canvas: Any, height: float) -> None:
        self.canvas = canvas
        self.height = height
        self.pen: Pen | None = None
        canvas.setLineCap(0)
        canvas.setLineJoin(0)

    def draw(self, shapes: Sequence[Shape], by: Spot) -> None:
        for shape in shapes:
            if isinstance(shape, Group):
                self.draw(shape.shapes, Spot(by.x + shape.by.x, by.y + shape.by.y))
            elif isinstance(shape, Path):
                self._path(shape, by)
            elif isinstance(shape, Circle):
                self._paint(shape.pen, shape.fill)
                self.canvas.circle(
                    *self._spot(shape.middle, by),
                    shape.radius * _POINTS_PER_MM,
                    stroke=int(shape.pen is not None),
                    fill=int(bool(shape.fill)),
                )
            else:
                self._text(shape, by)

    def _spot(self, spot: Spot, by: Spot) -> tuple[float, float]:
        return (spot.x + by.x) * _POINTS_PER_MM, (self.height - spot.y - by.y) * _POINTS_PER_MM

    def _paint(self, pen: Pen | None, fill: str) -> None:
        if pen is not None and pen != self.pen:
            self.canvas.setLineWidth(pen.width * _POINTS_PER_MM)
            self.canvas.setDash([part * _POINTS_PER_MM for part in pen.dash] or [])
            self.pen = pen
        if fill:
            self.canvas.setFillGray(1 if fill == "white" else 0)

    def _path(self, path: Path, by: Spot) -> None:
        self._paint(path.pen, path.fill)
        line = self.canvas.beginPath()
        line.moveTo(*self._spot(path.spots[0], by))
        for spot in path.spots[1:]:
            line.lineTo(*self._spot(spot, by))
        if path.is_closed:
            line.close()
        self.canvas.drawPath(line, stroke=int(path.pen is not None), fill=int(bool(path.fill)))

    def _text(self, text: Text, by: Spot) -> None:
        canvas = self.canvas
        width = span(text.words, text.size, is_bold=text.is_bold)
        left = {"start": 0.0, "middle": -width / 2, "end": -width}[text.anchor] * _POINTS_PER_MM
        face, squeeze = self._face(text, width)
        canvas.setFillGray(1 if text.is_white else 0)
        if text.turn:
            canvas.saveState()
            canvas.translate(*self._spot(text.at, by))
            canvas.rotate(text.turn)
            line = canvas.beginText(left, 0)
        else:
            x, y = self._spot(text.at, by)
            line = canvas.beginText(x + left, y)
        if squeeze != 100:
            line.setHorizScale(squeeze)
        for part in parts(text.words):
            line.setFont(face, text.size * part.size)
            line.setRise(text.size * part.rise)
            line.textOut(part.words)
        if squeeze != 100:
            line.setHorizScale(100)
        canvas.drawText(line)
        if text.turn:
            canvas.restoreState()

    def _face(self, text: Text, width: float) -> tuple[str, float]:
        """The face that has the letters, and how far it is squeezed (percent) to keep within their measured width."""
        try:
            text.words.encode("cp1252")
        except UnicodeEncodeError:
            from reportlab.pdfbase.pdfmetrics import stringWidth

            face = _wide_faces()[text.is_bold]
            taken = sum(stringWidth(part.words, face, text.size * part.size) for part in parts(text.words))
            return face, min(100.0, 100 * width / MM_PER_POINT / taken) if taken else 100.0
        return _FACES[text.is_bold], 100
