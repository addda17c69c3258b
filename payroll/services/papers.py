"""All statements of a closed week as PDFs, made by the worker in parts that anybody can watch.

A week is cut into parts by the numbers of its statements, which never change once it is closed. A part is one task and
one transaction: made twice it is the same, a worker that dies under it has made nothing of it, and asking again queues
only what is missing. Parts are papers, not records: they are let go after `KEPT`, and made again byte for byte.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterator
from datetime import datetime, timedelta
from functools import partial

from celery import current_app
from django.db import connection, transaction

from jobs import audit
from jobs.actors import Actor, system
from jobs.refusals import Conflict, Mistake, NotAllowed, not_found
from jobs.tenancy import organisation_in_scope, organisation_scope
from payroll.models import PapersPart, PayWeek, Statement
from payroll.reports.bundle import MOMENT
from payroll.reports.figures import StatementFigures
from payroll.reports.statement_pdf import statement_pdf
from payroll.selectors.papers import part_crews, part_numbers, parts_of
from payroll.selectors.statement_figures import figures_of

TASK = "payroll.papers_part_make"
MAY_ASK = frozenset({"owner", "office", "system"})
KEPT = timedelta(days=30)


def papers_ask(*, actor: Actor, pay_week: int, now: datetime) -> int:
    """Queue the parts of a closed week that are not there; answers how many. Raises NotAllowed, NotFound, Conflict."""
    if actor.role not in MAY_ASK:
        raise NotAllowed(Mistake("", f"the role {actor.role} does not print a week's statements. Ask the office."))
    with transaction.atomic(), organisation_scope(actor.organisation):
        week = PayWeek.objects.filter(pk=pay_week).first()
        if week is None:
            raise not_found("pay_week", "pay week", pay_week)
        if week.state != PayWeek.State.CLOSED:
            raise Conflict(Mistake("pay_week", f"the week of {week.first_day} is open. Close it first."))
        PapersPart.objects.filter(made_at__lt=now - KEPT).delete()
        missing = [part.part for part in parts_of(pay_week) if not part.made]
        after = {"first_day": str(week.first_day), "parts": len(missing)}
        change = audit.Change(action="papers_ask", subject_kind="pay week", subject_key=str(week.pk), after=after)
        audit.record(actor=actor, at=now, changes=[change])
        for part in missing:
            given = (actor.organisation, pay_week, part)
            transaction.on_commit(partial(current_app.send_task, TASK, given), robust=True)
    return len(missing)


def papers_part_make(*, organisation: int, pay_week: int, part: int, now: datetime) -> int:
    """Make one part, unless it is there; answers how many statements it holds. Raises NotFound for a part that no
    closed week has."""
    with transaction.atomic(), organisation_scope(system(organisation).organisation):
        stands = PapersPart.objects.filter(pay_week_id=pay_week, part=part).values_list("statements", flat=True).first()
        if stands is not None:
            return int(stands)
        numbers = part_numbers(pay_week, part)
        if not numbers:
            raise not_found("part", "part", part)
        archive = _archive(numbers)
        with connection.cursor() as cursor:
            cursor.execute(
                "INSERT INTO payroll_paperspart (organisation_id, pay_week_id, part, statements, archive, made_at) "
                "VALUES (%s, %s, %s, %s, %s, %s) ON CONFLICT (organisation_id, pay_week_id, part) DO NOTHING",
                [organisation_in_scope(), pay_week, part, len(numbers), archive, now],
            )
        return len(numbers)


def _archive(numbers: list[int]) -> bytes:
    """A zip of the statements with these numbers, each in its person's language."""
    found = Statement.objects.filter(number__in=numbers).order_by("number")
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_STORED) as archive:
        for statement in found.select_related("pay_week", "paid_in__closed_by__person", "person", "corrects"):
            figures = figures_of(statement, None)
            archive.writestr(zipfile.ZipInfo(paper_name(figures), MOMENT), statement_pdf(figures))
    return buffer.getvalue()


def paper_name(figures: StatementFigures) -> str:
    """A name that sorts by person and says the week; letters that a file system may not take become hyphens."""
    return f"{_for_a_file(f'{figures.person_number} {figures.person}')}-{figures.first_day}-{figures.number}.pdf"


def crew_folder(crews: tuple[str, ...]) -> str:
    """The folder of a crew. Who is in several has one named for all of them, so that no paper is handed out twice."""
    return _for_a_file(" and ".join(crews)) or "no-crew"


def _for_a_file(words: str) -> str:
    return re.sub(r"[^\w.]+", "-", words)[:80].strip("-.")


def papers_file(*, pay_week: int) -> Iterator[tuple[str, bytes]]:
    """Every paper of a week that is made, by part: its name in the folder of the person's crew as it is now, and the
    PDF; one part in memory at a time."""
    for pk, part in PapersPart.objects.filter(pay_week_id=pay_week).order_by("part").values_list("pk", "part"):
        whole = PapersPart.objects.get(pk=pk)
        with zipfile.ZipFile(io.BytesIO(bytes(whole.archive))) as archive:
            for name, crews in zip(archive.namelist(), part_crews(part_numbers(pay_week, part)), strict=True):
                yield f"{crew_folder(crews)}/{name}", archive.read(name)
