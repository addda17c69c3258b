"""The long statements of a single entry are planned once a connection; those of a batch anew, for their size."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

from django.db import connection

from jobs.prepared import cursor_for
from jobs.services.entries import entry_batch_log, entry_correct, entry_log
from jobs.signin import device_by_token
from tests.jobs.sql import as_application
from tests.jobs.world import NOW, World, entry, unit_now

WRITTEN = "WITH received AS%"


def planned(statement: str) -> int:
    """How many plans this connection keeps of statements like this one."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT count(*) FROM pg_prepared_statements WHERE btrim(statement, E' \\n') LIKE %s", [statement]
        )
        return int(cursor.fetchone()[0])


def test_a_hundred_entries_one_by_one_are_planned_once_and_a_batch_never(world: World):
    unit = world.unit("A", "TRACK")
    before = planned(WRITTEN)
    entry_batch_log(actor=world.foreman, requests=[entry(world, unit, "0.1"), entry(world, unit, "0.1")], now=NOW)
    assert planned(WRITTEN) == before
    for _ in range(20):
        entry_log(actor=world.foreman, request=entry(world, unit, "0.01"), now=NOW)
    assert planned(WRITTEN) <= max(before, 1)
    assert planned(WRITTEN) >= 1


def test_without_a_device_and_with_one_a_correction_follows_its_entry(world: World):
    """The same plan takes a value that is missing: an entry from a page has no device, a first one replaces nothing."""
    unit = world.unit("A", "TRACK")
    phone = device_by_token(world.tokens["foreman"], datetime.now(UTC))
    assert phone is not None and phone.actor.device is not None
    assert world.foreman.device is None
    for actor in (world.foreman, phone.actor):
        for _ in range(7):
            first = entry_log(actor=actor, request=entry(world, unit, "0.5"), now=NOW)
            corrected = replace(entry(world, unit, "0.25"), replaces=first.uuid)
            assert entry_correct(actor=actor, request=corrected, now=NOW).replaces == first.uuid
    assert unit_now(world, unit).done == 14 * entry(world, unit, "0.25").quantity


def test_a_value_never_becomes_part_of_the_statement(world: World):
    assert as_application(world, "SELECT 1") == [(1,)]
    with cursor_for(1) as cursor:
        cursor.execute("SELECT %s::text", ["'; DROP TABLE jobs_entry; --"])
        assert cursor.fetchone() == ("'; DROP TABLE jobs_entry; --",)
