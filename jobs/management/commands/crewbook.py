"""Draw a plan's crew books: for each level its sheets as SVG files and one PDF. Needs no database."""

from __future__ import annotations

import re
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from framing.count import count_level
from framing.drawing.crew_book import book_pdf, book_sheets, file_name
from framing.drawing.drawn import level_drawn
from framing.drawing.svg import svg
from framing.pieces import Caution
from framing.plan import Plan, PlanMistakes
from framing.readers import is_model, read_plan

EXIT_BAD_INPUT = 2


class Command(BaseCommand):
    help = (
        "Draw the crew book of every level of a plan: plan, details of junctions, and for each wall its elevations, "
        "cut cards and lists, as SVG files and one PDF a level. Needs no database."
    )
    requires_system_checks = ()
    requires_migrations_checks = False

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "plan", metavar="PLAN", help="plan file in JSON, folder with the two CSV files, .ifc or .dxf"
        )
        parser.add_argument("--out", metavar="FOLDER", required=True, help="folder to write to; made if there is none")
        parser.add_argument("--level", metavar="NAME", help="only the level of this name")
        parser.add_argument("--types", metavar="FILE", help="which walls of a model or drawing are which of our types")
        parser.add_argument("--pdf-only", action="store_true", help="write no SVG files")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["types"] and not is_model(options["plan"]):
            raise CommandError("--types is for models (.ifc) and drawings (.dxf).", returncode=EXIT_BAD_INPUT)
        try:
            plan, also, left_out = self._read(options)
        except PlanMistakes as mistakes:
            for sentence in mistakes.mistakes:
                self.stderr.write(sentence)
            number = len(mistakes.mistakes)
            self.stderr.write(f"{number} {'mistake' if number == 1 else 'mistakes'}; nothing was drawn.")
            sys.exit(EXIT_BAD_INPUT)
        if options["level"] and options["level"] not in {level.name for level in plan.levels}:
            names = ", ".join(level.name for level in plan.levels)
            raise CommandError(
                f"level {options['level']!r} is not in this plan. It has: {names}.", returncode=EXIT_BAD_INPUT
            )
        try:
            for sentence in self._draw(plan, also, Path(options["out"]), options):
                self.stdout.write(sentence)
        except OSError as error:
            raise CommandError(
                f"--out {options['out']}: cannot be written to ({error.strerror}). Name a folder that you may write to."
            ) from error
        if left_out or not plan.levels:
            self.stdout.write(
                f"Not drawn: {left_out} elements that were not taken. takeoff lists each with its reason."
            )

    def _read(self, options: dict[str, Any]) -> tuple[Plan, dict[str, list[Caution]], int]:
        """The plan; cautions of the file by level; how many elements of the file were not taken."""
        if not is_model(options["plan"]):
            return read_plan(options["plan"]), {}, 0
        from framing.readers.models import read_model

        model = read_model(options["plan"], options["types"])
        whole = model.cautions.get("", ())
        also = {level.name: [*whole, *model.cautions.get(level.name, ())] for level in model.plan.levels}
        return model.plan, also, len(model.left_out)

    def _draw(self, plan: Plan, also: dict[str, list[Caution]], out: Path, options: dict[str, Any]) -> Iterator[str]:
        taken: set[str] = set()
        counted = [count_level(level, plan.practice) for level in plan.levels]
        for level, count in zip(plan.levels, counted, strict=True):
            folder = out / _folder(level.name, taken)
            if options["level"] and level.name != options["level"]:
                continue
            start = time.monotonic()
            drawn = level_drawn(plan, count, also.get(level.name, ()), levels=counted)
            sheets = book_sheets(drawn)
            folder.mkdir(parents=True, exist_ok=True)
            for old in folder.glob("sheet-*.svg"):  # of a book with more sheets
                old.unlink()
            for sheet in () if options["pdf_only"] else sheets:
                (folder / f"{file_name(sheet)}.svg").write_text(svg(sheet), encoding="utf-8")
            (folder / "crew-book.pdf").write_bytes(book_pdf(drawn, sheets))
            took = time.monotonic() - start
            yield f"{level.name}: {len(level.walls)} walls, {len(sheets)} sheets in {took:.1f} s: {folder}"


def _folder(name: str, taken: set[str]) -> str:
    """A plain folder name that no other level of the plan has."""
    plain = re.sub(r"[^A-Za-z0-9]+", "-", name).strip("-").lower() or "level"
    found, number = plain, 1
    while found in taken:
        number += 1
        found = f"{plain}-{number}"
    taken.add(found)
    return found
