"""Hours: exactly once, corrected by replacement, and never more in a day than the clock of the job shows."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest
from django.db import DatabaseError

from jobs.models import Hours
from jobs.refusals import AlreadyReplaced, Conflict, Invalid, NotAllowed, NotFound, UuidReused
from jobs.services.hours import day_minutes, hours_batch_log, hours_log
from jobs.services.hours_state import HoursAnswer, minutes_of_days
from jobs.services.people import person_leave
from jobs.tenancy import organisation_scope
from tests.jobs.sql import as_application
from tests.jobs.world import DAY, NOW, World, hours
from tests.support.at_once import at_once


@pytest.mark.parametrize(
    ("zone", "day", "minutes"),
    [
        # Time zone database: in New York the clock went back on 2026-11-01 and forward on 2026-03-08.
        ("America/New_York", date(2026, 11, 1), 25 * 60),
        ("America/New_York", date(2026, 3, 8), 23 * 60),
        ("America/New_York", date(2026, 7, 1), 24 * 60),
        ("UTC", date(2026, 11, 1), 24 * 60),
    ],
)
def test_a_day_is_as_long_as_its_clock_shows(zone: str, day: date, minutes: int):
    assert day_minutes(day, zone) == minutes


def test_twenty_minutes_are_a_third_of_an_hour_exactly(world: World):
    answer = hours_log(actor=world.foreman, request=hours(world, world.people[0], 20, kind="waiting"), now=NOW)
    with organisation_scope(world.organisation):
        assert Hours.objects.get(pk=answer.id).hours == Fraction(1, 3)


def test_the_twenty_fifth_hour_is_refused_and_leaves_nothing(world: World):
    person = world.people[0]
    hours_log(actor=world.foreman, request=hours(world, person, 20 * 60), now=NOW)
    with pytest.raises(Conflict, match="has 20:00 h on 2026-11-18; 4:01 h more is past the 24:00 h"):
        hours_log(actor=world.foreman, request=hours(world, person, 4 * 60 + 1, kind="travel"), now=NOW)
    hours_log(actor=world.foreman, request=hours(world, person, 4 * 60, kind="travel"), now=NOW)
    with organisation_scope(world.organisation):
        assert minutes_of_days([(person, DAY)]) == {(person, DAY): 24 * 60}


def test_thirty_two_threads_do_not_stretch_the_day(committed_world: World):
    world = committed_world
    requests = [hours(world, world.people[0], 2 * 60) for _ in range(32)]
    outcomes = at_once(lambda one: hours_log(actor=world.foreman, request=one, now=NOW), requests)
    assert sum(isinstance(outcome, HoursAnswer) for outcome in outcomes) == 12
    assert all(isinstance(outcome, HoursAnswer | Conflict) for outcome in outcomes)


def test_the_database_refuses_more_than_the_longest_day(world: World):
    with pytest.raises(DatabaseError, match="more than the longest day"):
        _raw(world, [(DAY, 1000), (DAY, 501)])
    _raw(world, [(DAY, 1000), (DAY, 500)])


def test_a_correction_takes_the_place_of_what_it_replaces(world: World):
    first = hours(world, world.people[0], 23 * 60)
    hours_log(actor=world.foreman, request=first, now=NOW)
    second = hours(world, world.people[0], 24 * 60, replaces=first.uuid)
    assert hours_log(actor=world.foreman, request=second, now=NOW).replaces == first.uuid
    with pytest.raises(AlreadyReplaced):
        hours_log(actor=world.foreman, request=hours(world, world.people[0], 1, replaces=first.uuid), now=NOW)
    hours_log(actor=world.foreman, request=hours(world, world.people[0], 0, replaces=second.uuid), now=NOW)
    with organisation_scope(world.organisation):
        assert minutes_of_days([(world.people[0], DAY)]) == {(world.people[0], DAY): 0}


def test_the_same_hours_again_get_the_first_answer_and_other_content_is_refused(world: World):
    request = hours(world, world.people[0], 60)
    first = hours_log(actor=world.foreman, request=request, now=NOW)
    assert hours_log(actor=world.foreman, request=request, now=NOW.replace(hour=20)) == first
    with pytest.raises(UuidReused) as refused:
        hours_log(actor=world.foreman, request=hours(world, world.people[0], 61, uuid=request.uuid), now=NOW)
    assert [mistake.path for mistake in refused.value.mistakes] == ["hours"]


def test_each_of_a_batch_stands_on_its_own(world: World, other: World):
    good, stranger, nobody = (hours(world, person, 60) for person in (world.people[0], other.people[0], 10**15))
    outcomes = hours_batch_log(actor=world.foreman, requests=[good, stranger, nobody, good], now=NOW)
    assert [type(outcome).__name__ for outcome in outcomes] == ["HoursAnswer", "NotFound", "NotFound", "HoursAnswer"]
    assert outcomes[0] == outcomes[3]


@pytest.mark.parametrize(
    ("change", "refusal"),
    [
        ({"kind": "golf"}, Invalid),
        ({"worked_on": date(2026, 11, 21)}, Invalid),
        ({"worked_on": date(2026, 1, 4)}, Invalid),
        ({"minutes": 0}, Invalid),
        ({"job": 10**12}, NotFound),
    ],
)
def test_what_cannot_be_is_refused(world: World, change: dict[str, object], refusal: type[Exception]):
    with pytest.raises(refusal):
        hours_log(actor=world.foreman, request=hours(world, world.people[0], **({"minutes": 60} | change)), now=NOW)


def test_nobody_works_after_his_last_day(world: World):
    person_leave(actor=world.owner, person=world.people[0], left_on=date(2026, 11, 17), now=NOW)
    with pytest.raises(Invalid, match="not employed on 2026-11-18"):
        hours_log(actor=world.foreman, request=hours(world, world.people[0], 60), now=NOW)


def test_a_worker_logs_no_hours(world: World):
    with pytest.raises(NotAllowed):
        hours_log(actor=world.actors["worker"], request=hours(world, world.people[0], 60), now=NOW)


def _raw(world: World, days: list[tuple[date, int]]) -> None:
    as_application(
        world,
        """
        WITH received AS (
            INSERT INTO jobs_receipt (organisation_id, uuid, kind, request, membership_id, made_at, received_at)
            SELECT %(org)s, gen_random_uuid(), 'hours', '{}', %(member)s, now(), now()
              FROM generate_series(1, cardinality(%(minutes)s::int[]))
            RETURNING uuid
        )
        INSERT INTO jobs_hours (organisation_id, uuid, job_id, person_id, worked_on, kind, minutes, logged_by_id,
                                received_at)
        SELECT %(org)s, r.uuid, %(job)s, %(person)s, d.day, 'piece', d.minutes, %(member)s, now()
          FROM (SELECT uuid, row_number() OVER () AS nth FROM received) r
          JOIN unnest(%(days)s::date[], %(minutes)s::int[]) WITH ORDINALITY AS d (day, minutes, nth) USING (nth)
        """,
        {
            "org": world.organisation,
            "member": world.foreman.membership,
            "job": world.job,
            "person": world.people[0],
            "days": [day for day, _ in days],
            "minutes": [minutes for _, minutes in days],
        },
    )
