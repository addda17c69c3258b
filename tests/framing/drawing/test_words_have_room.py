"""No words of a sheet run into each other or off the paper; marks too long for a ring are cut short there alone."""

from __future__ import annotations

import pytest
from shapely import Polygon, STRtree

from framing.drawing.crew_book import book_sheets
from framing.drawing.lettering import span
from framing.drawing.shapes import Box, Drawing
from framing.drawing.wall_sheet import cards, details, elevations
from tests.framing.drawing.drawn import PLANS, drawn, texts


def rooms(drawing: Drawing) -> list[tuple[str, Polygon]]:
    """The words of a drawing with the room that each fills, turned as it is, a twentieth of a mm smaller all round."""
    found = []
    for text, dx, dy in texts(drawing):
        if text.words.strip():
            polygon = Polygon([(x + dx, y + dy) for x, y in text.corners()]).buffer(-0.05)
            found.append((text.words, polygon))
    return found


def runs_into(drawing: Drawing) -> list[tuple[str, str]]:
    own = rooms(drawing)
    tree = STRtree([polygon for _, polygon in own])
    one, two = tree.query([polygon for _, polygon in own], predicate="intersects")
    return [(own[a][0], own[b][0]) for a, b in zip(one, two, strict=True) if a < b]


@pytest.mark.parametrize("plan", PLANS)
def test_no_words_run_into_others_in_the_whole_book(plan: str):
    for sheet in book_sheets(drawn(plan)):
        assert runs_into(sheet) == [], sheet.title


@pytest.mark.parametrize("plan", PLANS)
def test_no_words_run_off_the_sheet(plan: str):
    for sheet in book_sheets(drawn(plan)):
        paper = Box(0, 0, sheet.width, sheet.height)
        for text, dx, dy in texts(sheet):
            assert paper.holds(text.box().moved(dx, dy)), (sheet.title, text.words)


@pytest.mark.parametrize("plan", PLANS)
def test_no_words_run_off_a_drawing_of_its_own(plan: str):
    level = drawn(plan)
    for wall in level.walls[:6]:
        for drawing in (*elevations(wall, level), *details(wall, level), *cards(wall, level)):
            paper = Box(-0.01, 0, drawing.width + 0.01, drawing.height + 0.5)
            for text, dx, dy in texts(drawing):
                assert paper.holds(text.box().moved(dx, dy)), (drawing.title, text.words)


def test_letters_are_large_enough_to_read():
    # 4 1/2 pt for the L and R on a flange, 6 and more for all else.
    sizes = {text.size for sheet in book_sheets(drawn("demo")) for text, _, _ in texts(sheet) if len(text.words) > 1}
    assert min(sizes) >= 5.5


@pytest.mark.parametrize("is_bold", [False, True])
def test_widths_are_those_of_the_standard_faces(is_bold: bool):
    # Reference library: reportlab's own tables of the Adobe Core 14 metrics.
    from reportlab.pdfbase.pdfmetrics import stringWidth

    face = "Helvetica-Bold" if is_bold else "Helvetica"
    for words in ("The quick brown fox, 12'-3\" @ 16 o.c.", "WALL W-12 {~} #7", "".join(map(chr, range(32, 127)))):
        plain = words.replace("/", "")
        assert span(plain, 10, is_bold=is_bold) == pytest.approx(stringWidth(plain, face, 10) * 25.4 / 72)
