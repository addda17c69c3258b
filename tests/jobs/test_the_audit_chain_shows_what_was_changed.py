"""The audit chain: sealed without holding writers up, once and in one line; what an owner changes is found, named."""

from __future__ import annotations

import hashlib
from io import StringIO

import pytest
from django.apps import apps
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connections, transaction

from config.schedule import SCHEDULE
from jobs.models import AuditLink, AuditRecord
from jobs.selectors.audit_chain import chain_head, unsealed_tail
from jobs.services.audit_sealing import audit_seal
from jobs.services.entries import entry_log
from jobs.services.hours import hours_log
from jobs.tasks import audit_seal_due, audit_seal_organisation
from jobs.tenancy import organisation_scope
from tests.jobs.fixtures import Worlds
from tests.jobs.sql import as_application, as_owner
from tests.jobs.world import NOW, World, entry, hours, make_world
from tests.support.at_once import at_once


def links(world: World) -> list[tuple[int, int, bytes, bytes]]:
    """(number, record, record's digest, link's digest), in the order of the chain."""
    with transaction.atomic(), organisation_scope(world.organisation):
        rows = AuditLink.objects.select_related("record").order_by("number")
        return [(row.number, row.record_id, bytes(row.record.digest), bytes(row.digest)) for row in rows]


def behind_the_triggers(table: str, statement: str, values: list[object]) -> None:
    """Change rows as somebody does who may do all: with the triggers off."""
    with transaction.atomic(using="owner"), connections["owner"].cursor() as cursor:
        cursor.execute(f"ALTER TABLE {table} DISABLE TRIGGER USER")
        cursor.execute(statement, values)
        assert cursor.rowcount > 0
        cursor.execute(f"ALTER TABLE {table} ENABLE TRIGGER USER")


def verify(world: World, **options: object) -> str:
    """What verify_chain prints. Raises CommandError where it would end with 1; its output is then in the message."""
    out = StringIO()
    try:
        call_command("verify_chain", organisation=world.organisation, stdout=out, **options)
    except CommandError as error:
        raise CommandError(out.getvalue() + str(error)) from error
    return out.getvalue()


@pytest.fixture
def sealed(committed_world: World) -> World:
    """A world with an entry and hours, all sealed."""
    world = committed_world
    entry_log(actor=world.foreman, request=entry(world, world.unit("A", "TRACK"), "1.25"), now=NOW)
    hours_log(actor=world.foreman, request=hours(world, world.people[0], 90), now=NOW)
    assert audit_seal(organisation=world.organisation, now=NOW) > 0
    return world


def test_every_link_is_made_of_the_one_before_and_its_record(sealed: World):
    before = bytes(32)
    for nth, (number, _, record, link) in enumerate(links(sealed), start=1):
        assert number == nth
        # derived: the rule of the chain, written out here on its own.
        assert link == hashlib.sha256(before + nth.to_bytes(8, "big") + record).digest()
        before = link
    assert "nothing found" in verify(sealed)


def test_sealing_again_changes_nothing(sealed: World):
    before = links(sealed)
    assert audit_seal(organisation=sealed.organisation, now=NOW) == 0
    assert links(sealed) == before


def test_sealers_at_once_make_one_line(committed_world: World):
    world = committed_world
    counts = at_once(lambda _: audit_seal(organisation=world.organisation, now=NOW), list(range(6)))
    with transaction.atomic(), organisation_scope(world.organisation):
        assert sum(counts) == AuditRecord.objects.count() == AuditLink.objects.count()
    assert [number for number, *_ in links(world)] == list(range(1, sum(counts) + 1))


def test_what_commits_late_stands_later_and_nobody_waited(committed_world: World):
    world = committed_world
    # A writer that has written, with a lower id, and not committed while another commits and the sealer runs.
    with transaction.atomic():
        entry_log(actor=world.foreman, request=entry(world, world.unit("A", "TRACK"), "1"), now=NOW)
        with organisation_scope(world.organisation):
            late = AuditRecord.objects.latest("pk").pk

        def meanwhile(_: int) -> int:
            hours_log(actor=world.foreman, request=hours(world, world.people[0], 60), now=NOW)
            return audit_seal(organisation=world.organisation, now=NOW)

        assert at_once(meanwhile, [1])[0] > 0
        assert late not in [record for _, record, *_ in links(world)]
    assert audit_seal(organisation=world.organisation, now=NOW) == 1
    order = [record for _, record, *_ in links(world)]
    assert order[-1] == late < max(order)
    assert "nothing found" in verify(world)


