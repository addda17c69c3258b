"""A pay run against one INSERT ... SELECT of the rows it writes: same tables, constraints, triggers and role.

Ours closes a week: it gathers, prices everybody with the engine, and writes statements, lines, job shares, allotments
and counted hours. The limit writes the same statements, lines and allotments from tables prepared beforehand. Both are
rolled back, ours after its deferred constraints were checked, so that every round meets the same rows.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from functools import cache
from typing import IO

from django.db import connection, connections, transaction

from payroll.models import PayWeek
from payroll.services.payweeks import payweek_close
from tests.bench.harness import Figure
from tests.payroll.world import AFTER, MONDAY, World, make_world
from tests.support.processes import PROJECT, environment

EACH = 100  # entries of a person in the week
KEPT = ("payroll_statement", "payroll_statementline", "payroll_lineallotment")


@dataclass(frozen=True, slots=True)
class Firm:
    """An organisation with an open week full of work."""

    world: World
    week: PayWeek
    entries: int


def figures() -> list[Figure]:
    """Pay of a week of 10,000, 100,000 and 1,000,000 entries."""
    return [_figure(10_000, rounds=3), _figure(100_000, rounds=3), _figure(1_000_000, rounds=1)]


def _figure(entries: int, rounds: int) -> Figure:
    return Figure(
        name=f"pay run of {entries:,} entries",
        unit="entries",
        ours=lambda: _close(_firm(entries)),
        limit=lambda: _copy(_firm(entries)),
        limit_is="INSERT ... SELECT of the same statements, lines and allotments",
        goal=3,
        goal_is="at most",
        rounds=rounds,
    )


class _Enough(Exception):
    """Raised to roll a finished round back."""


def _rolled_back(firm: Firm, step: Callable[[], None]) -> None:
    try:
        with transaction.atomic(), firm.world.scope():
            step()
            raise _Enough
    except _Enough:
        return


def _close(firm: Firm) -> int:
    _memory_said(firm.entries)
    _rolled_back(firm, lambda: _closed(firm))
    return firm.entries


@cache
def _memory_said(entries: int) -> None:
    """Once a firm, in the round that is not measured: the same run in a process of its own, for its memory."""
    _history()
    firm = _firm(entries)
    command = [sys.executable, "-m", "tests.bench.pay_run_alone"]
    command += [str(given) for given in (firm.world.organisation, firm.world.owner.membership, firm.week.pk)]
    done = subprocess.run(command, cwd=PROJECT, env=environment(), capture_output=True, text=True, check=True)
    print(f"  peak memory of a pay run of {entries:,} entries: {done.stdout.strip()} MB (goal at most 200)", flush=True)


def _closed(firm: Firm) -> None:
    closing = payweek_close(actor=firm.world.owner, pay_week=firm.week.pk, now=AFTER)
    if closing.stopped or closing.statements != firm.entries // EACH:
        raise AssertionError(f"the run stopped people or missed some: {closing.statements}, {closing.stopped[:1]}")
    with connection.cursor() as cursor:
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")


def _copy(firm: Firm) -> int:
    _rows_keep(firm.entries)

    def step() -> None:
        with connection.cursor() as cursor:
            cursor.execute("SET LOCAL enable_seqscan = off")  # as ours does, for the plans that check keys
            for table in KEPT:
                cursor.execute(f"INSERT INTO {table} SELECT * FROM kept_{firm.entries}_{table}")

    _rolled_back(firm, step)
    return firm.entries


@cache
def _rows_keep(entries: int) -> None:
    """Keep what a pay run writes in temporary tables of this session; it passes through a file, for the run is
    undone."""
    firm = _firm(entries)
    files: dict[str, IO[bytes]] = {table: tempfile.TemporaryFile() for table in KEPT}  # noqa: SIM115 - kept until read

    def step() -> None:
        _closed(firm)
        with connection.cursor() as cursor:
            for table, file in files.items():
                with cursor.copy(f"COPY (SELECT * FROM {table} ORDER BY id) TO STDOUT (FORMAT binary)") as copy:
                    for block in copy:
                        file.write(block)

    _rolled_back(firm, step)
    with connection.cursor() as cursor:
        for table, file in files.items():
            name = f"kept_{entries}_{table}"
            cursor.execute(f"CREATE TEMPORARY TABLE {name} (LIKE {table})")
            file.seek(0)
            with cursor.copy(f"COPY {name} FROM STDIN (FORMAT binary)") as copy:
                while block := file.read(1 << 20):
                    copy.write(block)
            cursor.execute(f"ANALYZE {name}")


@cache
def _history() -> None:
    """Close a small firm's week for good and have the tables analysed, as on any site that has paid before.

    Rounds are rolled back, so that the tables would otherwise look empty to the planner, yet be full of dead rows.
    """
    firm = _firm(1_000)
    with transaction.atomic(), firm.world.scope():
        payweek_close(actor=firm.world.owner, pay_week=firm.week.pk, now=AFTER)
    _analyse()


def _analyse() -> None:
    """Tell the planner what was filled in at one go; on a site that fills in a week, PostgreSQL does so by itself."""
    with connections["owner"].cursor() as cursor:
        cursor.execute("ANALYZE")


@cache
def _firm(entries: int) -> Firm:
    """Make a firm whose people each made 100 entries on five days and worked nine hours a day."""
    world = make_world(f"Bench {entries}")
    for code, amount in (("TRACK", "0.85"), ("STUDS", "1.15"), ("BOARD", "0.41"), ("BEAD", "0.62")):
        world.rate(code, amount)
    units = [
        world.unit(code, mark, face, measured="1000000000").pk
        for mark in ("W-1", "W-2")
        for code, face in (("TRACK", ""), ("STUDS", ""), ("BOARD", "left"), ("BOARD", "right"), ("BEAD", ""))
    ]
    given = {
        "people": entries // EACH,
        "each": EACH,
        "entries": entries,
        "units": units,
        "job": world.job.pk,
        "by": world.owner.membership,
        "first": MONDAY,
        "now": AFTER - timedelta(days=3),
        "organisation": world.organisation,
    }
    for block in range(0, entries, 100_000):
        with transaction.atomic(), world.scope(), connection.cursor() as cursor:
            given |= {"from": block, "to": min(block + 100_000, entries) - 1}
            for sql in _FILL.split(";"):
                cursor.execute(sql, given)
    with connection.cursor() as cursor, transaction.atomic(), world.scope():
        cursor.execute(_HOURS, given)
    _analyse()
    return Firm(world, world.week(), entries)


_FILL = """
INSERT INTO jobs_person (organisation_id, name, number, worker_class, started_on, language)
SELECT %(organisation)s, 'Person ' || p, p::text, 'journeyman', '2026-01-05', 'en'
  FROM generate_series(%(from)s / %(each)s, %(to)s / %(each)s) p;
