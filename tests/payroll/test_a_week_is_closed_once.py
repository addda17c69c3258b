"""Closing a pay week: by a named person, once, whatever two processes or a dying one do."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from dataclasses import replace

import pytest
from django.db import connections, transaction

from jobs.refusals import Conflict, NotAllowed
from payroll.models import LineAllotment, PayWeek, Statement
from payroll.selectors.chain_check import chain_breaks
from payroll.services.payweeks import payweek_close
from tests.payroll.world import AFTER, MONDAY, NEXT_MONDAY, World, make_world
from tests.support.processes import PROJECT, environment


def small_week(people: int = 3) -> World:
    """A world whose week has one entry shared by a few people, with hours."""
    world = make_world()
    crew = [world.person(f"Person {number}") for number in range(people)]
    world.rate("BOARD", "0.41")
    world.entry(world.unit("BOARD", face="left", layer=1), "1000", *crew)
    for person in crew:
        world.hours(person, "9")
    return world


def closing_process(world: World, week: PayWeek, at: float = 0.0) -> subprocess.Popen[str]:
    """Another process that closes the week at a moment of the clock."""
    command = [sys.executable, "-m", "tests.payroll.closing_process"]
    command += [str(world.organisation), str(world.owner.membership), str(week.pk), str(at)]
    return subprocess.Popen(
        command, cwd=PROJECT, env=environment(), stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    )


@pytest.mark.django_db
def test_a_second_closing_is_refused_and_writes_nothing():
    world = small_week()
    world.close()
    with pytest.raises(Conflict, match=r"the week of 2026-11-02 was closed at .* and is closed once"):
        world.close()
    with transaction.atomic(), world.scope():
        assert Statement.objects.count() == 3


@pytest.mark.django_db
def test_only_a_named_person_of_the_office_closes():
    world = small_week()
    week = world.week()
    foreman = replace(world.owner, role="foreman")
    nobody = replace(world.owner, membership=None)
    for actor in (foreman, nobody):
        with pytest.raises(NotAllowed):
            payweek_close(actor=actor, pay_week=week.pk, now=AFTER)


@pytest.mark.django_db
def test_a_week_that_has_not_ended_at_the_organisation_stays_open():
    world = small_week()
    week = world.week()
    # Sunday the 8th, 23:30 in Chicago, is Monday 05:30 UTC: derived from the zone's offset of six hours in November.
    sunday_night = AFTER.replace(day=9, hour=5, minute=30)
    with pytest.raises(Conflict, match=r"ends on 2026-11-08, and today is 2026-11-08"):
        payweek_close(actor=world.owner, pay_week=week.pk, now=sunday_night)
    payweek_close(actor=world.owner, pay_week=week.pk, now=sunday_night.replace(hour=6, minute=1))


def test_two_processes_make_one_set_of_statements(committed_db: None):
    world = small_week()
    week = world.week()
    moment = time.time() + 3
    outputs = [
        process.communicate(timeout=60)[0] for process in [closing_process(world, week, moment) for _ in range(2)]
    ]
    assert sorted(output.split()[0] for output in outputs) == ["Conflict", "closed"], outputs
    with transaction.atomic(), world.scope():
        assert Statement.objects.count() == 3
        assert LineAllotment.objects.count() == 3
        assert PayWeek.objects.get(pk=week.pk).state == "closed"
        assert chain_breaks() == []


# What a closing writes, in its order: statements, lines, job shares, allotments, counted hours, then its audit record
# after the week itself was set to closed.
STEPS = (
    "payroll_statement",
    "payroll_statementline",
    "payroll_jobshare",
    "payroll_lineallotment",
    "payroll_statementhours",
    "jobs_auditrecord",
)


@pytest.mark.parametrize("table", STEPS)
def test_a_process_killed_in_the_middle_leaves_an_open_week_and_nothing_else(committed_db: None, table: str):
    world = small_week()
    week = world.week()
    with connections["owner"].cursor() as cursor, transaction.atomic(using="owner"):
        # The closing hangs before it writes into this table, and is killed there.
        cursor.execute(f"LOCK TABLE {table} IN EXCLUSIVE MODE")
        process = closing_process(world, week)
        waiting = f"SELECT count(*) FROM pg_locks WHERE relation = '{table}'::regclass AND NOT granted"
        for _ in range(300):
            cursor.execute(waiting)
            if cursor.fetchone()[0]:
                break
            time.sleep(0.1)
        else:
            pytest.fail(f"the closing never came to {table}: {process.poll()}")
        os.kill(process.pid, signal.SIGKILL)
        process.wait()
    with transaction.atomic(), world.scope():
        assert PayWeek.objects.get(pk=week.pk).state == "open"
        assert not Statement.objects.exists()
    assert world.close().statements == 3
    with transaction.atomic(), world.scope():
        assert chain_breaks() == []
        assert Statement.objects.count() == 3


def test_weeks_closed_one_after_another_hang_in_one_chain(committed_db: None):
    world = small_week()
    person = world.person("Somebody else")
    world.entry(world.unit("BOARD", face="right", layer=1), "500", person, on=NEXT_MONDAY)
    world.hours(person, "8", on=NEXT_MONDAY)
    world.close(MONDAY)
    world.close(NEXT_MONDAY)
    with transaction.atomic(), world.scope():
        assert list(Statement.objects.order_by("number").values_list("number", flat=True)) == [1, 2, 3, 4]
        assert chain_breaks() == []
        second = Statement.objects.get(number=2)
    with connections["owner"].cursor() as cursor:
        cursor.execute("ALTER TABLE payroll_statementline DISABLE TRIGGER payroll_statementline_append_only")
        cursor.execute("UPDATE payroll_statementline SET text = 'something else' WHERE statement_id = %s", [second.pk])
        cursor.execute("ALTER TABLE payroll_statementline ENABLE TRIGGER payroll_statementline_append_only")
    with transaction.atomic(), world.scope():
        assert chain_breaks() == ["statement 2: its rows are not those that its digest was made from."]