def test_what_is_not_sealed_is_told(sealed: World):
    hours_log(actor=sealed.foreman, request=hours(sealed, sealed.people[1], 60), now=NOW)
    with transaction.atomic(), organisation_scope(sealed.organisation):
        tail = unsealed_tail()
    assert (tail.count, tail.oldest) == (1, NOW)
    assert "not sealed yet: 1, the oldest of 2026-11-20 18:00:00 UTC" in verify(sealed)


@pytest.mark.parametrize(
    ("forge", "named"),
    [
        ("UPDATE jobs_auditrecord SET after = '{{\"quantity\": \"9\"}}' WHERE id = {record}", "audit record {record}"),
        ("UPDATE jobs_auditrecord SET actor_id = NULL WHERE id = {record}", "audit record {record}"),
        ("UPDATE jobs_auditrecord SET at = at - interval '1 day' WHERE id = {record}", "audit record {record}"),
        ("UPDATE jobs_auditrecord SET digest = sha256('x') WHERE id = {record}", "link {number}, "),
        ("UPDATE jobs_auditlink SET digest = sha256('x') WHERE record_id = {record}", "link {number}, "),
        ("DELETE FROM jobs_auditlink WHERE record_id = {record}", "links {number} to {number} are missing"),
    ],
    ids=["content", "actor", "time", "digest", "link", "link removed"],
)  # fmt: skip
def test_a_row_changed_by_whoever_owns_the_tables_is_named(sealed: World, forge: str, named: str):
    number, record = next((n, r) for n, r, *_ in links(sealed) if n == len(links(sealed)) - 1)
    table = forge.split()[2] if forge.startswith("DELETE") else forge.split()[1]
    behind_the_triggers(table, forge.format(record=record, number=number), [])
    with pytest.raises(CommandError, match=named.format(record=record, number=number)):
        verify(sealed)


def test_a_record_that_was_removed_with_its_key_is_named(sealed: World):
    number, record, *_ = links(sealed)[2]
    key = "FOREIGN KEY (organisation_id, record_id) REFERENCES jobs_auditrecord (organisation_id, id)"
    with transaction.atomic(using="owner"), connections["owner"].cursor() as cursor:
        cursor.execute("ALTER TABLE jobs_auditlink DROP CONSTRAINT jobs_auditlink_record_own")
        cursor.execute("ALTER TABLE jobs_auditrecord DISABLE TRIGGER USER")
        cursor.execute("DELETE FROM jobs_auditrecord WHERE id = %s", [record])
        cursor.execute("ALTER TABLE jobs_auditrecord ENABLE TRIGGER USER")
        cursor.execute(f"ALTER TABLE jobs_auditlink ADD CONSTRAINT jobs_auditlink_record_own {key} NOT VALID")
    with pytest.raises(CommandError, match=f"link {number}: its audit record {record} was removed"):
        verify(sealed)


@pytest.mark.parametrize(
    ("table", "forge", "named"),
    [
        ("jobs_entry", "UPDATE jobs_entry SET quantity = 2 WHERE organisation_id = %s", "is 2.0000, logged was 1.25"),
        ("jobs_entry", "UPDATE jobs_entry SET worked_on = '2026-11-17' WHERE organisation_id = %s", "is 2026-11-17"),
        (
            "jobs_entry",
            "UPDATE jobs_entry SET started_at = worked_on, finished_at = worked_on + 1 WHERE organisation_id = %s",
            "when in the day it was made is not what was logged",
        ),
        (
            "jobs_entryshare",
            "UPDATE jobs_entryshare SET quantity = quantity * 2 WHERE organisation_id = %s",
            "its shares are not those that were logged",
        ),
        (
            "jobs_hours",
            "UPDATE jobs_hours h SET person_id = (SELECT max(p.id) FROM jobs_person p WHERE p.organisation_id = "
            "h.organisation_id AND p.id <> h.person_id) WHERE organisation_id = %s",
            "they are of person .* logged was person",
        ),
        ("jobs_hours", "UPDATE jobs_hours SET minutes = 91 WHERE organisation_id = %s", "they are 91 minutes of piece"),
        ("jobs_hours", "DELETE FROM jobs_hours WHERE organisation_id = %s", "they were removed"),
    ],
)  # fmt: skip
def test_a_changed_entry_or_hours_is_found_by_the_record_of_its_making(
    sealed: World, table: str, forge: str, named: str
):
    behind_the_triggers(table, forge, [sealed.organisation])
    with pytest.raises(CommandError, match=named):
        verify(sealed)


