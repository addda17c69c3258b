"""`python manage.py plan_compare ORGANISATION JOB PLAN`: what importing a plan would change; with --apply, do it."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils import timezone

from jobs.actors import system
from jobs.geometry import plan_bytes
from jobs.models import Job
from jobs.refusals import Invalid, Refusal
from jobs.requests import plain
from jobs.selectors.plan_difference import PlanDifference, plan_difference
from jobs.services.plans import plan_import
from jobs.tenancy import organisation_ids, organisation_scope
from payroll.selectors.paid_units import PaidBeyond, paid_beyond


class Command(BaseCommand):
    help = "Show wall by wall what importing a plan into a job would change. Nothing is changed without --apply."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("organisation", type=int)
        parser.add_argument("job", help="the job's code")
        parser.add_argument("plan", type=Path)
        parser.add_argument("--apply", action="store_true", help="import the plan after showing the difference")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["organisation"] not in organisation_ids():
            raise CommandError(f"organisation {options['organisation']} was not found. Give the id of one that stands.")
        actor = system(options["organisation"])
        source, name = _read(options["plan"])
        try:
            with transaction.atomic(), organisation_scope(actor.organisation):
                job = _job(options["job"])
                difference = plan_difference(actor=actor, job=job, source=source, source_name=name)
            self._show(difference)
            if not options["apply"]:
                self.stdout.write("Nothing was changed. Give --apply to import the plan.")
                return
            revision = plan_import(
                actor=actor, job=job, source=source, source_name=name, now=timezone.now(), seen=difference.seen
            )
        except Refusal as refusal:
            raise CommandError("\n".join(mistake.sentence for mistake in refusal.mistakes)) from refusal
        self.stdout.write(f"Imported as revision {revision.number}.")
        with transaction.atomic(), organisation_scope(actor.organisation):
            for row in paid_beyond(job=job):
                self.stdout.write(paid_sentence(row))

    def _show(self, difference: PlanDifference) -> None:
        self.stdout.write(f"Against revision {difference.seen}:" if difference.seen else "The first plan of this job:")
        for wall in difference.walls:
            former = f" (was {wall.former_mark})" if wall.former_mark else ""
            self.stdout.write(f"{wall.level}, wall {wall.mark}{former}: {wall.kind}")
            for change in wall.changes:
                self.stdout.write(f"  {change}")
            for unit in wall.units:
                self.stdout.write(f"  {unit.sentence}")
        for level, unit in difference.levels:
            self.stdout.write(f"{level}: {unit.sentence}")
        self.stdout.write(f"{len(difference.walls)} walls differ, {difference.same} stay the same.")
        past = difference.past()
        for place, unit in past:
            self.stdout.write(f"Look at {place}: {unit.sentence}")
        if past:
            self.stdout.write("What is done there stays done and paid. Nothing more can be claimed on it.")


def paid_sentence(row: PaidBeyond) -> str:
    """What the office must know of a work unit that is paid past its measure."""
    place = f"{row.level}, wall {row.mark}" if row.mark else row.level
    part = f" ({row.part})" if row.part else ""
    return (
        f"{place}, {row.operation}{part}: {plain(row.paid)} {row.unit} are paid ({row.money}), measured are "
        f"{plain(row.measured)} now: {plain(row.beyond)} beyond. It stays paid."
    )


def _job(code: str) -> int:
    job = Job.objects.filter(code=code).first()
    if job is None:
        codes = ", ".join(Job.objects.order_by("code").values_list("code", flat=True)) or "none"
        raise CommandError(f"job {code!r} was not found. Known are: {codes}.")
    return job.pk


def _read(path: Path) -> tuple[bytes, str]:
    try:
        return plan_bytes(path)
    except Invalid as refusal:
        raise CommandError("\n".join(mistake.sentence for mistake in refusal.mistakes)) from refusal
    except OSError as error:
        raise CommandError(f"{path} cannot be read: {error.strerror}. Name a plan file.") from error
