"""A complete export restores to the same organisation: same UUIDs, figures, documents and hashes; a second export of
it equals the first but for ids. What is not whole is refused, and nothing is left of it."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import os
import threading
import zipfile
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection, transaction
from pypdf import PdfReader

from jobs.actors import Actor
from jobs.audit import canonical
from jobs.models import (
    AuditRecord,
    Device,
    Entry,
    FormerId,
    Hours,
    Invitation,
    JobAccess,
    Membership,
    Organisation,
    Person,
    Receipt,
    Word,
    WorkUnit,
)
from jobs.refusals import NotAllowed, UuidReused
from jobs.requests import InspectionRequest, WordRequest
from jobs.selectors.audit_chain import audit_breaks
from jobs.selectors.words import disputes_open
from jobs.services.audit_sealing import audit_seal
from jobs.services.inspections import inspection_record
from jobs.services.words import word_say
from jobs.tenancy import organisation_scope
from payroll.exchange_tables import COLUMNS_LEFT_OUT, FORMER_IDS, LEFT_OUT, ORDER, TOLD, record_labels, tables
from payroll.models import PayWeek, Statement, WeeklyReport
from payroll.selectors.chain_check import chain_breaks
from payroll.services.organisation_export import organisation_export
from payroll.services.organisation_restore import Restored, organisation_restore
from payroll.services.payweeks import payweek_close, payweek_open
from tests.jobs.test_the_audit_chain_shows_what_was_changed import behind_the_triggers
from tests.payroll.full_world import DISPUTED, INVITED, THEN, UUID_OF_DISPUTE, UUID_OF_INSPECTION, full_world
from tests.payroll.test_a_revised_plan_cuts_nobodys_pay import plan
from tests.payroll.world import AFTER, MONDAY, World, make_world


def export(organisation: int) -> bytes:
    to = io.BytesIO()
    organisation_export(actor=Actor(organisation, None, "owner"), to=to, now=THEN)
    return to.getvalue()


def restore(content: bytes) -> Restored:
    return organisation_restore(source=io.BytesIO(content), now=THEN)


def files(content: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(content)) as opened:
        assert opened.testzip() is None
        return {name: opened.read(name) for name in opened.namelist()}


def rows(content: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(content.decode(), newline="")))


def rewritten(content: bytes, change: dict[str, bytes | None], *, honest: bool = True) -> bytes:
    """The archive with files changed; `honest` puts their hashes right, as somebody would who means to deceive."""
    found = files(content) | change
    if honest:
        manifest = json.loads(found["manifest.json"] or b"{}")
        for name, inside in change.items():
            manifest["sha256"].pop(name, None)
            if inside is not None:
                manifest["sha256"][name] = hashlib.sha256(inside).hexdigest()
        found["manifest.json"] = json.dumps(manifest).encode()
    to = io.BytesIO()
    with zipfile.ZipFile(to, "w") as opened:
        for name, inside in found.items():
            if inside is not None:
                opened.writestr(name, inside)
    return to.getvalue()


@pytest.fixture(scope="module")
def exported(django_db_setup: None, django_db_blocker: Any) -> tuple[World, bytes]:
    """A full world and its export, made once: nothing in this file changes it."""
    with django_db_blocker.unblock():
        world = full_world()
        return world, export(world.organisation)


def test_export_restore_export_is_the_same_but_for_ids_and_the_record_of_the_restore(
    committed_db: None, exported: tuple[World, bytes]
):
    world, first = exported
    restored = restore(first)
    assert restored.breaks == ()
    assert restored.organisation != world.organisation
    before, after = files(first), files(export(restored.organisation))
    assert set(before) == set(after)
    differing = {name for name in before if before[name] != after[name]}
    assert differing == {"manifest.json", "tables/auditrecord.csv", FORMER_IDS}
    # The new audit record is the restore's own, and the only one.
    records, records_after = rows(before["tables/auditrecord.csv"]), rows(after["tables/auditrecord.csv"])
    assert records_after[:-1] == records
    assert records_after[-1]["action"] == "organisation_restore"
    # Ids of both organisations travel on, so that a second restore can check hashes of the first and of the second.
    former, former_after = rows(before[FORMER_IDS]), rows(after[FORMER_IDS])
    assert [row for row in former_after if row["written_in"] == str(world.organisation)] == former
    assert {row["written_in"] for row in former_after} == {str(world.organisation), str(restored.organisation)}


def test_it_holds_a_row_of_every_table(exported: tuple[World, bytes]):
    found = files(exported[1])
    held = {table.file: len(rows(found[table.file])) for table in tables().values()}
    assert [name for name, count in held.items() if not count] == []
    manifest = json.loads(found["manifest.json"])
    assert held.items() <= manifest["rows"].items()


def test_what_a_worker_said_stands_in_the_restored_organisation(committed_db: None, exported: tuple[World, bytes]):
    world, content = exported
    restored = restore(content).organisation
    told = []
    for organisation in (world.organisation, restored):
        with transaction.atomic(), organisation_scope(organisation):
            words = Word.objects.order_by("pk").values_list("uuid", "about", "says", "reason_digest", "notes__text")
            told.append((list(words), [(one.kind, one.name, one.reason) for one in disputes_open()]))
            member = Membership.objects.get(role="worker")
            assert JobAccess.objects.get().membership_id == member.pk
            hours = Hours.objects.get(uuid=Word.objects.get(uuid=UUID_OF_DISPUTE).about)
    assert told[0] == told[1]
    assert told[1][1] == [("hours", "Osei Birch", "the gate was open")]
    himself = Actor(restored, member.pk, "worker", user=member.user_id, person=member.person_id)
    again = WordRequest(UUID_OF_DISPUTE, hours.uuid, hours.person_id, "disputed", DISPUTED, THEN)
    assert word_say(actor=himself, request=again, now=THEN).reason == DISPUTED
    with pytest.raises(UuidReused):
        word_say(actor=himself, request=replace(again, reason="another"), now=THEN)


def test_an_invitation_stays_behind(committed_db: None, exported: tuple[World, bytes]):
    with transaction.atomic(), exported[0].scope():
        assert Invitation.objects.get().email == INVITED
    assert all(INVITED.encode() not in content for content in files(exported[1]).values())


def test_hashes_hold_in_the_restored_organisation_and_the_chains_go_on(
    committed_db: None, exported: tuple[World, bytes]
):
    world, content = exported
    restored = restore(content).organisation
    with transaction.atomic(), world.scope():
        statements = [(one.number, bytes(one.digest), one.gross) for one in Statement.objects.order_by("number")]
        uuids = set(Entry.objects.values_list("uuid", flat=True)) | set(Hours.objects.values_list("uuid", flat=True))
        report = WeeklyReport.objects.get()
        units = sorted(WorkUnit.objects.values_list("measured", "done", "operation__code"))
    with transaction.atomic(), organisation_scope(restored):
        again = [(one.number, bytes(one.digest), one.gross) for one in Statement.objects.order_by("number")]
        assert again == statements
        assert set(Receipt.objects.values_list("uuid", flat=True)) >= uuids
        assert bytes(WeeklyReport.objects.get().digest) == bytes(report.digest)
        assert sorted(WorkUnit.objects.values_list("measured", "done", "operation__code")) == units
        assert any(done > measured for measured, done, _ in units)
        owner = Membership.objects.get(role="owner")
        assert not set(Person.objects.values_list("pk", flat=True)) & set(
            FormerId.objects.filter(kind="jobs.person").values_list("former", flat=True)
        )
    actor = Actor(restored, owner.pk, "owner", user=owner.user_id)
    with transaction.atomic(), organisation_scope(restored):
        week = PayWeek.objects.get(state="open")
    payweek_close(actor=actor, pay_week=week.pk, now=THEN)
    payweek_open(actor=actor, first_day=date(2026, 11, 23), now=THEN)
    assert audit_seal(organisation=restored, now=THEN) > 0
    out = io.StringIO()
    call_command("verify_chain", organisation=restored, stdout=out)
    assert "nothing found" in out.getvalue()
    twice = restore(export(restored))
    assert twice.breaks == ()
    call_command("verify_chain", organisation=twice.organisation, stdout=io.StringIO())


@pytest.mark.parametrize(
    ("table", "forge", "named"),
    [
        ("payroll_statement", "overpaid = overpaid + 1 WHERE difference = 0", "statement"),
        ("jobs_auditrecord", "actor_id = NULL WHERE action = 'rate_set'", "audit record"),
        ("payroll_lineallotment", "quantity = quantity + 1 WHERE quantity > 0", "statement"),
    ],
)  # fmt: skip
def test_what_is_changed_after_a_restore_is_found_as_before(
    committed_db: None, exported: tuple[World, bytes], table: str, forge: str, named: str
):
    restored = restore(exported[1]).organisation
    behind_the_triggers(table, f"UPDATE {table} SET {forge} AND organisation_id = %s", [restored])
    with transaction.atomic(), organisation_scope(restored):
        found = [*audit_breaks(), *chain_breaks()]
    assert found
    assert all(sentence.startswith(named) for sentence in found)


def test_a_phone_that_sends_again_is_answered_as_before(committed_db: None, exported: tuple[World, bytes]):
    restored = restore(exported[1]).organisation
    with transaction.atomic(), organisation_scope(restored):
        owner = Membership.objects.get(role="owner")
        track = WorkUnit.objects.get(operation__code="TRACK", wall__mark="W-1").pk
    actor = Actor(restored, owner.pk, "owner", user=owner.user_id)
    facts: dict[str, Any] = {
        "uuid": UUID_OF_INSPECTION, "verdict": "reopened", "inspected_on": MONDAY, "made_at": AFTER,
    }  # fmt: skip
    same = InspectionRequest(work_unit=track, reason="a joint stands open", **facts)
    inspection_record(actor=actor, request=same, now=THEN)
    with pytest.raises(UuidReused):
        inspection_record(actor=actor, request=InspectionRequest(work_unit=track, reason="other", **facts), now=THEN)


def test_devices_sign_in_anew_and_members_keep_their_users(committed_db: None, exported: tuple[World, bytes]):
    world, content = exported
    restored = restore(content).organisation
    assert "token_digest" not in files(content)["tables/device.csv"].decode()
    with transaction.atomic(), world.scope():
        old = {bytes(device.token_digest) for device in Device.objects.all()}
        users = set(Membership.objects.values_list("user", flat=True))
    with transaction.atomic(), organisation_scope(restored):
        assert not old & {bytes(device.token_digest) for device in Device.objects.all()}
        assert set(Membership.objects.values_list("user", flat=True)) == users


def test_papers_and_plans_are_in_it(exported: tuple[World, bytes]):
    found = files(exported[1])
    assert plan(120) in found.values() and plan(60) in found.values()
    papers = [content for name, content in found.items() if name.startswith("documents/statements/")]
    assert len(papers) == len(rows(found["tables/statement.csv"]))
    assert "Osei Birch" in "".join(page.extract_text() for one in papers for page in PdfReader(io.BytesIO(one)).pages)


def test_nothing_of_another_organisation_is_in_it(committed_db: None, exported: tuple[World, bytes]):
    other = make_world("Bramble Partitions of Nowhere")
    other.person("Zephyrine Quick")
    mine = b"".join(files(exported[1]).values())
    theirs = b"".join(files(export(other.organisation)).values())
    assert b"Bramble" not in mine and b"Zephyrine" not in mine
    assert b"Zephyrine" in theirs and b"Osei" not in theirs


def test_every_table_and_column_is_exported_or_named_here_as_left_out():
    assert set(ORDER) | set(LEFT_OUT) == record_labels()
    assert not set(ORDER) & set(LEFT_OUT)
    assert set(ORDER) >= TOLD
    assert {label for label, _ in COLUMNS_LEFT_OUT} <= set(ORDER)


def test_only_an_owner_takes_everything_away(committed_db: None, exported: tuple[World, bytes]):
    for role in ("office", "foreman", "worker"):
        to = io.BytesIO()
        with pytest.raises(NotAllowed):
            organisation_export(actor=Actor(exported[0].organisation, 1, role), to=to, now=THEN)
        assert not to.getvalue()


def test_it_is_written_as_it_is_read(committed_db: None, exported: tuple[World, bytes]):
    """Into a pipe, which knows no way back; the reader gets bytes before the writer is done."""
    reading, writing = os.pipe()
    got: list[bytes] = []

    def read() -> None:
        with os.fdopen(reading, "rb") as pipe:
            while block := pipe.read(4096):
                got.append(block)

    reader = threading.Thread(target=read)
    reader.start()
    with os.fdopen(writing, "wb") as pipe:
        organisation_export(actor=Actor(exported[0].organisation, None, "owner"), to=pipe, now=THEN)
    reader.join()
    assert files(b"".join(got)) == files(exported[1])


def test_it_reads_one_snapshot_and_so_runs_in_no_other_transaction(committed_db: None, exported: tuple[World, bytes]):
    with pytest.raises(RuntimeError, match="durable"), transaction.atomic():
        export(exported[0].organisation)


def test_an_export_of_changed_records_says_so_when_restored(committed_db: None, exported: tuple[World, bytes]):
    found = files(exported[1])["tables/auditrecord.csv"].decode()
    forged = found.replace('""amount"": ""1.00""', '""amount"": ""9.00""', 1)
    assert forged != found
    restored = restore(rewritten(exported[1], {"tables/auditrecord.csv": forged.encode()}))
    assert any("its content is not what its digest was made of" in sentence for sentence in restored.breaks)


def test_the_commands_write_a_private_file_and_never_over_another(
    committed_db: None, exported: tuple[World, bytes], tmp_path: Path, capsys: Any
):
    path = tmp_path / "alder.zip"
    call_command("organisation_export", exported[0].organisation, path)
    assert path.stat().st_mode & 0o777 == 0o600
    with pytest.raises(CommandError, match="is there already"):
        call_command("organisation_export", exported[0].organisation, path)
    call_command("organisation_restore", path)
    assert "Restored as organisation" in capsys.readouterr().out
    (tmp_path / "broken.zip").write_bytes(b"x")
    with pytest.raises(CommandError, match="Nothing was restored"):
        call_command("organisation_restore", tmp_path / "broken.zip")
    with pytest.raises(CommandError, match="was not found"):
        call_command("organisation_export", 10**9, tmp_path / "none.zip")
    assert not (tmp_path / "none.zip").exists()


def test_the_audit_says_where_a_restored_organisation_came_from(committed_db: None, exported: tuple[World, bytes]):
    restored = restore(exported[1]).organisation
    with transaction.atomic(), organisation_scope(restored):
        record = AuditRecord.objects.latest("pk")
        assert record.after["written_in"] == exported[0].organisation
        assert canonical(record.after)
        assert Organisation.objects.get().name == "Alder & Quill Interiors"


def test_a_restored_record_cannot_be_changed_either(committed_db: None, exported: tuple[World, bytes]):
    restored = restore(exported[1]).organisation
    for statement in ("UPDATE jobs_entry SET quantity = 1", "UPDATE jobs_formerid SET former = 1"):
        with (
            pytest.raises(DatabaseError, match="permission denied"),
            transaction.atomic(),
            organisation_scope(restored),
            connection.cursor() as cursor,
        ):
            cursor.execute(statement)
