"""`python manage.py organisation_restore FILE`: a new organisation from an export."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from jobs.refusals import Refusal
from payroll.services.organisation_restore import organisation_restore


class Command(BaseCommand):
    help = (
        "Make an organisation of an export: all of it or nothing. Its members reset their passwords, devices sign in."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            with options["file"].open("rb") as opened:
                restored = organisation_restore(source=opened, now=timezone.now())
        except OSError as error:
            raise CommandError(f"{options['file']} cannot be read: {error.strerror}. Name an export.") from error
        except Refusal as refusal:
            said = "\n".join(f"{mistake.path}: {mistake.sentence}" for mistake in refusal.mistakes)
            raise CommandError(f"{said}\nNothing was restored.") from refusal
        for sentence in restored.breaks:
            self.stdout.write(f"as it was exported: {sentence}")
        rows = sum(restored.rows.values())
        self.stdout.write(f"Restored as organisation {restored.organisation}: {rows} rows.")
        if restored.breaks:
            raise CommandError("The export holds records that were changed before it was taken. See the lines above.")
