"""Entries by the API: one against a bare create, a batch of 100 against COPY and INSERT ... SELECT of the same rows."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import cache
from typing import Any
from uuid import UUID, uuid4

from django.db import connection, transaction
from django.test import Client, override_settings

from jobs.tenancy import organisation_scope
from jobs.tenancy_sql import app_role
from tests.bench.bare import make_tables
from tests.bench.harness import Figure
from tests.jobs.world import DAY, NOW, World, entry_json, make_world

SINGLES = 100
BATCH = 100
TEMPORARY = ("receipt", "entry", "entryshare", "auditrecord")


def figures() -> list[Figure]:
    return [
        Figure(
            "one entry by API", "entries", _singles, _bare,
            "a bare DRF create, token and durable commit", 0.6, "at least",
        ),
        Figure(
            "a batch of 100 entries by API", "entries", _batches, _copies,
            "COPY and INSERT ... SELECT of the same rows, same role and constraints", 0.3, "at least",
        ),
    ]  # fmt: skip


@cache
def _world() -> World:
    """A world whose work unit never runs out, and the tables of the bare view."""
    world = make_world()
    with transaction.atomic(), organisation_scope(world.organisation), connection.cursor() as cursor:
        cursor.execute("UPDATE jobs_workunit SET measured = 999999999")
    make_tables("0123456789abcdef", world.foreman.user or 0, app_role())
    return world


def _post(path: str, token: str) -> Callable[[dict[str, Any]], None]:
    client = Client()

    def post(body: dict[str, Any]) -> None:
        with override_settings(ROOT_URLCONF="tests.bench.bare"):
            answer = client.post(
                path, json.dumps(body), "application/json", headers={"Authorization": f"Token {token}"}
            )
        if answer.status_code not in {200, 201}:
            raise RuntimeError(f"{path}: {answer.status_code} {answer.content!r}")

    return post


def _singles() -> int:
    world = _world()
    post = _post("/api/entries/", world.tokens["foreman"])
    for _ in range(SINGLES):
        post(entry_json(world, world.unit("A", "TRACK"), "1"))
    return SINGLES


def _bare() -> int:
    world = _world()
    post = _post("/bare/", "0123456789abcdef")
    for _ in range(SINGLES):
        body = entry_json(world, world.unit("A", "TRACK"), "1")
        post({key: body[key] for key in ("uuid", "work_unit", "worked_on", "quantity", "made_at")})
    return SINGLES


def _batches() -> int:
    world = _world()
    post = _post("/api/entries/batch/", world.tokens["foreman"])
    for _ in range(5):
        post({"entries": [entry_json(world, world.unit("A", "TRACK"), "1") for _ in range(BATCH)]})
    return 5 * BATCH


def _copies() -> int:
    """The same rows as `_batches` writes: receipts, entries, five shares each, audit records."""
    world = _world()
    for _ in range(5):
        with transaction.atomic(), organisation_scope(world.organisation), connection.cursor() as cursor:
            for table in TEMPORARY:
                cursor.execute(
                    f"CREATE TEMP TABLE IF NOT EXISTS copy_{table} ON COMMIT DELETE ROWS AS "
                    f"SELECT * FROM jobs_{table} WITH NO DATA"
                )
            copy_entries(world, [uuid4() for _ in range(BATCH)])
    return 5 * BATCH


def copy_entries(world: World, uuids: list[UUID]) -> None:
    unit, member = world.unit("A", "TRACK"), world.foreman.membership
    request = json.dumps({key: str(value) for key, value in entry_json(world, unit, "1").items()})
    scope = world.organisation
    copy_rows("receipt", "organisation_id, uuid, kind, request, membership_id, made_at, received_at",
          [(scope, uuid, "entry", request, member, NOW, NOW) for uuid in uuids])  # fmt: skip
    copy_rows("entry", "organisation_id, uuid, job_id, work_unit_id, worked_on, quantity, logged_by_id, received_at",
          [(scope, uuid, world.job, unit, DAY, 1, member, NOW) for uuid in uuids])  # fmt: skip
    with connection.cursor() as cursor:
        cursor.execute("SELECT id FROM jobs_entry WHERE organisation_id = %s AND uuid = ANY(%s)", [scope, uuids])
        ids = [row[0] for row in cursor.fetchall()]
    copy_rows("entryshare", "organisation_id, entry_id, person_id, quantity",
          [(scope, entry, person, "0.2") for entry in ids for person in world.people])  # fmt: skip
    copy_rows("auditrecord", "organisation_id, at, actor_id, action, subject_kind, subject_key, after, digest",
          [(scope, NOW, member, "entry_log", "entry", str(uuid), request, b"0" * 32) for uuid in uuids])  # fmt: skip


def copy_rows(table: str, columns: str, rows: list[tuple[Any, ...]]) -> None:
    with connection.cursor() as cursor:
        with cursor.copy(f"COPY copy_{table} ({columns}) FROM STDIN") as copy:
            for row in rows:
                copy.write_row(row)
        cursor.execute(f"INSERT INTO jobs_{table} ({columns}) SELECT {columns} FROM copy_{table}")
