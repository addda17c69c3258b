"""A phone that was off line: 500 mixed operations at once; and what changed among 100,000 work units.

What was sent is held against COPY and INSERT ... SELECT of the same rows. What changed should cost by what changed, not
by how much stands: at most twice the same call in a small world. The first time, all of it, in five seconds at most.
"""

from __future__ import annotations

import json
from datetime import timedelta
from functools import cache
from typing import Any
from uuid import UUID, uuid4

from django.db import connection, transaction
from django.test import Client

from jobs.tenancy import organisation_scope
from tests.bench.bench_entries import TEMPORARY, copy_entries, copy_rows
from tests.bench.harness import Figure
from tests.jobs.world import DAY, NOW, World, entry_json, make_world

ENTRIES, HOURS, INSPECTIONS = 300, 150, 50
UNITS, CHANGED = 100_000, 100


def figures() -> list[Figure]:
    return [
        Figure(
            "sync of 500 mixed operations", "operations", _synced, _copied,
            "COPY and INSERT ... SELECT of the same rows, same role and constraints", 0.3, "at least",
        ),
        Figure(
            "changes: 100 of 100,000 work units", "rows", _changed, _changed_of_few,
            "the same call where there are no others", 0.5, "at least",
        ),
        Figure(
            "changes: 100,000 work units from nothing", "rows", _everything, None,
            "", 20_000, "at least", rounds=3,
        ),
    ]  # fmt: skip


@cache
def _world() -> World:
    """A world whose work unit never runs out."""
    world = make_world()
    with transaction.atomic(), organisation_scope(world.organisation), connection.cursor() as cursor:
        cursor.execute("UPDATE jobs_workunit SET measured = 999999999")
    return world


