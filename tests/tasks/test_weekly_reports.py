"""Weekly reports by a real worker on a real queue: made once, and byte for byte the same wherever they are made."""

from __future__ import annotations

import hashlib
from datetime import UTC, datetime
from decimal import Decimal

import pytest
from django.db import transaction

from jobs.actors import system
from jobs.refusals import Conflict
from jobs.services.sites import budget_set
from payroll.models import WeeklyReport
from payroll.reports.canonical import canonical
from payroll.selectors.reports import Due, job_reports, reports_due
from payroll.selectors.weekly import weekly_figures
from payroll.services.reports import report_draw, weekly_report_make
from payroll.tasks import weekly_report_build, weekly_reports_due
from tests.payroll.world import AFTER, MONDAY, World, make_world


def closed_week() -> World:
    """A firm with one closed week, budget and all."""
    world = make_world()
    crew = [world.person("One"), world.person("Two")]
    world.rate("BOARD", "0.41")
    board = world.operations["BOARD"].pk
    budget_set(
        actor=world.owner,
        job=world.job.pk,
        operation=board,
        quantity=Decimal(9000),
        labour_money=Decimal(4000),
        now=AFTER,
    )
    world.entry(world.unit("BOARD", face="left", layer=1), "1001.25", *crew)
    for person in crew:
        world.hours(person, "9")
    world.close()
    return world


def stored(world: World) -> list[tuple[bytes, bytes, bytes]]:
    with transaction.atomic(), world.scope():
        return [(bytes(row.chart), bytes(row.pdf), bytes(row.digest)) for row in WeeklyReport.objects.all()]


def test_a_report_made_by_the_worker_is_the_one_drawn_again_here(committed_db: None, worker: None):
    world = closed_week()
    digest = weekly_report_build.delay(world.organisation, world.job.pk, MONDAY.isoformat()).get(timeout=60)
    with transaction.atomic(), world.scope():
        report = WeeklyReport.objects.get()
        again = report_draw(weekly_figures(job=world.job.pk, first_day=MONDAY))
    assert report.figures == again.figures
    assert bytes(report.chart) == again.chart
    assert bytes(report.pdf) == again.pdf
    whole = hashlib.sha256(canonical(report.figures) + again.chart + again.pdf).digest()
    assert bytes(report.digest) == whole == again.digest
    assert digest == whole.hex()
    assert again.chart.startswith(b"<?xml")
    assert again.pdf.startswith(b"%PDF")


def test_a_report_asked_for_many_times_is_made_once(committed_db: None, worker: None):
    world = closed_week()
    arguments = (world.organisation, world.job.pk, MONDAY.isoformat())
    answers = {weekly_report_build.delay(*arguments).get(timeout=60) for _ in range(3)}
    assert len(answers) == 1
    assert len(stored(world)) == 1


def test_beat_finds_what_is_due_and_queues_it_once_committed(committed_db: None, worker: None):
    world = closed_week()
    weekly_reports_due.delay()
    for _ in range(600):
        if stored(world):
            break
        import time

        time.sleep(0.1)
    assert len(stored(world)) == 1
    with transaction.atomic(), world.scope():
        assert reports_due(now=datetime(2026, 12, 1, tzinfo=UTC)) == []
        assert [row.first_day for row in job_reports(job=world.job.pk)] == [MONDAY]


@pytest.mark.django_db
def test_a_week_is_due_when_it_is_over_on_the_organisations_own_clock():
    world = closed_week()
    due = Due(world.job.pk, MONDAY)
    with transaction.atomic(), world.scope():
        # Midnight in Chicago after Sunday the 8th is 06:00 UTC: derived from the zone's offset of six hours in
        # November.
        assert reports_due(now=datetime(2026, 11, 9, 5, 59, tzinfo=UTC)) == []
        assert reports_due(now=datetime(2026, 11, 9, 6, 0, tzinfo=UTC)) == [due]


@pytest.mark.django_db
def test_an_open_week_has_no_report_yet():
    world = make_world()
    world.week()
    with pytest.raises(Conflict, match="the week of 2026-11-02 is not closed, so its labour is not known"):
        weekly_report_make(actor=system(world.organisation), job=world.job.pk, first_day=MONDAY, now=AFTER)
