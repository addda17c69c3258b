"""Follow a pay line by its links: statement -> line -> entry -> work unit -> wall, and line -> rule -> citation."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import transaction

from jobs.models import Entry, Wall, WorkUnit
from jobs.refusals import NotFound
from payroll.models import Statement
from payroll.selectors.statements import person_statements, statement_detail, week_statements
from tests.payroll.world import MONDAY, make_world

pytestmark = pytest.mark.django_db


def test_a_piece_line_leads_to_its_entries_work_units_walls_and_rate():
    world = make_world()
    person = world.person("Traced")
    left = world.unit("BOARD", "W-1", face="left", layer=2)
    right = world.unit("BOARD", "W-2", face="right", layer=1)
    rate = world.rate("BOARD", "0.40")
    first = world.entry(left, "100.5", person)
    second = world.entry(right, "50", person, on=MONDAY + timedelta(days=1))
    for day in range(5):
        world.hours(person, "9", on=MONDAY + timedelta(days=day))
    world.close()
    with transaction.atomic(), world.scope():
        detail = statement_detail(actor=world.owner, statement=Statement.objects.get().pk)
        line = detail.figures.lines[0]
        assert [(work.mark, work.part, work.quantity, work.amount) for work in line.work] == [
            ("W-1", "left, layer 2", Decimal("100.5"), Decimal("40.20")),
            ("W-2", "right, layer 1", Decimal("50"), Decimal("20.00")),
        ]
        assert sum(work.amount for work in line.work) == line.amount
        for work, entry, unit in zip(line.work, (first, second), (left, right), strict=True):
            assert Entry.objects.get(uuid=work.entry).uuid == entry
            assert WorkUnit.objects.get(pk=work.work_unit_id).because == unit.because
            assert Wall.objects.get(pk=work.wall_id).mark == work.mark
            assert work.rate_id == rate.pk
        said = " ".join(reason.sentence for reason in line.because)
        assert "hang board: 0.40 a sq ft from 2026-01-01 on (any job, any wall type, any height, any class)" in said
        assert "150.5 sq ft x 0.40 = 60.20" in said
        premium = next(each for each in detail.figures.lines if each.code == "overtime")
        assert "29 CFR 778.111" in " ".join(reason.sentence for reason in premium.because)
        floor = detail.figures.floors[0]
        assert "29 USC 206(a)(1)(C)" in [value.cite for reason in floor.because for value in reason.parameters]
        assert "7.25" in " ".join(reason.sentence for reason in floor.because)


def test_a_worker_sees_his_own_statement_and_nobody_elses():
    world = make_world()
    own, other = world.person("Own"), world.person("Other")
    world.rate("BOARD", "0.40")
    world.entry(world.unit("BOARD", face="left", layer=1), "100", own, other)
    for person in (own, other):
        world.hours(person, "2")
    closing = world.close()
    worker = replace(world.owner, role="worker", person=own.pk)
    foreman = replace(world.owner, role="foreman", person=None)
    with transaction.atomic(), world.scope():
        mine = Statement.objects.get(person=own).pk
        theirs = Statement.objects.get(person=other).pk
        assert statement_detail(actor=worker, statement=mine).figures.person == "Own"
        with pytest.raises(NotFound):
            statement_detail(actor=worker, statement=theirs)
        with pytest.raises(NotFound):
            statement_detail(actor=foreman, statement=theirs)
        assert [row.statement for row in week_statements(actor=worker, pay_week=closing.pay_week.pk)] == [mine]
        assert person_statements(actor=worker, person=other.pk) == []
        assert len(week_statements(actor=world.owner, pay_week=closing.pay_week.pk)) == 2


def test_a_line_of_the_whole_week_is_borne_by_the_jobs_in_proportion_to_hours():
    from datetime import date

    from jobs.requests import HoursRequest
    from jobs.services.hours import hours_log
    from jobs.services.sites import JobFacts, job_create
    from payroll.models import JobShare
    from tests.payroll.world import AFTER, uuid4

    world = make_world()
    person = world.person("Two Jobs")
    second = job_create(actor=world.owner, facts=JobFacts("Quarry Lane", "QL", date(2026, 1, 1)), now=AFTER)
    world.rate("BOARD", "0.50")
    world.entry(world.unit("BOARD", face="left", layer=1), "1000", person)
    for day in range(4):
        world.hours(person, "9", on=MONDAY + timedelta(days=day))
    for day in (4, 5):
        hours_log(
            actor=world.owner,
            request=HoursRequest(uuid4(), second.pk, person.pk, MONDAY + timedelta(days=day), "piece", 7 * 60, AFTER),
            now=AFTER,
        )
    world.close()
    with transaction.atomic(), world.scope():
        # Derived: 50 h, regular rate 10.00, premium 50.00; 36 h on the first job, 14 h on the second.
        premium = Statement.objects.get().lines.get(code="overtime")
        assert premium.amount == Decimal("50.00")
        shares = dict(JobShare.objects.filter(line=premium).values_list("job_id", "amount"))
        assert shares == {world.job.pk: Decimal("36.00"), second.pk: Decimal("14.00")}
