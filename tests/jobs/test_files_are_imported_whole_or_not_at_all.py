"""CSV of people, hours and entries: a dry run lists every mistake by row, nothing half-saved, nothing twice."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from django.core.management import CommandError, call_command
from hypothesis import given
from hypothesis import strategies as st

from jobs.csv_rows import Columns, rows_read
from jobs.models import AuditRecord, Crew, Entry, EntryNote, EntryShare, Hours, Person, User
from jobs.refusals import NotAllowed
from jobs.services.csv_import import Imported
from jobs.services.csv_people import people_import
from jobs.services.csv_work import entries_import, hours_import
from jobs.tenancy import organisation_scope
from tests.jobs.world import NOW, World, unit_now

PEOPLE = (
    "number,name,class,started_on,left_on\n"
    "101,Maren Tallow,journeyman,2026-02-02,\n"
    "102,Osei Birch,apprentice,2026-03-02,2026-10-30\n"
)
HOURS = "person,job,worked_on,kind,hours\n001,HSC,2026-11-18,piece,7:30\n002,HSC,2026-11-18,waiting,0.5\n"
ENTRIES = (
    "job,level,wall,operation,face,layer,opening,worked_on,quantity,crew,people,note\n"
    "HSC,Level 1,A,TRACK,,,,2026-11-18,5.5,Crew 1,,\n"
    "HSC,Level 1,B,OPENING,,,D1,2026-11-18,all left,,001:2; 002:1,the wide door\n"
    "HSC,Level 1,A,BOARD,left,1,,2026-11-18,32,,001;002,\n"
)
Load = Callable[..., Imported]


def load(world: World, how: Load, text: str | bytes, *, dry_run: bool = False) -> Imported:
    source = text.encode() if isinstance(text, str) else text
    return how(actor=world.actors["office"], source=source, now=NOW, dry_run=dry_run)


def counts(world: World) -> list[int]:
    with organisation_scope(world.organisation):
        return [model.objects.count() for model in (Person, Hours, Entry, EntryShare, EntryNote, AuditRecord)]


def told(imported: Imported) -> dict[str, str]:
    return {mistake.path: mistake.sentence for mistake in imported.mistakes}


@pytest.mark.parametrize(
    ("how", "text", "rows"), [(people_import, PEOPLE, 2), (hours_import, HOURS, 2), (entries_import, ENTRIES, 3)]
)
def test_a_dry_run_keeps_nothing_and_the_file_comes_once(world: World, how: Load, text: str, rows: int):
    before = counts(world)
    tried = load(world, how, text, dry_run=True)
    assert (tried.made, tried.standing, tried.mistakes, tried.applied) == (rows, 0, [], False)
    assert counts(world) == before
    kept = load(world, how, text)
    assert (kept.made, kept.standing, kept.applied) == (rows, 0, True)
    after = counts(world)
    assert after != before
    again = load(world, how, text)
    assert (again.made, again.standing, again.applied) == (0, rows, True)
    assert counts(world) == after


def test_what_is_imported_is_what_the_file_says(world: World):
    load(world, people_import, PEOPLE)
    load(world, hours_import, HOURS)
    load(world, entries_import, ENTRIES)
    with organisation_scope(world.organisation):
        osei = Person.objects.get(number="102")
        assert (osei.name, osei.worker_class, str(osei.left_on)) == ("Osei Birch", "apprentice", "2026-10-30")
        assert sorted(Hours.objects.values_list("kind", "minutes")) == [("piece", 450), ("waiting", 30)]
        door = Entry.objects.get(work_unit=world.unit("B", "OPENING", "D1"))
        # derived: one opening by weights 2 and 1, to four decimals, the last step by the house's rule.
        assert sorted(door.shares.values_list("quantity", flat=True)) == [Decimal("0.3333"), Decimal("0.6667")]
        assert EntryNote.objects.get(entry=door).text == "the wide door"
    assert unit_now(world, world.unit("A", "TRACK")).done == Decimal("5.5")


def test_every_mistake_of_people_is_told_with_its_row(world: World):
    text = (
        "number,name,started_on,left_on,class\n"
        "101,,2026-02-02,,\n"
        "102,Osei Birch,2.3.2026,,\n"
        "103,Petra Lund,2026-03-02,2026-01-01,\n"
        "104,Ann,2026-03-02,,\n"
        "104,Bea,2026-03-02,,\n"
        "001,Somebody Else,2026-03-02,,\n"
        "105,too,many,2026-03-02,,\n"
    )
    imported = load(world, people_import, text, dry_run=True)
    assert told(imported) == {
        "row 2, name": "name is empty. Every row needs it.",
        "row 3, started_on": "'2.3.2026' is no day. Write it as 2026-11-23.",
        "row 4, left_on": "2026-01-01 is before the person started, 2026-03-02.",
        "row 6, number": "number 104 stands in row 5 already. Keep one of them.",
        "row 7, name": "number 001 stands with name Person 1, the file says Somebody Else. "
        "Give another number, or leave the row out and change the person.",
        "row 7, started_on": "number 001 stands with started_on 2026-01-05, the file says 2026-03-02. "
        "Give another number, or leave the row out and change the person.",
        "row 8": "6 cells stand under 5 columns. Put a text with commas in double quotes.",
    }


def test_every_mistake_of_hours_is_told_with_its_row_and_nothing_kept(world: World):
    before = counts(world)
    text = HOURS + (
        "009,HSC,2026-11-18,piece,1\n"
        "001,XYZ,2026-11-18,piece,1\n"
        "001,HSC,2026-11-18,idling,1\n"
        "001,HSC,2026-12-24,piece,1\n"
        "001,HSC,2026-11-18,piece,7:60\n"
        "001,HSC,2026-11-18,piece,17\n"
        "003,HSC,2025-12-31,piece,1\n"
    )
    for dry_run in (True, False):
        imported = load(world, hours_import, text, dry_run=dry_run)
        assert not imported.applied
        sentences = told(imported)
        assert sentences["row 4, person"] == "person '009' was not found. Give the number of one of yours."
        assert sentences["row 5, job"] == "job 'XYZ' was not found. Give the code of one of yours."
        assert "'idling' is no kind of hours. Use one of" in sentences["row 6, kind"]
        assert "2026-12-24 is after today at the job" in sentences["row 7, worked_on"]
        assert "'7:60' is no time in whole minutes" in sentences["row 8, hours"]
        assert "person 001 has 7:30 h on 2026-11-18" in sentences["row 9, hours"]
        assert "person 003 was not employed on 2025-12-31" in sentences["row 10, person"]
        assert len(imported.mistakes) == 7
        assert counts(world) == before


def test_every_mistake_of_entries_is_told_with_its_row_and_nothing_kept(world: World):
    before = counts(world)
    text = ENTRIES + (
        "HSC,Level 1,A,TRACK,,,,2026-11-18,9999,Crew 1,,\n"
        "HSC,Level 9,A,TRACK,,,,2026-11-18,1,Crew 1,,\n"
        "HSC,Level 1,A,TRACK,,,,2026-11-18,1,Crew 1,001,\n"
        "HSC,Level 1,A,TRACK,,,,2026-11-18,1,,001:2;002,\n"
        "HSC,Level 1,A,TRACK,,,,2026-11-18,-1,,001;;002,\n"
        "HSC,Level 1,A,TRACK,,,,2026-11-18,1,Crew 9,,\n"
    )
    imported = load(world, entries_import, text)
    sentences = told(imported)
    assert "Level 1, wall A, lay out and track: 9999 asked" in sentences["row 5, quantity"]
    assert sentences["row 6, wall"] == (
        "no work unit has job HSC, level Level 9, wall A, operation TRACK. "
        "Compare it with the job's list of work units."
    )
    assert "Fill one of both columns" in sentences["row 7, people"]
    assert "gives a weight to some only" in sentences["row 8, people"]
    assert "'-1' is no number of ours" in sentences["row 9, quantity"]
    assert "is no share" in sentences["row 9, people"]
    assert "crew 'Crew 9' was not found" in sentences["row 10, crew"]
    assert counts(world) == before
    assert unit_now(world, world.unit("A", "TRACK")).done == 0


def test_two_equal_rows_are_two_and_a_uuid_of_ones_own_is_once(world: World):
    row = "001,HSC,2026-11-18,piece,1:00\n"
    assert load(world, hours_import, HOURS.splitlines(True)[0] + row + row).made == 2
    uuid = uuid4()
    head = "uuid,person,job,worked_on,kind,hours\n"
    assert load(world, hours_import, f"{head}{uuid},002,HSC,2026-11-18,piece,1:00\n").made == 1
    changed = load(world, hours_import, f"{head}{uuid},002,HSC,2026-11-18,piece,2:00\n")
    assert f"UUID {uuid} was first sent with hours 1:00, now with 2:00" in told(changed)["row 2, hours"]


def test_a_last_day_that_comes_later_is_noted(world: World):
    load(world, people_import, PEOPLE)
    later = load(world, people_import, PEOPLE.replace("2026-02-02,", "2026-02-02,2026-11-06"))
    assert (later.made, later.standing) == (1, 1)
    with organisation_scope(world.organisation):
        assert str(Person.objects.get(number="101").left_on) == "2026-11-06"


@pytest.mark.parametrize(
    ("source", "said"),
    [
        (b"number,name,started_on,wage\n", "column 'wage' is not known. Use: number, name, class"),
        (b"number,name\n", "column 'started_on' is missing"),
        (b"number,name,started_on,name\n", "column 'name' stands twice. Keep one."),
        (b"", "column 'number' is missing"),
        (b"number,name,started_on\n101,Bj\xf6rn,2026-01-01\n", "byte 30 is not UTF-8"),
        (b'number,name,started_on\n101,"open,2026-01-01\n', "the file is no CSV"),
    ],
)
def test_a_file_that_cannot_be_read_says_why_and_what_to_do(world: World, source: bytes, said: str):
    imported = load(world, people_import, source)
    assert not imported.applied
    assert any(said in mistake.sentence for mistake in imported.mistakes), imported.mistakes


@given(st.binary(max_size=200))
def test_any_bytes_are_read_or_told(source: bytes):
    rows, mistakes = rows_read(source, Columns(("a", "b"), ("a",)))
    assert mistakes or all(set(row.cells) <= {"a", "b"} for row in rows)


def test_a_mark_at_the_start_and_columns_in_another_order_are_read(world: World):
    text = '﻿started_on,name,number\n2026-02-02,"Tallow, Maren",101\n'
    assert load(world, people_import, text).made == 1
    with organisation_scope(world.organisation):
        assert Person.objects.get(number="101").name == "Tallow, Maren"


@pytest.mark.parametrize(("how", "text"), [(people_import, PEOPLE), (hours_import, HOURS), (entries_import, ENTRIES)])
def test_only_the_office_imports(world: World, how: Load, text: str):
    for role in ("foreman", "worker"):
        with pytest.raises(NotAllowed):
            how(actor=world.actors[role], source=text.encode(), now=NOW, dry_run=True)


def test_names_of_another_organisation_are_not_found(world: World, other: World):
    with organisation_scope(other.organisation):
        Person.objects.filter(pk=other.people[0]).update(number="777")
        Crew.objects.filter(pk=other.crew).update(name="Their crew")
    assert "was not found" in told(load(world, hours_import, HOURS.replace("001", "777")))["row 2, person"]
    text = ENTRIES.replace("Crew 1", "Their crew")
    assert "was not found" in told(load(world, entries_import, text))["row 2, crew"]


def test_the_command_lists_mistakes_and_keeps_nothing_until_told(world: World, tmp_path: Path, capsys: Any):
    path = tmp_path / "people.csv"
    path.write_text(PEOPLE)
    office = User.objects.get(pk=world.actors["office"].user).email
    options = {"organisation": world.organisation, "member": office}
    call_command("csv_import", "people", path, **options)
    assert "2 new rows, 0 stand already: would be kept; nothing was" in capsys.readouterr().out
    call_command("csv_import", "people", path, "--apply", **options)
    assert "2 new rows, 0 stand already: kept." in capsys.readouterr().out
    path.write_text(PEOPLE + "103,,2026-01-01,,\n")
    with pytest.raises(CommandError, match="2 mistakes, nothing was kept"):
        call_command("csv_import", "people", path, "--apply", **options)
    assert "row 4, name: name is empty" in capsys.readouterr().out


def test_the_command_takes_a_member_of_that_organisation_only(world: World, other: World, tmp_path: Path):
    path = tmp_path / "people.csv"
    path.write_text(PEOPLE)
    stranger = User.objects.get(pk=other.owner.user).email
    with pytest.raises(CommandError, match="is no member of organisation"):
        call_command("csv_import", "people", path, organisation=world.organisation, member=stranger)
