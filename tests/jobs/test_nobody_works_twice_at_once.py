"""Hours from start to finish: they make up the time, begin on their day, and never cross other hours of the person."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.db import IntegrityError, transaction

from jobs.models import Hours, HoursSpan
from jobs.refusals import AlreadyReplaced, Conflict, Invalid
from jobs.requests import HoursRequest
from jobs.services.hours import hours_batch_log, hours_log
from jobs.services.hours_state import HoursAnswer
from jobs.tenancy import organisation_scope
from tests.api.client import Phone, expect_problem
from tests.jobs.sql import as_application
from tests.jobs.world import DAY, NOW, World, hours
from tests.support.at_once import at_once

# The job of the test world keeps its clock by UTC.
SEVEN = datetime(2026, 11, 18, 7, 0, tzinfo=UTC)


def span(world: World, start: int, minutes: int, person: int = 0, **changes: Any) -> HoursRequest:
    """Hours that begin `start` minutes after seven."""
    begin = SEVEN + timedelta(minutes=start)
    facts = {"started_at": begin, "finished_at": begin + timedelta(minutes=minutes)} | changes
    return hours(world, world.people[person], minutes, **facts)


def test_hours_that_follow_each_other_stand_and_those_that_cross_are_refused_by_name_and_time(world: World):
    hours_log(actor=world.foreman, request=span(world, 0, 300), now=NOW)
    hours_log(actor=world.foreman, request=span(world, 300, 60), now=NOW)
    hours_log(actor=world.foreman, request=span(world, 0, 300, person=1), now=NOW)
    with pytest.raises(Conflict, match=r"07:00 to 2026-11-18 12:00 already; .* 11:59 to .* crosses them") as refused:
        hours_log(actor=world.foreman, request=span(world, 299, 1), now=NOW)
    assert [mistake.path for mistake in refused.value.mistakes] == ["started_at"]


def test_totals_without_times_cross_nothing(world: World):
    hours_log(actor=world.foreman, request=span(world, 0, 300), now=NOW)
    hours_log(actor=world.foreman, request=hours(world, world.people[0], 60), now=NOW)
    with organisation_scope(world.organisation):
        assert sorted(Hours.objects.values_list("minutes", flat=True)) == [60, 300]
        assert HoursSpan.objects.count() == 1


def test_a_correction_may_lie_over_what_it_corrects_and_frees_the_rest(world: World):
    first = span(world, 0, 480)
    hours_log(actor=world.foreman, request=first, now=NOW)
    second = span(world, 30, 240, replaces=first.uuid)
    hours_log(actor=world.foreman, request=second, now=NOW)
    hours_log(actor=world.foreman, request=span(world, 270, 60), now=NOW)
    with pytest.raises(AlreadyReplaced):
        hours_log(actor=world.foreman, request=span(world, 0, 10, replaces=first.uuid), now=NOW)
    with pytest.raises(Conflict):
        hours_log(actor=world.foreman, request=span(world, 30, 300, replaces=second.uuid), now=NOW)
    hours_log(actor=world.foreman, request=span(world, 30, 0, replaces=second.uuid), now=NOW)
    with organisation_scope(world.organisation):
        assert HoursSpan.objects.count() == 1


def test_in_one_list_the_first_stands_and_the_crossing_one_is_refused(world: World):
    requests = [span(world, 0, 60), span(world, 30, 60), span(world, 60, 60)]
    outcomes = hours_batch_log(actor=world.foreman, requests=requests, now=NOW)
    assert [type(one).__name__ for one in outcomes] == ["HoursAnswer", "Conflict", "HoursAnswer"]


def test_sixteen_phones_that_log_the_same_hour_leave_one(committed_world: World):
    world = committed_world
    requests = [span(world, n, 60) for n in range(16)]
    outcomes = at_once(lambda one: hours_batch_log(actor=world.foreman, requests=[one], now=NOW)[0], requests)
    assert sorted(type(one).__name__ for one in outcomes) == ["Conflict"] * 15 + ["HoursAnswer"]


@pytest.mark.parametrize(
    ("change", "path"),
    [
        ({"minutes": 59}, "hours"),
        ({"finished_at": None}, "finished_at"),
        ({"started_at": None}, "finished_at"),
        ({"worked_on": date(2026, 11, 17)}, "started_at"),
        ({"worked_on": date(2026, 11, 20), "started_at": NOW, "finished_at": NOW + timedelta(hours=1)}, "finished_at"),
    ],
)
def test_times_that_cannot_be_are_refused_by_their_path(world: World, change: dict[str, Any], path: str):
    asked = {"worked_on": DAY, "minutes": 60, "started_at": SEVEN, "finished_at": SEVEN + timedelta(hours=1)} | change
    minutes = asked.pop("minutes")
    with pytest.raises(Invalid) as refused:
        hours_log(actor=world.foreman, request=hours(world, world.people[0], minutes, **asked), now=NOW)
    assert [mistake.path for mistake in refused.value.mistakes] == [path]


def test_the_database_refuses_crossing_hours_by_name(world: World):
    one, other = (hours_log(actor=world.foreman, request=span(world, at, 60), now=NOW) for at in (0, 60))
    assert isinstance(one, HoursAnswer)
    copy = """
        WITH received AS (
            INSERT INTO jobs_receipt (organisation_id, uuid, kind, request, membership_id, made_at, received_at)
            SELECT organisation_id, gen_random_uuid(), 'hours', '{}', logged_by_id, now(), now()
              FROM jobs_hours WHERE id = %s
            RETURNING uuid)
        INSERT INTO jobs_hours (organisation_id, uuid, job_id, person_id, worked_on, kind, minutes, started_at,
                                finished_at, logged_by_id, received_at)
        SELECT organisation_id, received.uuid, job_id, person_id, worked_on, kind, 2, started_at, started_at + '2 min',
               logged_by_id, received_at FROM jobs_hours, received WHERE id = %s"""
    with pytest.raises(IntegrityError, match="hours_do_not_overlap"):
        as_application(world, copy, [other.id, other.id])
    with organisation_scope(world.organisation):
        row = Hours.objects.get(pk=one.id)
        row.pk, row.uuid, row.finished_at = None, uuid4(), None
        with pytest.raises(IntegrityError, match="hours_start_and_finish_together"), transaction.atomic():
            row.save(force_insert=True)


def test_by_the_api_start_and_finish_stand_for_the_hours_and_come_back(world: World):
    phone = Phone(world.tokens["foreman"])
    body = {
        "uuid": str(uuid4()), "job": world.job, "person": world.people[0], "worked_on": DAY.isoformat(),
        "kind": "piece", "started_at": "2026-11-18T07:00:00+00:00", "finished_at": "2026-11-18T14:30:00+00:00",
        "made_at": NOW.isoformat(),
    }  # fmt: skip
    told = phone.post("/api/hours/", body).json()
    assert (told["hours"], told["started_at"], told["finished_at"]) == (
        "7:30", "2026-11-18T07:00:00.000000Z", "2026-11-18T14:30:00.000000Z",
    )  # fmt: skip
    assert phone.post("/api/hours/", body).json() == told
    assert phone.get("/api/hours/").json()["results"][0] == told
    crossing = body | {"uuid": str(uuid4()), "started_at": "2026-11-18T14:00:00+00:00"}
    assert "started_at" in expect_problem(phone.post("/api/hours/", crossing), 409, "conflict")
    for change, path in (
        ({"started_at": "2026-11-18T07:00:30+00:00"}, "started_at"),
        ({"started_at": "2026-11-19T07:00:00+00:00"}, "finished_at"),
    ):
        answer = phone.post("/api/hours/", body | {"uuid": str(uuid4())} | change)
        assert path in expect_problem(answer, 400, "invalid")
