"""`python manage.py device_start EMAIL NAME`: a token for a member's phone or program, told this once."""

from __future__ import annotations

from argparse import ArgumentParser
from datetime import timedelta
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from jobs.models import User
from jobs.refusals import Refusal
from jobs.services.devices import device_issue
from jobs.signin import memberships_of


class Command(BaseCommand):
    help = "Issue a device's token for a member. It is printed once and kept as a digest only."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("email")
        parser.add_argument("name", help="what the device is called, such as: site phone 2")
        parser.add_argument("--organisation", type=int, help="its id, where the member has several")
        parser.add_argument("--days", type=int, default=365, help="how long the token lives")

    def handle(self, *args: Any, **options: Any) -> None:
        user = User.objects.filter(email=options["email"].strip().lower()).first()
        choices = memberships_of(user.pk) if user else []
        if options["organisation"] is not None:
            choices = [one for one in choices if one.actor.organisation == options["organisation"]]
        if not choices:
            raise CommandError(f"{options['email']} is a member of no organisation. Check the e-mail.")
        if len(choices) > 1:
            names = ", ".join(f"{one.actor.organisation} ({one.organisation_name})" for one in choices)
            raise CommandError(f"{options['email']} has several organisations: {names}. Say --organisation.")
        actor = choices[0].actor
        try:
            _, token = device_issue(
                actor=actor,
                membership=actor.membership or 0,
                name=options["name"],
                now=timezone.now(),
                life=timedelta(days=options["days"]),
            )
        except Refusal as refusal:
            raise CommandError(str(refusal)) from refusal
        self.stdout.write(token)
