"""Invariant: entries, hours, inspections, plans and audit records are not updated, deleted or emptied, by anybody."""

from __future__ import annotations

import pytest
from django.db import DatabaseError

from jobs.services.entries import entry_log
from tests.jobs.sql import as_application, as_owner
from tests.jobs.world import NOW, World, entry

TABLES = (
    "jobs_receipt",
    "jobs_entry",
    "jobs_entryshare",
    "jobs_hours",
    "jobs_inspection",
    "jobs_auditrecord",
    "jobs_workunitmeasure",
    "jobs_planrevision",
    "jobs_wallversion",
)
CHANGES = (
    "UPDATE {} SET organisation_id = organisation_id",
    "DELETE FROM {}",
    "TRUNCATE {} CASCADE",
)


@pytest.mark.parametrize("table", TABLES)
@pytest.mark.parametrize("change", CHANGES)
def test_the_application_is_refused(world: World, table: str, change: str):
    entry_log(actor=world.foreman, request=entry(world, world.unit("A", "TRACK"), "1"), now=NOW)
    with pytest.raises(DatabaseError, match="permission denied"):
        as_application(world, change.format(table))


@pytest.mark.parametrize("table", TABLES)
@pytest.mark.parametrize("change", CHANGES)
def test_the_owner_of_the_tables_is_refused(committed_db: None, table: str, change: str):
    with pytest.raises(DatabaseError, match="never changed or deleted"):
        as_owner(change.format(table))
