"""When in the day an entry was made: told by phone, page or file, held to its day, kept like the rest of the entry."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse

from jobs.clock import NoMoment, moment_on
from jobs.models import AuditRecord, Entry
from jobs.refusals import Invalid, UuidReused
from jobs.services.csv_work import entries_import
from jobs.services.entries import entry_log
from jobs.tenancy import organisation_scope
from tests.api.client import Phone
from tests.jobs.sql import as_application
from tests.jobs.test_files_are_imported_whole_or_not_at_all import load, told
from tests.jobs.world import DAY, NOW, World, entry, entry_json
from tests.pages.conftest import signed_in

SEVEN, ELEVEN = datetime(2026, 11, 18, 7, tzinfo=UTC), datetime(2026, 11, 18, 11, tzinfo=UTC)
SPAN = {"started_at": SEVEN, "finished_at": ELEVEN}
TOLD = {"started_at": "2026-11-18T07:00:00.000000Z", "finished_at": "2026-11-18T11:00:00.000000Z"}


def spans(world: World) -> list[tuple[datetime | None, datetime | None]]:
    with transaction.atomic(), organisation_scope(world.organisation):
        return list(Entry.objects.order_by("pk").values_list("started_at", "finished_at"))


@pytest.mark.parametrize(
    ("change", "path", "said"),
    [
        ({"started_at": SEVEN - timedelta(days=1)}, "started_at", "the start is on 2026-11-17 at the job, the day is"),
        (
            {"started_at": ELEVEN, "finished_at": SEVEN},
            "finished_at",
            "07:00, is not after the start, 2026-11-18 11:00",
        ),
        ({"finished_at": SEVEN}, "finished_at", "is not after the start"),
        ({"finished_at": None}, "finished_at", "given together. Give both, or neither."),
        ({"started_at": None}, "finished_at", "given together"),
        ({"finished_at": NOW + timedelta(hours=1)}, "finished_at", "is still to come. Log it once it is done."),
    ],
)
def test_a_span_outside_the_day_is_refused_by_name(world: World, change: dict[str, Any], path: str, said: str):
    with pytest.raises(Invalid, match=said) as refused:
        entry_log(actor=world.foreman, request=entry(world, world.unit("A", "TRACK"), "2", **SPAN | change), now=NOW)
    assert [mistake.path for mistake in refused.value.mistakes] == [path]
    assert spans(world) == []


def test_a_phone_tells_it_alone_in_a_batch_and_when_back_on_line(world: World):
    phone, track = Phone(world.tokens["foreman"]), world.unit("A", "TRACK")
    local = {"started_at": "2026-11-18T01:00:00-06:00", "finished_at": "2026-11-18T05:00:00-06:00"}
    alone, batched, synced = (entry_json(world, track, "1", **local) for _ in range(3))
    assert {key: phone.post("/api/entries/", alone).json()[key] for key in TOLD} == TOLD
    [outcome] = phone.post("/api/entries/batch/", {"entries": [batched]}).json()["entries"]
    assert {key: outcome["entry"][key] for key in TOLD} == TOLD
    for _ in range(2):  # the answer of a list sent again is the same
        [outcome] = phone.post("/api/sync/", {"operations": [{"entry": synced}]}).json()["operations"]
        assert {key: outcome["entry"][key] for key in TOLD} == TOLD
    assert spans(world) == [(SEVEN, ELEVEN)] * 3
    rows = phone.get("/api/entries/").json()["results"]
    assert [{key: row[key] for key in TOLD} for row in rows] == [TOLD] * 3
    late = entry_json(world, track, "1", **local | {"finished_at": "2026-11-20T05:00:00-06:00"})
    assert "not within a day" in phone.post("/api/entries/", late).json()["errors"][0]["detail"]


def test_another_span_under_the_same_uuid_is_refused_naming_the_field(world: World):
    request = entry(world, world.unit("A", "TRACK"), "2", **SPAN)
    first = entry_log(actor=world.foreman, request=request, now=NOW)
    assert entry_log(actor=world.foreman, request=request, now=NOW) == first
    for change, fields in (
        ({"finished_at": ELEVEN - timedelta(hours=1)}, ["finished_at"]),
        ({"started_at": None, "finished_at": None}, ["started_at", "finished_at"]),
    ):
        with pytest.raises(UuidReused) as refused:
            entry_log(actor=world.foreman, request=replace(request, **change), now=NOW)
        assert [mistake.path for mistake in refused.value.mistakes] == fields


def test_the_record_of_its_making_tells_it(world: World):
    entry_log(actor=world.foreman, request=entry(world, world.unit("A", "TRACK"), "2", **SPAN), now=NOW)
    with transaction.atomic(), organisation_scope(world.organisation):
        after = AuditRecord.objects.get(action="entry_log").after
    assert (after["started_at"], after["finished_at"]) == ("2026-11-18T07:00+00:00", "2026-11-18T11:00+00:00")


def test_the_database_keeps_both_or_neither_and_forward(world: World):
    entry_log(actor=world.foreman, request=entry(world, world.unit("A", "TRACK"), "2", **SPAN), now=NOW)
    copied = (
        "INSERT INTO jobs_entry (organisation_id, uuid, job_id, work_unit_id, worked_on, quantity, logged_by_id, "
        "received_at, started_at, finished_at) SELECT organisation_id, gen_random_uuid(), job_id, work_unit_id, "
        "worked_on, 1, logged_by_id, received_at, %s, %s FROM jobs_entry"
    )
    for start, finish in ((SEVEN, None), (None, SEVEN), (ELEVEN, SEVEN), (SEVEN, SEVEN)):
        with pytest.raises(IntegrityError, match="entry_start_and_finish_together"):
            as_application(world, copied, [start, finish])


def test_a_page_takes_it_by_the_clock_shows_it_and_a_correction_keeps_or_changes_it(world: World):
    foreman = signed_in(world.foreman)
    address = reverse("log-entry", args=[world.unit("A", "TRACK")])
    text = foreman.get(address).content.decode()
    assert "<details><summary>When in the day it was done</summary>" in text  # closed: the usual entry stays short
    crew = f"crew {world.crew}"
    sent = {"how_much": "part", "quantity": "2", "who": crew, "worked_on": str(DAY), "started": "07:00"}
    refused = foreman.post(address, sent | {"uuid": "5f0c7c52-94b1-4b53-a4d0-3f7a5f5f5c10"}).content.decode()
    assert "Start and finish are given together. Give both, or neither." in refused
    assert '<input type="time" id="started" name="started" value="07:00"' in refused
    for clock, said in (("25:00", "25:00 is no time of 2026-11-18 at the job"), ("noon", "“noon” is no time")):
        refused = foreman.post(address, sent | {"uuid": "5f0c7c52-94b1-4b53-a4d0-3f7a5f5f5c10", "finished": clock})
        assert said in refused.content.decode()
    kept = foreman.post(address, sent | {"uuid": "5f0c7c52-94b1-4b53-a4d0-3f7a5f5f5c10", "finished": "11:00"})
    assert "<dt>Done</dt>" in foreman.get(kept["Location"]).content.decode()

    correction = reverse("correct-entry", args=["5f0c7c52-94b1-4b53-a4d0-3f7a5f5f5c10"])
    text = foreman.get(correction).content.decode()
    assert 'name="started" value="07:00"' in text
    assert 'name="finished" value="11:00"' in text
    again = sent | {"quantity": "3", "uuid": "6f0c7c52-94b1-4b53-a4d0-3f7a5f5f5c10", "finished": "11:00"}
    foreman.post(correction, again)
    correction = reverse("correct-entry", args=[again["uuid"]])
    foreman.post(correction, again | {"uuid": "7f0c7c52-94b1-4b53-a4d0-3f7a5f5f5c10", "finished": "10:30"})
    assert spans(world) == [(SEVEN, ELEVEN), (SEVEN, ELEVEN), (SEVEN, ELEVEN - timedelta(minutes=30))]


def test_a_file_tells_it_by_the_clock_at_the_job(world: World):
    columns = "job,level,wall,operation,worked_on,quantity,crew,started_at,finished_at\n"
    row = "HSC,Level 1,A,TRACK,2026-11-18,1,Crew 1,"
    imported = load(world, entries_import, f"{columns}{row}7:00,25:00\n{row}7:00,\n")
    assert "25:00 is no time of 2026-11-18" in told(imported)["row 2, finished_at"]
    assert "Give both, or neither" in load(world, entries_import, f"{columns}{row}7:00,\n").mistakes[0].sentence
    assert spans(world) == []
    load(world, entries_import, f"{columns}{row}7:00,11:00\n{row},\n")
    assert spans(world) == [(SEVEN, ELEVEN), (None, None)]


def test_a_clock_is_read_as_the_place_shows_it():
    # tz database, America/Chicago: clocks went from 2:00 to 3:00 on 2026-03-08, and go from 2:00 to 1:00 on 2026-11-01.
    day = DAY.replace(month=3, day=8)
    assert moment_on(day, 60, "America/Chicago") == datetime(2026, 3, 8, 7, tzinfo=UTC)
    assert moment_on(day, 180, "America/Chicago") == datetime(2026, 3, 8, 8, tzinfo=UTC)
    assert moment_on(day, 24 * 60, "America/Chicago") == datetime(2026, 3, 9, 5, tzinfo=UTC)
    with pytest.raises(NoMoment, match="2:30 is no time of 2026-03-08"):
        moment_on(day, 150, "America/Chicago")
    assert moment_on(DAY.replace(day=1), 90, "America/Chicago") == datetime(2026, 11, 1, 6, 30, tzinfo=UTC)
