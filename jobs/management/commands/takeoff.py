"""Count a plan's walls and print the pieces. Needs no database."""

from __future__ import annotations

import json
import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from framing.plan import PlanMistakes
from framing.printed import takeoff_text
from framing.readers import read_plan
from framing.takeoff import takeoff

EXIT_BAD_INPUT = 2


class Command(BaseCommand):
    help = "Count the walls of a plan file (or a folder with walls.csv and openings.csv). Needs no database."
    requires_system_checks = ()
    requires_migrations_checks = False

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("plan", metavar="PLAN", help="plan file in JSON, or folder with the two CSV files")
        parser.add_argument("--json", action="store_true", help="print one JSON object")
        parser.add_argument("--explain", action="store_true", help="give every count's terms, rules and sources")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            found = takeoff(read_plan(options["plan"]), explain=options["explain"])
        except PlanMistakes as mistakes:
            for sentence in mistakes.mistakes:
                self.stderr.write(sentence)
            number = len(mistakes.mistakes)
            self.stderr.write(f"{number} {'mistake' if number == 1 else 'mistakes'}; nothing was counted.")
            sys.exit(EXIT_BAD_INPUT)
        if options["json"]:
            self.stdout.write(json.dumps(found, ensure_ascii=False, indent=2))
        else:
            self.stdout.write(takeoff_text(found, explain=options["explain"]))
