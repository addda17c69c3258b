"""`python manage.py second_factor_end EMAIL`: for somebody who has lost both his phone and his recovery codes."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from jobs.models import User
from jobs.services.second_factors import factor_remove


class Command(BaseCommand):
    help = "End a user's second factor and every session of his. Make sure by other means that it is he who asks."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("email")

    def handle(self, *args: Any, **options: Any) -> None:
        user = User.objects.filter(email=options["email"].strip().lower()).first()
        if user is None:
            raise CommandError(f"{options['email']} is no user. Check the e-mail.")
        if not factor_remove(user=user, how="by a command", now=timezone.now()):
            raise CommandError(f"{user.email} has no second factor. Nothing was changed.")
        self.stdout.write(f"{user.email} signs in with the password alone until another second factor is set up.")
