"""`python manage.py organisation_export ORGANISATION FILE`: everything of an organisation in one zip."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from jobs.actors import system
from jobs.new_file import FileTaken, new_file
from jobs.tenancy import organisation_ids
from payroll.services.organisation_export import organisation_export


class Command(BaseCommand):
    help = "Write tables, plans, reports and statements of an organisation to a new zip, readable by its owner alone."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("organisation", type=int)
        parser.add_argument("file", type=Path)

    def handle(self, *args: Any, **options: Any) -> None:
        organisation, path = options["organisation"], options["file"]
        if organisation not in organisation_ids():
            raise CommandError(f"organisation {organisation} was not found. Give the id of one that stands.")
        try:
            with new_file(path) as opened:
                done = organisation_export(actor=system(organisation), to=opened, now=timezone.now())
        except FileTaken as taken:
            raise CommandError(str(taken)) from taken
        rows = sum(done.rows.values())
        self.stdout.write(f"{path}: {rows} rows in {len(done.rows)} tables, {len(done.sha256)} files.")
