"""Price a typed week: `python manage.py priceweek WEEK.json [--json]`. Needs no database."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any, NoReturn

from django.core.management.base import BaseCommand

from payroll.law import WeekMistakes, as_json, as_text, price, read_week

MISTAKES_EXIT = 2


class Command(BaseCommand):
    """Prints a statement to follow by hand, or its JSON; on a mistake prints none and exits with 2."""

    help = "Price one worker's typed workweek and show every line with its rule and its sum. Needs no database."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "week", metavar="WEEK.json", help='a week file, format "piecewall week 1"; - reads standard input'
        )
        parser.add_argument("--json", action="store_true", help="print the priced week as one JSON object")

    def handle(self, *args: Any, **options: Any) -> None:
        name: str = options["week"]
        try:
            week = read_week(sys.stdin.buffer.read() if name == "-" else Path(name))
            priced = price(week)
        except WeekMistakes as wrong:
            self._refuse(name, wrong.mistakes, options["json"])
        except OSError as closed:
            reason = f"cannot be read: {closed.strerror}. Check the path, or use - for standard input."
            self._refuse(name, (reason,), options["json"])
        self.stdout.write(
            json.dumps(as_json(priced), ensure_ascii=False, indent=2) if options["json"] else as_text(week, priced)
        )

    def _refuse(self, name: str, mistakes: tuple[str, ...], in_json: bool) -> NoReturn:
        """Say all that is wrong on standard error and leave with 2; standard output stays empty."""
        if in_json:
            problem = {"title": "The week cannot be priced", "instance": name, "mistakes": list(mistakes)}
            self.stderr.write(json.dumps(problem, ensure_ascii=False, indent=2))
        else:
            count = "1 mistake" if len(mistakes) == 1 else f"{len(mistakes)} mistakes"
            self.stderr.write(f"{name}: {count}, nothing was priced.")
            for sentence in mistakes:
                self.stderr.write(f"  - {sentence}")
        sys.exit(MISTAKES_EXIT)
