"""One person's record over a span of days: what 29 CFR 516.2 and 516.6 ask to be kept of a piece worker, as it grew.

29 CFR 516.2(a) (from memory): name, hours each day and week, basis of pay, regular rate, straight and overtime pay,
total wages, date and period of pay. 516.6(a)(2): piece-rate tables; (c): records of units produced.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
import zipfile
from datetime import timedelta
from decimal import Decimal
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.db import connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from pypdf import PdfReader

from jobs.actors import Actor
from jobs.models import AuditRecord, Person, User
from jobs.refusals import Invalid, NotAllowed, NotFound
from payroll.law.agreements import GUARANTEE
from payroll.models import Statement
from payroll.reports.figures import StatementFigures
from payroll.selectors.person_record import LONGEST
from payroll.selectors.statement_figures import figures_of
from payroll.services import person_export as person_export_module
from payroll.services.agreements import AgreementFacts, agreement_record, agreement_withdraw
from payroll.services.person_export import FORMAT, person_export
from tests.payroll.world import LATER, MONDAY, NEXT_MONDAY, World, make_world

SPAN = {"first": MONDAY, "last": NEXT_MONDAY + timedelta(days=6)}


@pytest.fixture
def world(db: None) -> World:
    """One person with work, an entry corrected after the week was paid, and another person beside."""
    world = make_world()
    world.rate("BOARD", "1.00")
    world.rate("TRACK", "2.00")
    one, two = world.person("Maren Tallow"), world.person("Osei Birch")
    board = world.unit("BOARD", face="left")
    entry = world.entry(board, "400", one, two)
    hours = world.hours(one, "9")
    world.hours(two, "8")
    world.close()
    world.correct(entry, board, "500", one, two)
    world.hours(one, "8", replaces=hours)
    world.entry(world.unit("TRACK"), "10", one, on=NEXT_MONDAY)
    world.hours(one, "2", on=NEXT_MONDAY)
    world.close(NEXT_MONDAY, now=LATER)
    return world


def someone(world: World, name: str) -> Person:
    with transaction.atomic(), world.scope():
        return Person.objects.get(name=name)


def record(world: World, name: str = "Maren Tallow", **changes: object) -> dict[str, bytes]:
    packed = io.BytesIO()
    given = {**SPAN, "actor": world.owner, "person": someone(world, name).pk, "now": LATER} | changes
    person_export(**given, to=packed)  # type: ignore[arg-type]
    with zipfile.ZipFile(packed) as opened:
        return {each: opened.read(each) for each in opened.namelist()}


def rows(content: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(content.decode(), newline="")))


def test_units_hours_rates_and_pay_are_all_there(world: World) -> None:
    files = record(world)
    entries = rows(files["entries.csv"])
    assert [(row["operation"], row["entry_quantity"], row["share"]) for row in entries] == [
        ("hang board", "400.0000", "200.0000"),
        ("hang board", "500.0000", "250.0000"),
        ("lay out and track", "10.0000", "10.0000"),
    ]
    assert [(row["worked_on"], row["kind"], row["minutes"]) for row in rows(files["hours.csv"])] == [
        ("2026-11-02", "piece", "540"),
        ("2026-11-02", "piece", "480"),
        ("2026-11-09", "piece", "120"),
    ]
    assert {(row["paid_for"], row["amount"]) for row in rows(files["rates.csv"])} == {
        ("hang board", "1.00"),
        ("lay out and track", "2.00"),
    }
    lines = rows(files["statements.csv"])
    assert {(row["week"], row["paid_in"], row["gross"]) for row in lines} == {
        ("2026-11-02", "2026-11-02", "200.00"),
        ("2026-11-02", "2026-11-09", "250.00"),
        ("2026-11-09", "2026-11-09", "70.00"),
    }
    assert all(row["because"] for row in lines)


def test_what_was_corrected_stands_beside_what_it_replaced(world: World) -> None:
    files = record(world)
    first, second, _ = rows(files["entries.csv"])
    assert (first["replaced_by"], second["replaces"]) == (second["entry"], first["entry"])
    found = {row["kind"]: row for row in rows(files["corrections.csv"])}
    assert set(found) == {"entry", "hours", "statement"}
    assert (found["statement"]["paid_difference"], found["statement"]["overpaid"]) == ("50.00", "0.00")
    papers = [name for name in files if name.startswith("statements/")]
    assert len(papers) == 3
    text = "".join(page.extract_text() for page in PdfReader(io.BytesIO(files[papers[0]])).pages)
    assert "Maren Tallow" in text


def test_what_was_agreed_is_in_it_withdrawn_or_not(world: World) -> None:
    one, two = someone(world, "Maren Tallow"), someone(world, "Osei Birch")
    day = NEXT_MONDAY + timedelta(days=7)
    for person, reference in ((one, "folder 3, sheet 1"), (two, "folder 3, sheet 2")):
        facts = AgreementFacts(
            person.pk, GUARANTEE, signed_on=day, starts_on=day, rate=Decimal("21.00"),
            guarantee_hours="productive", reference=reference,
        )  # fmt: skip
        made = agreement_record(actor=world.owner, facts=facts, now=LATER)
    agreement_withdraw(actor=world.owner, agreement=made.pk, now=LATER)
    (row,) = rows(record(world, last=day)["agreements.csv"])
    assert (row["kind"], row["rate"], row["reference"], row["withdrawn"]) == (
        GUARANTEE,
        "21.00",
        "folder 3, sheet 1",
        "False",
    )
    assert rows(record(world)["agreements.csv"]) == []
    withdrawn = rows(record(world, "Osei Birch", last=day)["agreements.csv"])
    assert [(one["withdrawn"], one["replaces"]) for one in withdrawn] == [
        ("False", ""),
        ("True", withdrawn[0]["agreement"]),
    ]


def test_nobody_else_is_in_it(world: World) -> None:
    files = record(world)
    tables = b"".join(content for name, content in files.items() if name.endswith((".csv", ".json")))
    assert b"Osei" not in tables
    assert someone(world, "Osei Birch").number.encode() not in tables


def test_the_span_is_kept(world: World) -> None:
    files = record(world, first=NEXT_MONDAY)
    assert [row["worked_on"] for row in rows(files["entries.csv"])] == ["2026-11-09"]
    assert len([name for name in files if name.startswith("statements/")]) == 1
    nothing = record(world, first=NEXT_MONDAY + timedelta(days=30), last=NEXT_MONDAY + timedelta(days=31))
    assert rows(nothing["entries.csv"]) == []
    with pytest.raises(Invalid, match="before it begins"):
        record(world, last=MONDAY - timedelta(days=1))


def test_a_record_holds_four_years_and_more_is_taken_in_parts(world: World) -> None:
    assert rows(record(world, last=MONDAY + LONGEST - timedelta(days=1))["entries.csv"])
    with pytest.raises(Invalid, match=r"has 1465 days, and one record holds 1464\. Take it in parts"):
        record(world, last=MONDAY + LONGEST)


def test_each_statement_is_worked_out_once(world: World, monkeypatch: pytest.MonkeyPatch) -> None:
    worked_out = []

    def counted(statement: Statement, language: str | None) -> StatementFigures:
        worked_out.append(statement.number)
        return figures_of(statement, language)

    monkeypatch.setattr(person_export_module, "figures_of", counted)
    record(world)
    assert len(worked_out) == len(set(worked_out)) == 3


def test_a_record_with_much_work_asks_the_database_no_more_often(world: World) -> None:
    with CaptureQueriesContext(connection) as before:
        record(world)
    one, unit = someone(world, "Maren Tallow"), world.unit("STUDS")
    for _ in range(5):
        world.entry(unit, "1", one, on=NEXT_MONDAY)
    with CaptureQueriesContext(connection) as after:
        assert len(rows(record(world)["entries.csv"])) == 8
    assert len(after) == len(before)


def test_every_file_has_its_hash_and_the_same_record_the_same_bytes(world: World) -> None:
    files = record(world)
    manifest = json.loads(files["manifest.json"])
    assert manifest["format"] == FORMAT
    assert manifest["rows"]["entries.csv"] == 3
    for name, content in files.items():
        if name != "manifest.json":
            assert hashlib.sha256(content).hexdigest() == manifest["sha256"][name]
    assert record(world) == files


def test_taking_it_is_written_down_and_the_offices_alone(world: World) -> None:
    record(world)
    person = someone(world, "Maren Tallow")
    with transaction.atomic(), world.scope():
        audited = AuditRecord.objects.get(action="person_export")
    assert (audited.subject_key, audited.actor_id) == (str(person.pk), world.owner.membership)
    assert audited.after == {"from": "2026-11-02", "to": "2026-11-15", "statements": 3}
    for role in ("foreman", "worker"):
        with pytest.raises(NotAllowed):
            record(world, actor=Actor(world.organisation, world.owner.membership, role, person=person.pk))
    other = make_world("Bramble Partitions")
    with pytest.raises(NotFound):
        person_export(actor=other.owner, person=person.pk, to=io.BytesIO(), now=LATER, **SPAN)


def test_a_page_hands_it_out_and_says_what_is_missing(world: World) -> None:
    client = Client()
    client.force_login(User.objects.get(pk=world.owner.user))
    person = someone(world, "Maren Tallow")
    form = {"person": str(person.pk), "first": "2026-11-02", "last": "2026-11-15"}
    answer = client.post(reverse("person-record"), form)
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/zip")
    with zipfile.ZipFile(io.BytesIO(answer.getvalue())) as opened:
        assert len(rows(opened.read("entries.csv"))) == 3
    wrong = client.post(reverse("person-record"), {"person": "5", "first": "x", "last": ""})
    text = wrong.content.decode()
    assert wrong.status_code == 400
    for words in ("Nobody was chosen", "From: “x” is no day", "To: No date was given."):
        assert words in text
    turned = client.post(reverse("person-record"), form | {"last": "2026-11-01"})
    assert turned.status_code == 400
    assert "Give the later day last." in turned.content.decode()


def test_a_command_writes_it(world: World, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "record.zip"
    number = someone(world, "Maren Tallow").number
    call_command("person_export", str(world.organisation), number, "2026-11-02", "2026-11-15", str(file))
    assert "3 statements; rows: 3 in entries.csv" in capsys.readouterr().out
    with zipfile.ZipFile(file) as opened:
        assert opened.testzip() is None
    for changed, says in (((number, "2026-11-02"), "is there already"), (("nobody", "2026-11-02"), "was not found")):
        with pytest.raises(CommandError, match=says):
            call_command("person_export", str(world.organisation), *changed, "2026-11-15", str(file))
