"""Cut lengths typed by hand from stock: print which bars to buy and how each is cut. Needs no database."""

from __future__ import annotations

import json
import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from framing.cutting.printed import cut_file, cuts_json, cuts_text
from framing.plan import PlanMistakes
from framing.readers.cuts_file import read_cuts

EXIT_BAD_INPUT = 2


class Command(BaseCommand):
    help = (
        "Cut a list of lengths from stock: the bars to buy, how each is cut, and the proven least. Needs no database."
    )
    requires_system_checks = ()
    requires_migrations_checks = False

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("cuts", metavar="CUTS", help='JSON of the format "piecewall cuts 1"')
        parser.add_argument("--json", action="store_true", help="print one JSON object")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            cut = cut_file(read_cuts(options["cuts"]))
        except PlanMistakes as mistakes:
            for sentence in mistakes.mistakes:
                self.stderr.write(sentence)
            number = len(mistakes.mistakes)
            self.stderr.write(f"{number} {'mistake' if number == 1 else 'mistakes'}; nothing was cut.")
            sys.exit(EXIT_BAD_INPUT)
        if options["json"]:
            self.stdout.write(json.dumps(cuts_json(cut), ensure_ascii=False, indent=2))
        else:
            self.stdout.write(cuts_text(cut))