CREATE TEMPORARY TABLE filled ON COMMIT DROP AS
SELECT gen_random_uuid() AS uuid, p.id AS person_id, n, (%(units)s::bigint[])[1 + n %% 10] AS work_unit_id,
       %(first)s::date + (n / 20 %% 5)::int AS worked_on, (10 + n %% 83 + (n %% 4) * 0.25)::numeric(14, 4) AS quantity
  FROM generate_series(%(from)s, %(to)s) n
  JOIN jobs_person p ON p.organisation_id = %(organisation)s AND p.number = (n / %(each)s)::text;
INSERT INTO jobs_receipt (organisation_id, uuid, kind, request, membership_id, made_at, received_at)
SELECT %(organisation)s, uuid, 'entry', '{}', %(by)s, %(now)s, %(now)s FROM filled;
INSERT INTO jobs_entry (organisation_id, uuid, job_id, work_unit_id, worked_on, quantity, logged_by_id, received_at)
SELECT %(organisation)s, uuid, %(job)s, work_unit_id, worked_on, quantity, %(by)s, %(now)s FROM filled ORDER BY n;
INSERT INTO jobs_entryshare (organisation_id, entry_id, person_id, quantity)
SELECT %(organisation)s, e.id, f.person_id, f.quantity
  FROM filled f JOIN jobs_entry e ON e.organisation_id = %(organisation)s AND e.uuid = f.uuid ORDER BY e.id
"""
_HOURS = """
WITH worked AS (
  SELECT gen_random_uuid() AS uuid, p.id AS person_id, %(first)s::date + d AS worked_on
    FROM jobs_person p, generate_series(0, 4) d WHERE p.organisation_id = %(organisation)s
), received AS (
  INSERT INTO jobs_receipt (organisation_id, uuid, kind, request, membership_id, made_at, received_at)
  SELECT %(organisation)s, uuid, 'hours', '{}', %(by)s, %(now)s, %(now)s FROM worked
)
INSERT INTO jobs_hours (organisation_id, uuid, job_id, person_id, worked_on, kind, minutes, logged_by_id, received_at)
SELECT %(organisation)s, uuid, %(job)s, person_id, worked_on, 'piece', 540, %(by)s, %(now)s FROM worked
"""
