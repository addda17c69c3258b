"""Print the main job of the demo contractor from wall to cost: pieces, order, pay and its reasons, labour cost.

Everything is read from the records; the statement and the weekly report are written as files to look at.
"""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import transaction

from fixtures.demo.scenario import scenario
from jobs.actors import Actor, system
from jobs.geometry import count_plan
from jobs.models import Job, PlanRevision, User
from jobs.signin import memberships_of
from jobs.tenancy import organisation_scope
from payroll.law import cents
from payroll.models import PayWeek, WeeklyReport
from payroll.reports.figures import PayLine
from payroll.reports.numbers import agreed_rate, hours, money, quantity, rate
from payroll.reports.statement_pdf import place_words, statement_pdf
from payroll.reports.wording import LANGUAGES
from payroll.selectors.statements import StatementRow, statement_detail, week_statements
from payroll.selectors.weeks import week_preview

FOLDER = Path(settings.LOCAL_FOLDER) / "demo"
WALLS_SHOWN = 4
# Counts of the take-off, in the order of the work: key, what it is, unit, and how many of it make one unit.
COUNTS = (
    ("track_in", "track", "LF", 12),
    ("studs", "studs", "each", 1),
    ("stud_in", "stud length", "LF", 12),
    ("openings", "openings", "each", 1),
    ("corners", "corners", "each", 1),
    ("door_corners", "door corners", "each", 1),
    ("board_net_sqft", "board", "sq ft", 1),
    ("sheets", "sheets", "each", 1),
    ("board_screws", "board screws", "each", 1),
    ("framing_screws", "framing screws", "each", 1),
    ("pins", "pins", "each", 1),
    ("sealant_in", "sealant", "LF", 12),
    ("bead_in", "corner bead", "LF", 12),
    ("tape_in", "tape", "LF", 12),
)