def test_a_head_written_down_shows_a_chain_made_anew(sealed: World):
    with transaction.atomic(), organisation_scope(sealed.organisation):
        head = str(chain_head())
    assert "nothing found" in verify(sealed, head=head)
    # Somebody who may do all drops the end of the chain, changes a record that was in it, and lets it be sealed again.
    behind_the_triggers(
        "jobs_auditlink", "DELETE FROM jobs_auditlink WHERE organisation_id = %s", [sealed.organisation]
    )
    audit_seal(organisation=sealed.organisation, now=NOW)
    assert "nothing found" in verify(sealed, head=head)  # the same content makes the same chain
    behind_the_triggers(
        "jobs_auditlink", "DELETE FROM jobs_auditlink WHERE organisation_id = %s", [sealed.organisation]
    )
    hours_log(actor=sealed.foreman, request=hours(sealed, sealed.people[1], 60), now=NOW)
    behind_the_triggers(
        "jobs_auditrecord",
        "DELETE FROM jobs_auditrecord r WHERE organisation_id = %s AND action = 'person_create'",
        [sealed.organisation],
    )
    audit_seal(organisation=sealed.organisation, now=NOW)
    assert "nothing found" in verify(sealed)
    with pytest.raises(CommandError, match=r"before the head|not the head written down before"):
        verify(sealed, head=head)


@pytest.mark.parametrize("table", ["jobs_auditlink", "jobs_auditrecord"])
def test_neither_application_nor_owner_changes_the_chain(sealed: World, table: str):
    for change in (f"UPDATE {table} SET organisation_id = organisation_id", f"DELETE FROM {table}"):
        with pytest.raises(DatabaseError, match="permission denied"):
            as_application(sealed, change)
        with pytest.raises(DatabaseError, match="never changed or deleted"):
            as_owner(change)


@pytest.mark.parametrize(
    ("number", "record", "named"),
    [(1, "new", "audit_chain_has_one_line"), (10**6, "sealed", "audit_record_is_sealed_once")],
)
def test_the_database_keeps_one_line(sealed: World, number: int, record: str, named: str):
    hours_log(actor=sealed.foreman, request=hours(sealed, sealed.people[1], 60), now=NOW)
    newest = as_application(sealed, "SELECT max(id) FROM jobs_auditrecord")[0][0]
    wanted = newest if record == "new" else links(sealed)[0][1]
    with pytest.raises(DatabaseError, match=named):
        as_application(
            sealed,
            "INSERT INTO jobs_auditlink (organisation_id, number, record_id, digest, sealed_at) "
            "VALUES (%s, %s, %s, '', now())",
            [sealed.organisation, number, wanted],
        )


def test_a_link_cannot_hold_a_record_of_another_organisation(committed_worlds: Worlds):
    ours, theirs, _ = committed_worlds
    record = as_application(theirs, "SELECT max(id) FROM jobs_auditrecord")[0][0]
    with pytest.raises(DatabaseError, match="jobs_auditlink_record_own"):
        as_application(
            ours,
            "INSERT INTO jobs_auditlink (organisation_id, number, record_id, digest, sealed_at) "
            "VALUES (%s, 1, %s, '', now())",
            [ours.organisation, record],
        )


def test_one_organisations_chain_says_nothing_of_anothers(sealed: World):
    other = make_world("Bramble Partitions")
    audit_seal(organisation=other.organisation, now=NOW)
    record = links(other)[0][1]
    behind_the_triggers("jobs_auditrecord", "UPDATE jobs_auditrecord SET before = '{}' WHERE id = %s", [record])
    assert "nothing found" in verify(sealed)
    with pytest.raises(CommandError, match=f"audit record {record} "):
        verify(other)


def test_the_worker_seals_what_beat_asks_for(committed_world: World, worker: None):
    assert audit_seal_organisation.delay(committed_world.organisation).get(timeout=60) > 0
    assert audit_seal_organisation.delay(committed_world.organisation).get(timeout=60) == 0
    assert [entry for entry in SCHEDULE.values() if entry["task"] == audit_seal_due.name]


@pytest.mark.parametrize("text", ["12", "12:zz", "x"])
def test_a_head_that_is_none_is_refused(committed_world: World, text: str):
    with pytest.raises(CommandError, match=r"is no head. Give it as it was printed"):
        verify(committed_world, head=text)


def test_an_unknown_organisation_is_refused(committed_db: None):
    with pytest.raises(CommandError, match="organisation 999999999 was not found"):
        call_command("verify_chain", organisation=999999999)


def every_table() -> list[str]:
    return sorted(m._meta.db_table for m in apps.get_models() if m._meta.app_label in {"jobs", "payroll"})


@pytest.mark.parametrize("table", every_table())
def test_no_table_is_ever_emptied(committed_db: None, table: str):
    with pytest.raises(DatabaseError, match="TRUNCATE of"):
        as_owner(f"TRUNCATE {table} CASCADE")
