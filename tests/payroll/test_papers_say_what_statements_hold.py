"""The printed statement and report: every figure of the record is on them, and the same figures give the same bytes."""

from __future__ import annotations

import io
import os
import re
import subprocess
import sys
from dataclasses import replace
from datetime import timedelta

import pytest
import segno
from django.db import transaction
from pypdf import PdfReader

from payroll.models import Statement
from payroll.reports.figures import StatementFigures
from payroll.reports.statement_pdf import statement_pdf
from payroll.selectors.statements import statement_detail
from tests.payroll.world import MONDAY, make_world
from tests.support.processes import PROJECT


def words_on(pdf: bytes) -> str:
    return " ".join(" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf)).pages)


@pytest.fixture
def figures(db: None) -> StatementFigures:
    world = make_world()
    person = world.person("Paper Reader")
    world.rate("BOARD", "0.40")
    world.time_rate("waiting", "8.00")
    unit = world.unit("BOARD", face="left", layer=1)
    for day in range(5):
        world.entry(unit, "245.5", person, on=MONDAY + timedelta(days=day))
        world.hours(person, "9.25", on=MONDAY + timedelta(days=day))
    world.hours(person, "2", "waiting")
    world.close()
    with transaction.atomic(), world.scope():
        return statement_detail(actor=world.owner, statement=Statement.objects.get().pk).figures


def test_every_figure_and_reason_is_on_the_paper(figures: StatementFigures):
    text = words_on(statement_pdf(figures))
    for said in ("Statement of pay", "Paper Reader", "2 November 2026 to 8 November 2026", "hang board", "1,227.5"):
        assert said in text
    for line in figures.lines:
        assert f"{line.amount:,.2f}" in text
        for reason in line.because:
            assert " ".join(reason.sentence.split())[:60] in text
    assert text.count("W-1 left, layer 1") == 5
    assert f"${figures.gross:,.2f}" in text
    assert figures.digest in text
    assert "Not legal or tax advice" in text
    assert "Page 1 of 1" in text or "Page 1 of 2" in text


def test_the_same_figures_give_the_same_bytes(figures: StatementFigures):
    assert statement_pdf(figures) == statement_pdf(figures)
    assert statement_pdf(replace(figures, person="Somebody Else")) != statement_pdf(figures)


def test_a_name_beyond_latin_1_is_printed_whole(figures: StatementFigures):
    text = words_on(statement_pdf(replace(figures, person="Żaneta Łęcka")))
    assert "Żaneta Łęcka" in text


def test_a_long_statement_breaks_between_rows_and_numbers_its_pages(figures: StatementFigures):
    line = figures.lines[0]
    long = replace(figures, lines=(replace(line, work=line.work * 80), *figures.lines[1:]))
    reader = PdfReader(io.BytesIO(statement_pdf(long)))
    assert len(reader.pages) > 2
    for number, page in enumerate(reader.pages, start=1):
        assert f"Page {number} of {len(reader.pages)}" in page.extract_text()


def test_the_site_prints_statements_without_loading_the_chart_library():
    program = (
        "import sys, django; django.setup()\n"
        "import payroll.tasks, payroll.services.reports, payroll.selectors.statements, payroll.reports.statement_pdf\n"
        "import payroll.reports.weekly_pdf\n"
        "assert 'matplotlib' not in sys.modules"
    )
    environment = {"DJANGO_SETTINGS_MODULE": "config.settings"}
    done = subprocess.run(
        [sys.executable, "-c", program],
        cwd=PROJECT,
        env=os.environ | environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr


def test_the_code_on_the_paper_is_the_one_of_its_address(figures: StatementFigures):
    # The reference is the library that makes QR codes (ISO/IEC 18004); the paper draws its modules as runs of a path.
    content = PdfReader(io.BytesIO(statement_pdf(figures))).pages[-1].get_contents()
    assert content is not None
    runs = re.findall(rb"([\d.]+) ([\d.]+) ([\d.]+) ([\d.]+) re", content.get_data())
    boxes = [tuple(float(part) for part in run) for run in runs]
    each = boxes[0][3]
    left, top = min(box[0] for box in boxes), max(box[1] for box in boxes)
    drawn = set()
    for x, y, width, _ in boxes:
        row, column = round((top - y) / each), round((x - left) / each)
        drawn |= {(row, column + step) for step in range(round(width / each))}
    code = segno.make(figures.check_address, error="m", micro=False, boost_error=False)
    assert drawn == {(y, x) for y, row in enumerate(code.matrix) for x, dark in enumerate(row) if dark}
    assert figures.check_address.endswith(f"/check/{figures.digest}/")
