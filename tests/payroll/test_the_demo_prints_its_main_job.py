"""The demo contractor from wall to cost, as `make demo` prints it, with its papers."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from pypdf import PdfReader


@pytest.mark.django_db
def test_pieces_order_pay_reasons_and_cost_are_printed_and_papers_written(tmp_path: Path):
    call_command("demo_load", stdout=io.StringIO(), stderr=io.StringIO())
    out = io.StringIO()
    call_command("demo_report", folder=tmp_path, stdout=out)
    said = out.getvalue()
    for part in (
        "48 walls",
        "To order",
        "All statements",
        "overtime premium",
        "odd cents go where rounding down cost most",
        "29 CFR 778.111",
        "LABOUR COST PER SQ FT",
    ):
        assert part in said
    for paper in ("statement.pdf", "weekly-report.pdf"):
        assert len(PdfReader(tmp_path / paper).pages) >= 1
    assert (tmp_path / "weekly-chart.svg").read_bytes().startswith(b"<?xml")


@pytest.mark.django_db
def test_without_the_demo_it_says_what_to_run(tmp_path: Path):
    with pytest.raises(CommandError, match=r"Run `manage.py demo_load` first"):
        call_command("demo_report", folder=tmp_path, stdout=io.StringIO())