def _days(world: World) -> list[tuple[int, Any]]:
    """A person and a day for each of the hours: one minute each, so that no day fills up."""
    return [(world.people[n % 5], DAY - timedelta(days=n // 5)) for n in range(HOURS)]


def _synced() -> int:
    world = _world()
    unit = world.unit("A", "TRACK")
    operations: list[dict[str, Any]] = [{"entry": entry_json(world, unit, "1")} for _ in range(ENTRIES)]
    operations += [{"hours": _hours(world, person, day)} for person, day in _days(world)]
    operations += [{"inspection": _inspection(unit)} for _ in range(INSPECTIONS)]
    answer = _call(world, "/api/sync/", {"operations": operations})
    if any(one["status"] != 201 for one in answer["operations"]):
        raise RuntimeError(str([one for one in answer["operations"] if one["status"] != 201][:3]))
    return len(operations)


def _hours(world: World, person: int, day: Any) -> dict[str, Any]:
    return {
        "uuid": str(uuid4()), "job": world.job, "person": person, "worked_on": day.isoformat(), "kind": "rest",
        "hours": "0:01", "made_at": NOW.isoformat(),
    }  # fmt: skip


def _inspection(unit: int) -> dict[str, Any]:
    return {
        "uuid": str(uuid4()), "work_unit": unit, "verdict": "accepted", "inspected_on": DAY.isoformat(),
        "made_at": NOW.isoformat(),
    }  # fmt: skip


def _copied() -> int:
    world = _world()
    unit, member, scope = world.unit("A", "TRACK"), world.foreman.membership, world.organisation
    with transaction.atomic(), organisation_scope(scope), connection.cursor() as cursor:
        for table in (*TEMPORARY, "hours", "inspection"):
            cursor.execute(
                f"CREATE TEMP TABLE IF NOT EXISTS copy_{table} ON COMMIT DELETE ROWS AS "
                f"SELECT * FROM jobs_{table} WITH NO DATA"
            )
        copy_entries(world, [uuid4() for _ in range(ENTRIES)])
        cursor.execute("DELETE FROM copy_receipt; DELETE FROM copy_auditrecord")
        hours = [(uuid4(), person, day) for person, day in _days(world)]
        inspections = [uuid4() for _ in range(INSPECTIONS)]
        _received(world, "hours", [uuid for uuid, _, _ in hours])
        copy_rows(
            "hours",
            "organisation_id, uuid, job_id, person_id, worked_on, kind, minutes, logged_by_id, received_at",
            [(scope, uuid, world.job, person, day, "rest", 1, member, NOW) for uuid, person, day in hours],
        )
        cursor.execute("DELETE FROM copy_receipt; DELETE FROM copy_auditrecord")
        _received(world, "inspection", inspections)
        copy_rows(
            "inspection",
            "organisation_id, uuid, work_unit_id, verdict, inspected_on, inspected_by_id, received_at, reason_digest",
            [(scope, uuid, unit, "accepted", DAY, member, NOW, "") for uuid in inspections],
        )
    return ENTRIES + HOURS + INSPECTIONS


def _received(world: World, kind: str, uuids: list[UUID]) -> None:
    scope, member = world.organisation, world.foreman.membership
    copy_rows("receipt", "organisation_id, uuid, kind, request, membership_id, made_at, received_at",
              [(scope, uuid, kind, "{}", member, NOW, NOW) for uuid in uuids])  # fmt: skip
    copy_rows("auditrecord", "organisation_id, at, actor_id, action, subject_kind, subject_key, after, digest",
              [(scope, NOW, member, f"{kind}_log", kind, str(uuid), "{}", b"0" * 32) for uuid in uuids])  # fmt: skip


@cache
def _grown(units: int) -> tuple[World, str]:
    """A world with so many more work units, and a cursor that has seen them all before 100 of them changed."""
    world = make_world()
    like = world.unit("A", "TRACK")
    columns = (
        "organisation_id, job_id, level_id, wall_id, operation_id, face, layer, measured, done, revision_id, because"
    )
    with transaction.atomic(), organisation_scope(world.organisation), connection.cursor() as cursor:
        cursor.execute(
            f"INSERT INTO jobs_workunit ({columns}, opening) SELECT {columns}, 'X' || n "
            "FROM jobs_workunit, generate_series(1, %s) n WHERE id = %s",
            [units, like],
        )
    since = _pages(world, None)[1]
    with transaction.atomic(), organisation_scope(world.organisation), connection.cursor() as cursor:
        cursor.execute(
            "UPDATE jobs_workunit SET measured = measured + 1 WHERE id IN "
            "(SELECT id FROM jobs_workunit WHERE opening LIKE 'X%%' ORDER BY id LIMIT %s)",
            [CHANGED],
        )
    return world, since


def _pages(world: World, since: str | None) -> tuple[int, str]:
    """Every page from a cursor on: how many work units they told, and the last cursor."""
    told = 0
    while True:
        query = {"since": since} if since else {}
        page = _call(world, "/api/changes/", query=query)
        told += len(page["work_units"])
        since = page["cursor"]
        if not page["more"]:
            return told, str(since)


def _changed() -> int:
    return _told_again(UNITS)


def _told_again(units: int) -> int:
    """Ask ten times from the same cursor on."""
    world, since = _grown(units)
    told = sum(_pages(world, since)[0] for _ in range(10))
    if told != 10 * CHANGED:
        raise RuntimeError(f"{told} rows were told instead of {10 * CHANGED}")
    return told


def _changed_of_few() -> int:
    return _told_again(CHANGED)


def _everything() -> int:
    return _pages(_grown(UNITS)[0], None)[0]


def _call(world: World, path: str, body: Any = None, query: Any = None) -> dict[str, Any]:
    headers = {"Authorization": f"Token {world.tokens['foreman']}"}
    client = Client()
    answer = (
        client.get(path, query or {}, headers=headers)
        if body is None
        else client.post(path, json.dumps(body), "application/json", headers=headers)
    )
    if answer.status_code != 200:
        raise RuntimeError(f"{path}: {answer.status_code} {answer.content[:500]!r}")
    told: dict[str, Any] = answer.json()
    return told
