"""`python manage.py person_export ORGANISATION NUMBER FIRST LAST FILE`: one person's record as a zip."""

from __future__ import annotations

from argparse import ArgumentParser
from datetime import date
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils import timezone

from jobs.actors import system
from jobs.models import Person
from jobs.new_file import FileTaken, new_file
from jobs.refusals import Refusal
from jobs.tenancy import organisation_ids, organisation_scope
from payroll.services.person_export import person_export


class Command(BaseCommand):
    help = "Write entries, hours, rates, statements and corrections of a person in a span of days to a new zip."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("organisation", type=int)
        parser.add_argument("number", help="the organisation's own number for the person")
        parser.add_argument("first", type=date.fromisoformat, help="first day, as 2026-11-02")
        parser.add_argument("last", type=date.fromisoformat, help="last day")
        parser.add_argument("file", type=Path)

    def handle(self, *args: Any, **options: Any) -> None:
        organisation = options["organisation"]
        if organisation not in organisation_ids():
            raise CommandError(f"organisation {organisation} was not found. Give the id of one that stands.")
        with transaction.atomic(), organisation_scope(organisation):
            person = Person.objects.filter(number=options["number"]).values_list("pk", flat=True).first()
        if person is None:
            raise CommandError(f"person {options['number']} was not found. Give the number that the organisation uses.")
        try:
            with new_file(options["file"]) as opened:
                done = person_export(
                    actor=system(organisation),
                    person=person,
                    first=options["first"],
                    last=options["last"],
                    to=opened,
                    now=timezone.now(),
                )
        except (Refusal, FileTaken) as refused:
            raise CommandError(str(refused)) from refused
        told = ", ".join(f"{count} in {name}" for name, count in done.rows.items())
        self.stdout.write(f"{options['file']}: {done.statements} statements; rows: {told}.")
