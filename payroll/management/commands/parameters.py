"""List the law's numbers with their ground and gaps: `python manage.py parameters [--json] [JURISDICTION]`."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand

from payroll.law import listing, listing_json, listing_text, the_book

UNKNOWN_EXIT = 2


class Command(BaseCommand):
    """Prints every value, rule and reading with citation, status and check, and what is not sure. Needs no database."""

    help = (
        "List every number and rule of the law with its citation, how it was checked, and the gaps. Needs no database."
    )
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("jurisdiction", metavar="JURISDICTION", nargs="?", help="one of them, such as us-federal")
        parser.add_argument("--json", action="store_true", help="print the list as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            listed = listing(the_book(), options["jurisdiction"])
        except LookupError as unknown:
            self.stderr.write(str(unknown.args[0]))
            sys.exit(UNKNOWN_EXIT)
        if options["json"]:
            self.stdout.write(json.dumps(listing_json(listed), ensure_ascii=False, indent=2))
        else:
            self.stdout.write(listing_text(listed))
