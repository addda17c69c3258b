"""`python manage.py organisation_start NAME EMAIL`: a first organisation, and its owner, who may sign in."""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from getpass import getpass
from typing import Any

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils import timezone

from jobs.models import User
from jobs.refusals import Refusal
from jobs.services.organisations import OrganisationFacts, organisation_create


class Command(BaseCommand):
    help = "Make an organisation with its owner. The password is asked for, or read from standard input."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("name")
        parser.add_argument("email")
        parser.add_argument("--time-zone", default="UTC", help="such as America/Chicago")
        parser.add_argument("--workweek-start", type=int, default=0, help="0 is Monday, 6 is Sunday")

    def handle(self, *args: Any, **options: Any) -> None:
        facts = OrganisationFacts(
            name=options["name"], time_zone=options["time_zone"], workweek_start=options["workweek_start"]
        )
        try:
            with transaction.atomic():
                owner = self._owner(options["email"])
                organisation, _ = organisation_create(facts=facts, owner=owner, now=timezone.now())
        except ValidationError as mistakes:
            raise CommandError(" ".join(mistakes.messages)) from mistakes
        except Refusal as refusal:
            raise CommandError(str(refusal)) from refusal
        self.stdout.write(
            f"{organisation.name} is organisation {organisation.pk}; {owner.email} owns it and may sign in."
        )

    def _owner(self, email: str) -> User:
        """The user of that e-mail, made with a new password if he is not there yet."""
        known = User.objects.filter(email=email.strip().lower()).first()
        if known is not None:
            return known
        password = getpass(f"Password of {email}: ") if sys.stdin.isatty() else sys.stdin.readline().rstrip("\n")
        validate_password(password)
        return User.objects.create_user(email, password)
