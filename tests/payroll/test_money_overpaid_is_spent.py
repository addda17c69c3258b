"""What was paid above a corrected week is not taken back: it is labour of its week, and older reports say so."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import transaction

from payroll.selectors.overpaid import overpaid_by_week
from payroll.selectors.reports import corrected_since, job_reports, weekly_report
from payroll.selectors.weekly import weekly_figures
from payroll.services.reports import weekly_report_make
from tests.payroll.world import AFTER, LATER, MONDAY, NEXT_MONDAY, another_job, make_world

pytestmark = pytest.mark.django_db


def test_an_overpaid_week_costs_what_was_paid_and_its_report_says_that_it_was_corrected():
    # Derived: 1000 sq ft at 0.40 was paid 400.00, the correction to 600 makes it 240.00, and 160.00 was overpaid.
    world = make_world()
    world.rate("BOARD", "0.40")
    person = world.person("Measured")
    unit = world.unit("BOARD", face="left", layer=1)
    entry = world.entry(unit, "1000", person)
    world.hours(person, "10")
    world.close()
    before = weekly_report_make(actor=world.owner, job=world.job.pk, first_day=MONDAY, now=AFTER)
    frozen = dict(before.figures)
    world.correct(entry, unit, "600", person)
    world.entry(unit, "100", person, on=NEXT_MONDAY)
    world.hours(person, "5", on=NEXT_MONDAY)
    world.close(NEXT_MONDAY, now=LATER)
    with transaction.atomic(), world.scope():
        found = weekly_figures(job=world.job.pk, first_day=NEXT_MONDAY)
        assert [(week["first_day"], week["labour"]) for week in found["weeks"]] == [
            ("2026-11-02", "400.00"),
            ("2026-11-09", "40.00"),
        ]
        again = weekly_figures(job=world.job.pk, first_day=MONDAY)
        assert [(row["text"], row["amount"]) for row in again["labour"]] == [
            ("piece earnings", "240.00"),
            ("overpaid, not taken back", "160.00"),
        ]
        report = weekly_report(job=world.job.pk, first_day=MONDAY)
        assert report.figures == frozen
        assert [(one.number, one.person) for one in corrected_since(report)] == [(2, "Measured")]
        assert [row.corrected for row in job_reports(job=world.job.pk)] == [True]


def test_the_job_that_fell_bears_what_was_overpaid():
    # Derived: 400.00 on one job and 300.00 on the other; the first falls to 240.00, so it bears the 160.00.
    here = make_world()
    there = another_job(here, "Fennel Row", "FEN", "us-federal")
    here.rate("BOARD", "0.40")
    person = here.person("Both Jobs")
    unit = here.unit("BOARD", face="left", layer=1)
    entry = here.entry(unit, "1000", person)
    here.hours(person, "10")
    tuesday = MONDAY + timedelta(days=1)
    there.entry(there.unit("BOARD", face="left", layer=1), "750", person, on=tuesday)
    there.hours(person, "10", on=tuesday)
    here.close()
    here.correct(entry, unit, "600", person)
    here.close(NEXT_MONDAY, now=LATER)
    with transaction.atomic(), here.scope():
        assert overpaid_by_week(job=here.job.pk, last=NEXT_MONDAY) == {MONDAY: Decimal("160.00")}
        assert overpaid_by_week(job=there.job.pk, last=NEXT_MONDAY) == {}
