"""Count a plan's walls and print the pieces. Needs no database."""

from __future__ import annotations

import json
import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from framing.plan import PlanMistakes
from framing.printed import takeoff_text
from framing.readers import is_model, read_plan
from framing.takeoff import takeoff

EXIT_BAD_INPUT = 2


class Command(BaseCommand):
    help = (
        "Count the walls of a plan file, a folder with walls.csv and openings.csv, a building model (.ifc) or a "
        "drawing (.dxf). Needs no database."
    )
    requires_system_checks = ()
    requires_migrations_checks = False

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "plan", metavar="PLAN", help="plan file in JSON, folder with the two CSV files, .ifc or .dxf"
        )
        parser.add_argument("--json", action="store_true", help="print one JSON object")
        parser.add_argument("--explain", action="store_true", help="give every count's terms, rules and sources")
        parser.add_argument("--types", metavar="FILE", help="which walls of a model or drawing are which of our types")
        parser.add_argument("--propose-types", action="store_true", help="print such a file to start from, and stop")

    def handle(self, *args: Any, **options: Any) -> None:
        if (options["types"] or options["propose_types"]) and not is_model(options["plan"]):
            raise CommandError(
                "--types and --propose-types are for models (.ifc) and drawings (.dxf).", returncode=EXIT_BAD_INPUT
            )
        try:
            if options["propose_types"]:
                self._propose(options["plan"])
            elif is_model(options["plan"]):
                self._count_model(options)
            else:
                self._print(takeoff(read_plan(options["plan"]), explain=options["explain"]), options)
        except PlanMistakes as mistakes:
            for sentence in mistakes.mistakes:
                self.stderr.write(sentence)
            number = len(mistakes.mistakes)
            self.stderr.write(f"{number} {'mistake' if number == 1 else 'mistakes'}; nothing was counted.")
            sys.exit(EXIT_BAD_INPUT)

    def _propose(self, path: str) -> None:
        from framing.readers.models import propose

        self.stdout.write(json.dumps(propose(path), ensure_ascii=False, indent=2))

    def _count_model(self, options: dict[str, Any]) -> None:
        from framing.readers.models import read_model
        from framing.readers.models.printed import imported_takeoff, imported_text

        found = imported_takeoff(read_model(options["plan"], options["types"]), explain=options["explain"])
        if not options["json"]:
            self.stdout.write(imported_text(found))
        self._print(found, options)

    def _print(self, found: dict[str, Any], options: dict[str, Any]) -> None:
        if options["json"]:
            self.stdout.write(json.dumps(found, ensure_ascii=False, indent=2))
        else:
            self.stdout.write(takeoff_text(found, explain=options["explain"]))
