"""SVG files: valid XML, true to size, black on white, the same bytes each time, whatever the names."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from framing.drawing.crew_book import book_sheets
from framing.drawing.lettering import parts, say, say_inches
from framing.drawing.shapes import Drawing, Pad
from framing.drawing.svg import svg
from framing.drawing.wall_sheet import elevations
from framing.length import TICKS_PER_MM, inch
from tests.framing.drawing.drawn import DEMO, ODD_NAME, PLANS, drawn, parsed, texts

SVG = "{http://www.w3.org/2000/svg}"
PROJECT = Path(__file__).resolve().parents[3]


@pytest.mark.parametrize("plan", PLANS)
def test_every_sheet_is_valid_and_says_what_it_shows(plan: str):
    for sheet in book_sheets(drawn(plan)):
        root = parsed(svg(sheet))
        assert root.tag == f"{SVG}svg"
        title, told = root[0], root[1]
        assert (title.tag, told.tag) == (f"{SVG}title", f"{SVG}desc")
        assert title.text
        assert told.text
        assert root.get("role") == "img"
        assert root.get("aria-labelledby") == f"{title.get('id')} {told.get('id')}"


def test_a_drawing_is_as_large_as_it_says():
    drawing = next(elevations(drawn("room").walls[0], drawn("room")))
    root = parsed(svg(drawing))
    width, height = root.get("width"), root.get("height")
    assert root.get("viewBox") == f"0 0 {width.removesuffix('mm')} {height.removesuffix('mm')}"


@pytest.mark.parametrize("plan", PLANS)
def test_words_come_out_as_they_went_in(plan: str):
    for sheet in book_sheets(drawn(plan)):
        root = parsed(svg(sheet))
        drawn_words = ["".join(one.itertext()) for one in root.iter(f"{SVG}text")]
        assert drawn_words == [text.words for text, _, _ in texts(sheet)]


def test_only_black_and_white():
    for sheet in book_sheets(drawn("demo")):
        assert set(re.findall(r'(?:fill|stroke)="(#[^"]*)"', svg(sheet))) <= {"#000", "#fff"}
        weights = {float(weight) for weight in re.findall(r'stroke-width="([^"]*)"', svg(sheet))}
        assert min(weights) >= 0.12
        assert len(weights) <= 7


def test_odd_names_are_escaped_not_lost():
    level = drawn("slants")
    text = "".join(svg(sheet) for sheet in book_sheets(level))
    assert "<7>" not in text
    assert "&lt;7&gt; &amp; " in text
    said = " ".join(word for sheet in book_sheets(level) for one, _, _ in texts(sheet) for word in [one.words])
    assert ODD_NAME in said


def test_characters_that_no_document_may_hold_are_replaced():
    pad = Pad()
    pad.text(1, 1, "a\x00b\x1bc\ud800d")
    drawing = Drawing("x", "t\x07", "d\ufffe", 10, 10, tuple(pad.shapes))
    root = parsed(svg(drawing))
    assert "".join(root[-1].itertext()) == "a\ufffdb\ufffdc\ufffdd"
    assert root[0].text == "t\ufffd"


def test_bytes_do_not_depend_on_the_run():
    made = """
import hashlib, sys
from framing.readers import read_plan
from framing.count import count_level
from framing.drawing.drawn import level_drawn
from framing.drawing.crew_book import book_pdf, book_sheets
from framing.drawing.svg import svg
plan = read_plan(sys.argv[1])
level = level_drawn(plan, count_level(plan.levels[0], plan.practice))
sheets = book_sheets(level)[:12]
print(hashlib.sha256("".join(map(svg, sheets)).encode() + book_pdf(level, sheets)).hexdigest())
"""
    digests = {
        subprocess.run(
            [sys.executable, "-c", made, str(DEMO)],
            check=True,
            cwd=PROJECT,
            env={"PYTHONHASHSEED": seed, "PATH": ""},
            capture_output=True,
            text=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(digests) == 1
    assert digests.pop().strip()


def test_drawing_needs_no_pdf_library():
    made = "import sys, framing.drawing.crew_book, framing.drawing.svg; assert 'reportlab' not in sys.modules"
    done = subprocess.run([sys.executable, "-c", made], check=False, cwd=PROJECT, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr


@pytest.mark.parametrize(
    ("words", "small"),
    [
        ('4 1/4"', ["1", "4"]),
        ("10'-1 13/16\"", ["13", "16"]),
        ('5/8"', ["5", "8"]),
        ("no fraction", []),
        ("06/07/2026", []),
        ('tab 3 5/8" and 4 1/4"', ["5", "8", "1", "4"]),
    ],
)
def test_fractions_are_set_as_fractions(words: str, small: list[str]):
    found = parts(words)
    assert "".join(part.words for part in found) == words
    assert [part.words for part in found if part.size == 0.64] == small


@pytest.mark.parametrize(
    ("length", "feet", "inches"),
    [
        (inch(121, 13, 16), "10'-1 13/16\"", '121 13/16"'),
        (inch(12), "1'-0\"", '12"'),
        (inch(0, 5, 8), '5/8"', '5/8"'),
        (0, '0"', '0"'),
        (-inch(0, 3, 8), '-3/8"', '-3/8"'),
        (inch(-13, -1, 2), "-1'-1 1/2\"", '-13 1/2"'),
        (inch(7, 1, 1024), '~7"', '~7"'),
        (inch(7, 33, 1024), '~7 1/16"', '~7 1/16"'),  # 33/1024 is just over 1/32, half of 1/16
    ],
)
def test_lengths_in_words(length: int, feet: str, inches: str):
    assert say(length) == feet
    assert say_inches(length) == inches


def test_metric_lengths_in_words():
    assert say(2700 * TICKS_PER_MM, is_metric=True) == "2700 mm"
    assert say(inch(1), is_metric=True) == "25.4 mm"
    assert say(inch(3, 5, 8), is_metric=True) == "~92.1 mm"  # 92.075
