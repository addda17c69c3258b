"""`python manage.py organisation_export ORGANISATION FILE`: everything of an organisation in one zip."""

from __future__ import annotations

import os
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from jobs.actors import system
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
            # Names, hours and pay of people: for nobody but who asked, and never over a file that is there.
            opened = os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb")
        except FileExistsError as error:
            raise CommandError(f"{path} is there already. Name a new file.") from error
        except OSError as error:
            raise CommandError(f"{path} cannot be written: {error.strerror}. Name another place.") from error
        try:
            with opened:
                done = organisation_export(actor=system(organisation), to=opened, now=timezone.now())
        except BaseException:
            path.unlink()
            raise
        rows = sum(done.rows.values())
        self.stdout.write(f"{path}: {rows} rows in {len(done.rows)} tables, {len(done.sha256)} files.")
