"""The crew book as a PDF: every wall with its mark and cautions, the usual notices, numbered sheets, the same bytes."""

from __future__ import annotations

import io
import re
from functools import cache

import pypdf
import pytest

from framing.drawing.crew_book import book_pdf, book_sheets
from framing.drawing.drawn import DrawnLevel
from tests.framing.drawing.drawn import PLANS, drawn, drawn_of, named, words
from tests.framing.floor import door, plan, wall, wall_type


@cache
def _pages(name: str) -> list[str]:
    return _text(book_pdf(drawn(name)))


def _text(file: bytes) -> list[str]:
    return [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(file)).pages]


def _flat(text: str) -> str:
    return re.sub(r"\s+", "", text)


@pytest.mark.parametrize("name", ["room", "door corner", "demo", "metric"])
def test_each_wall_has_its_pages_with_mark_and_cautions(name: str):
    level = drawn(name)
    pages, sheets = _pages(name), book_sheets(level)
    assert len(pages) == len(sheets)
    for one in level.walls:
        own = [page for page, sheet in zip(pages, sheets, strict=True) if sheet.title.endswith(f"  Wall {one.mark}")]
        assert own
        assert all(f"Wall {one.mark}" in page for page in own)
        whole = _flat("".join(own))
        for caution in level.cautions_of(one):
            assert _flat(caution.sentence) in whole


@pytest.mark.parametrize("name", ["room", "demo"])
def test_cautions_of_the_level_stand_in_front(name: str):
    front = _flat("".join(_pages(name)[:4]))
    for caution in drawn(name).cautions:
        assert _flat(caution.sentence) in front


def test_a_short_leg_is_cautioned_on_its_wall():
    # Clear 2 in where two 1 1/4 in flanges, the slot and a board want 3 3/4 (common practice, no source).
    level = drawn_of(
        plan(
            wall("A", (0, 0), (200, 0)),
            wall("B", (0, 0), (0, 120), openings=[door("D1", "3 13/16")]),
        )
    )
    pages = _text(book_pdf(level))
    assert any("short leg" in page and "Wall B" in page for page in pages)


@pytest.mark.parametrize(
    "notice",
    [
        "29 CFR 1926.302(e)",  # powder-actuated tools
        "29 CFR 1926.1153",  # silica
        "29 CFR 1926.1053",  # ladders
        "gloves",
        "eye protection",
        "listed design",
        "Load-bearing walls",
        "Local codes",
    ],
)
def test_the_cover_says_what_hurts_and_what_comes_first(notice: str):
    assert _flat(notice) in _flat(_pages("room")[0])


def test_every_sheet_says_plan_level_number_and_what_comes_first():
    level, pages = drawn("demo"), _pages("demo")
    for number, page in enumerate(pages, 1):
        flat = _flat(page)
        assert _flat(level.plan) in flat
        assert _flat(level.name) in flat
        assert f"sheet{number}of{len(pages)}" in flat
        assert "Fire-ratedwallsfollowtheirlisteddesign" in flat


@pytest.mark.parametrize("name", PLANS)
def test_the_contents_name_the_sheet_on_which_each_wall_begins(name: str):
    sheets = book_sheets(drawn(name))
    contents = _flat("".join(word for sheet in sheets if sheet.title.endswith("contents") for word in words(sheet)))
    for one in drawn(name).walls:
        first = next(n for n, sheet in enumerate(sheets, 1) if sheet.title.split("  ", 1)[1] == f"Wall {one.mark}")
        assert re.search(re.escape(_flat(f"{one.mark}·sheet{first}")) + r"(?!\d)", contents)


@pytest.mark.parametrize("name", PLANS)
def test_every_piece_stands_in_the_book_once(name: str):
    level = drawn(name)
    sheets = book_sheets(level)
    counts = {kind: sum(len(named(sheet, kind)) for sheet in sheets) for kind in ("sheet", "strip")}
    assert counts["sheet"] == sum(len(one.sheets) for one in level.walls)
    assert counts["strip"] == sum(len(one.track) for one in level.walls)
    steel = [
        group for sheet in sheets for group in named(sheet, "stud") if " at " in group.name and " long" in group.name
    ]
    assert len(steel) == sum(len(one.studs) for one in level.walls)


def test_the_pdf_is_the_same_each_time():
    assert book_pdf(drawn("room")) == book_pdf(drawn("room"))


def test_sheets_are_letter_or_a4_and_large_ones_for_large_plans():
    def sizes(level: DrawnLevel) -> set[tuple[float, float]]:
        reader = pypdf.PdfReader(io.BytesIO(book_pdf(level)))
        return {
            (round(page.mediabox.width / 72 * 25.4), round(page.mediabox.height / 72 * 25.4)) for page in reader.pages
        }

    assert sizes(drawn("room")) == {(279, 216)}
    assert sizes(drawn("demo")) == {(279, 216), (432, 279)}
    assert sizes(drawn("metric")) == {(297, 210)}


def test_letters_beyond_latin_one_are_in_the_pdf():
    text = "".join(_pages("slants"))
    assert "\u03a91" in text  # Greek, set in an embedded face


def test_a_wall_without_board_makes_a_book():
    bare = plan(wall("A", (0, 0), (120, 0)), types={"P1": wall_type(left=[], right=[])})
    pages = _text(book_pdf(drawn_of(bare)))
    assert any("Wall A" in page for page in pages)


def test_each_face_says_its_level_of_finish():
    made = plan(wall("A", (0, 0), (96, 0), left_finish_level=5), wall("B", (0, 200), (96, 200)))
    pages = _text(book_pdf(drawn_of(made)))
    assert [page for page in pages if "Wall A" in page and "finish level: left 5, right 4" in page]
    assert [page for page in pages if "Wall B" in page and "finish level: left 4, right 4" in page]