class Command(BaseCommand):
    """`manage.py demo_report`, after `demo_load`."""

    help = "Print the demo's main job: pieces, order list, the week's pay, labour cost against budget."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the folder for the papers."""
        parser.add_argument("--folder", type=Path, default=FOLDER, help="where the papers are written")

    def handle(self, *args: Any, **options: Any) -> None:
        """Print the report. Raises CommandError where the demo was not loaded."""
        self.folder: Path = options["folder"]
        actor = self._actor()
        with transaction.atomic(), organisation_scope(actor.organisation):
            job = Job.objects.order_by("pk").first()
            # A week closed on the site has its report once the worker has built it; until then the one before is shown.
            reported = WeeklyReport.objects.filter(job=job).values("first_day")
            closed = PayWeek.objects.filter(state=PayWeek.State.CLOSED, first_day__in=reported)
            week = closed.order_by("-first_day").first()
            if job is None or week is None:
                raise CommandError(
                    "The demo has no job or no closed week with a report. Run `manage.py demo_load` first."
                )
            self._pieces(job)
            statements = week_statements(actor=actor, pay_week=week.pk)
            self._pay(week, statements)
            self._one_line(actor, statements)
            self._cost(job, week)
            self._open_week()

    def _actor(self) -> Actor:
        facts = scenario().facts
        (owner,) = [one for one in facts["users"] if one["role"] == "owner"]
        user = User.objects.filter(email=owner["email"]).first()
        found = memberships_of(user.pk) if user else []
        own = [one.actor for one in found if one.organisation_name == facts["organisation"]["name"]]
        if not own:
            raise CommandError("The demo contractor is not there. Run `manage.py demo_load` first.")
        return system(own[0].organisation)

    def _pieces(self, job: Job) -> None:
        revision = PlanRevision.objects.filter(job=job).order_by("-number").first()
        if revision is None:
            raise CommandError(f"{job.name} has no plan. Run `manage.py demo_load` again.")
        counted = count_plan(bytes(revision.source), revision.source_name)
        self._say(f"{job.name.upper()}, plan revision {revision.number} ({revision.source_name})")
        for level in counted.levels:
            counts = level["counts"]
            self._say(f"\n{level['name']}: {len(level['walls'])} walls")
            for key, thing, unit, per in COUNTS:
                if key in counts:
                    self._row(thing, quantity(round(Decimal(str(counts[key])) / per, 2)), unit)
        self._say("\nTo order")
        for line in counted.order:
            length = f"{Decimal(line['stock_length']) / 12:g} ft" if line.get("stock_length") else ""
            self._row(f"{line['product']}  {length}".strip(), f"{Decimal(str(line['count'])):,}", line["unit"])
        if counted.cautions:
            self._say(f"\n{len(counted.cautions)} cautions, the first: {counted.cautions[0]['sentence']}")

    def _pay(self, week: PayWeek, statements: list[StatementRow]) -> None:
        last = week.first_day + timedelta(days=6)
        self._say(f"\nPAY OF THE WEEK {week.first_day} TO {last}, closed")
        own = [row for row in statements if row.first_day == week.first_day]
        for row in own:
            worked = f"{hours(row.hours)} h" + (f", {hours(row.overtime)} of them overtime" if row.overtime else "")
            self._row(f"{row.person_number}  {row.person_name}", money(row.gross), worked)
        self._row("All statements", money(sum((row.gross for row in own), Decimal(0))), "")
        for row in statements:
            if row.first_day != week.first_day:
                self._say(
                    f"  Corrected: {row.person_name}, week of {row.first_day}, now {money(row.gross)}: "
                    f"{money(row.difference)} more is paid, {money(row.overpaid)} was overpaid and is not taken back."
                )

    def _one_line(self, actor: Actor, statements: list[StatementRow]) -> None:
        """One person's statement in full, and as a paper."""
        row = max(statements, key=lambda each: (each.overtime, each.gross))
        detail = statement_detail(actor=actor, statement=row.statement)
        self._say(f"\nWHY, line by line: {row.person_name}, statement {detail.number}")
        for line in detail.figures.lines:
            self._line(line)
        for floor in detail.figures.floors:
            result = f"{money(floor.top_up)} added" if floor.top_up else "met"
            self._say(f"  {floor.text}: required {money(floor.required)}, reached {money(floor.reached)}: {result}")
        self._file("statement.pdf", statement_pdf(detail.figures))
        for language in LANGUAGES[1:]:
            told = statement_detail(actor=actor, statement=row.statement, language=language)
            self._file(f"statement-{language}.pdf", statement_pdf(told.figures))

    def _line(self, line: PayLine) -> None:
        self._row(
            line.text,
            money(line.amount),
            f"{quantity(line.quantity)} {line.unit} at {agreed_rate(line.rate) if line.work else rate(line.rate)}",
        )
        for reason in line.because:
            self._say(f"      {reason.sentence}")
        for work in line.work[:WALLS_SHOWN]:
            place = place_words(work.mark, work.part)
            self._say(f"      {work.worked_on} {work.level}, {place}: {quantity(work.quantity)} = {money(work.amount)}")
        if any(work.amount != cents(Fraction(work.quantity) * Fraction(line.rate)) for work in line.work):
            self._say("      Whole cents that add up to the line: odd cents go where rounding down cost most.")
        if len(line.work) > WALLS_SHOWN:
            self._say(f"      and {len(line.work) - WALLS_SHOWN} more entries")

    def _cost(self, job: Job, week: PayWeek) -> None:
        report = WeeklyReport.objects.filter(job=job, first_day=week.first_day).first()
        if report is None:
            raise CommandError(f"The week of {week.first_day} has no report yet. Run `manage.py demo_load` again.")
        unit = report.figures["area_unit"]
        self._say(f"\nLABOUR COST PER {unit.upper()}: spent, budget for the work done, as bid ({job.currency})")
        for row in report.figures["per_area"]:
            values = [rate(Decimal(row[key])) if row[key] is not None else "none" for key in ("spent", "budget", "bid")]
            self._say(f"  {row['text']:<34}" + "".join(f"{value:>10}" for value in values))
        self._file("weekly-report.pdf", bytes(report.pdf))
        self._file("weekly-chart.svg", bytes(report.chart))

    def _open_week(self) -> None:
        week = PayWeek.objects.filter(state=PayWeek.State.OPEN).order_by("first_day").first()
        if week is None:
            return
        preview = week_preview(pay_week=week.pk)
        self._say(f"\nOPEN WEEK {preview.first_day}: {len(preview.people)} people, {money(preview.gross)} as it stands")
        for person in preview.people:
            for sentence in (*person.stopped, *person.warnings):
                self._say(f"  {sentence}")
        for late in preview.late:
            self._say(f"  {late.name}, week of {late.first_day}: {money(late.difference)} more to pay")

    def _file(self, name: str, content: bytes) -> None:
        self.folder.mkdir(parents=True, exist_ok=True)
        path = self.folder / name
        path.write_bytes(content)
        shown = path.relative_to(settings.BASE_DIR) if path.is_relative_to(settings.BASE_DIR) else path
        self._say(f"  Written: {shown}")

    def _row(self, thing: str, figure: str, unit: str) -> None:
        self._say(f"  {thing:<34}{figure:>12}  {unit}")

    def _say(self, text: str) -> None:
        self.stdout.write(text)
