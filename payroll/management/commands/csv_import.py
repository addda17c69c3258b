"""`python manage.py csv_import KIND FILE ...`: people, hours, entries or prices from a CSV file; a dry run first."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from jobs.actors import Actor
from jobs.models import User
from jobs.refusals import Refusal
from jobs.services.csv_import import Imported
from jobs.services.csv_people import people_import
from jobs.services.csv_work import entries_import, hours_import
from jobs.signin import memberships_of
from payroll.services.rate_import import PricesImported, rates_import

KINDS = {"people": people_import, "hours": hours_import, "entries": entries_import, "prices": rates_import}


class Command(BaseCommand):
    help = "Import a CSV file. Without --apply nothing is kept: every mistake is listed by row. Formats: DEVELOPERS.md."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("kind", choices=sorted(KINDS))
        parser.add_argument("file", type=Path)
        parser.add_argument("--organisation", type=int, required=True)
        parser.add_argument("--member", required=True, help="e-mail of the member of the office who imports")
        parser.add_argument("--apply", action="store_true", help="keep it, if there is no mistake")

    def handle(self, *args: Any, **options: Any) -> None:
        actor = _actor(options["organisation"], options["member"])
        try:
            source = options["file"].read_bytes()
        except OSError as error:
            raise CommandError(f"{options['file']} cannot be read: {error.strerror}. Name a CSV file.") from error
        try:
            done = KINDS[options["kind"]](actor=actor, source=source, now=timezone.now(), dry_run=not options["apply"])
        except Refusal as refusal:
            raise CommandError(str(refusal)) from refusal
        self._say(done)

    def _say(self, done: Imported) -> None:
        for mistake in done.mistakes:
            self.stdout.write(f"{mistake.path}: {mistake.sentence}")
        if isinstance(done, PricesImported):
            for line in done.lines:
                self.stdout.write(f"row {line.row}: {line.sentence}")
                for hint in line.hints:
                    self.stdout.write(f"  look: {hint}")
        if done.mistakes:
            raise CommandError(f"{len(done.mistakes)} mistakes, nothing was kept. Mend the file and import it again.")
        kept = "kept" if done.applied else "would be kept; nothing was. Give --apply"
        self.stdout.write(f"{done.made} new rows, {done.standing} stand already: {kept}.")


def _actor(organisation: int, email: str) -> Actor:
    user = User.objects.filter(email=email.strip().lower()).first()
    for seat in memberships_of(user.pk) if user else []:
        if seat.actor.organisation == organisation:
            return seat.actor
    raise CommandError(f"{email} is no member of organisation {organisation}. Name somebody of its office.")
