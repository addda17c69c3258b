"""`python manage.py payroll_export ORGANISATION FIRST_DAY FILE`: a closed week for the firm's payroll, as a zip."""

from __future__ import annotations

from argparse import ArgumentParser
from datetime import date
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from jobs.new_file import FileTaken, new_file
from jobs.refusals import Refusal
from jobs.tenancy import organisation_ids, organisation_scope
from payroll.reports.payroll_tables import payroll_zip
from payroll.selectors.payroll_export import payroll_export


class Command(BaseCommand):
    help = "Write earnings, hours and bases of a closed week for the firm's payroll. The format: DEVELOPERS.md."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("organisation", type=int)
        parser.add_argument("first_day", type=date.fromisoformat, help="first day of the workweek, as 2026-11-02")
        parser.add_argument("file", type=Path)

    def handle(self, *args: Any, **options: Any) -> None:
        organisation = options["organisation"]
        if organisation not in organisation_ids():
            raise CommandError(f"organisation {organisation} was not found. Give the id of one that stands.")
        try:
            with transaction.atomic(), organisation_scope(organisation):
                export = payroll_export(first_day=options["first_day"])
            with new_file(options["file"]) as opened:
                opened.write(payroll_zip(export))
        except (Refusal, FileTaken) as refused:
            raise CommandError(str(refused)) from refused
        self.stdout.write(f"{options['file']}: {len(export.bases)} statements, {export.gross} gross.")
