"""A foreman reaches the jobs he was let into and the people of the crews he leads; a worker his own lines."""

from __future__ import annotations

from datetime import date

import pytest

from jobs.models import JobAccess
from jobs.refusals import Invalid, NotAllowed, NotFound
from jobs.requests import PersonAsked, SharesAsked
from jobs.selectors.reach import crews_of, entries_of, hours_of, jobs_of, people_of, walls_of, work_units_of
from jobs.services.entries import entry_log
from jobs.services.hours import hours_log
from jobs.services.people import CrewPlace, PersonFacts, crew_create, person_create, person_leave
from jobs.services.sites import JobFacts, job_create
from jobs.tenancy import organisation_scope
from tests.jobs.world import DAY, NOW, World, entry, hours


def test_a_job_he_was_not_let_into_is_not_found(world: World):
    with organisation_scope(world.organisation):
        JobAccess.objects.filter(membership=world.foreman.membership).delete()
    with pytest.raises(NotFound):
        entry_log(actor=world.foreman, request=entry(world, world.unit("A", "TRACK"), "1"), now=NOW)
    with pytest.raises(NotFound):
        hours_log(actor=world.foreman, request=hours(world, world.people[0], 60), now=NOW)
    with organisation_scope(world.organisation):
        for reach in (jobs_of, walls_of, work_units_of, entries_of, hours_of):
            assert not reach(world.foreman).exists()


def test_another_foreman_s_crew_and_people_are_not_found(world: World):
    stranger = person_create(actor=world.owner, facts=PersonFacts("Person 9", "009", DAY), now=NOW).pk
    crew = crew_create(actor=world.owner, name="Crew 2", foreman=None, places=[CrewPlace(stranger)], now=NOW).pk
    unit = world.unit("A", "TRACK")
    for shares in (SharesAsked(crew=crew), SharesAsked(people=(PersonAsked(stranger),))):
        with pytest.raises(NotFound):
            entry_log(actor=world.foreman, request=entry(world, unit, "1", shares=shares), now=NOW)
        assert entry_log(actor=world.actors["office"], request=entry(world, unit, "1", shares=shares), now=NOW).id
    with organisation_scope(world.organisation):
        assert stranger not in people_of(world.foreman).values_list("pk", flat=True)
        assert crew not in crews_of(world.foreman).values_list("pk", flat=True)


def test_a_worker_logs_nothing_and_sees_his_own_lines_alone(world: World):
    worker = world.actors["worker"]
    unit = world.unit("A", "TRACK")
    with pytest.raises(NotAllowed):
        entry_log(actor=worker, request=entry(world, unit, "1"), now=NOW)
    others = SharesAsked(people=(PersonAsked(world.people[1]),))
    entry_log(actor=world.foreman, request=entry(world, unit, "1", shares=others), now=NOW)
    his = entry_log(actor=world.foreman, request=entry(world, unit, "2"), now=NOW)
    hours_log(actor=world.foreman, request=hours(world, world.people[1], 60), now=NOW)
    his_hours = hours_log(actor=world.foreman, request=hours(world, world.people[0], 60), now=NOW)
    with organisation_scope(world.organisation):
        assert list(entries_of(worker).values_list("pk", flat=True)) == [his.id]
        assert list(hours_of(worker).values_list("pk", flat=True)) == [his_hours.id]
        assert list(people_of(worker).values_list("pk", flat=True)) == [world.people[0]]


def test_work_is_not_logged_before_it_is_done_or_for_who_had_left(world: World):
    unit = world.unit("A", "TRACK")
    with pytest.raises(Invalid, match="after today at the job") as refused:
        entry_log(actor=world.foreman, request=entry(world, unit, "1", worked_on=date(2026, 11, 21)), now=NOW)
    assert refused.value.mistakes[0].path == "worked_on"
    person_leave(actor=world.owner, person=world.people[2], left_on=date(2026, 11, 17), now=NOW)
    with pytest.raises(Invalid, match=f"person {world.people[2]} was not employed"):
        entry_log(actor=world.foreman, request=entry(world, unit, "1"), now=NOW)


def test_today_is_told_by_the_clock_of_the_job(world: World):
    # 18:00 UTC on the 20th is the 21st already in Auckland (UTC+13 in November, time zone database).
    facts = JobFacts("Far Wharf", "FAR", date(2026, 10, 1), time_zone="Pacific/Auckland")
    far = job_create(actor=world.owner, facts=facts, now=NOW).pk
    request = hours(world, world.people[0], 60, job=far, worked_on=date(2026, 11, 21))
    assert hours_log(actor=world.owner, request=request, now=NOW).worked_on == date(2026, 11, 21)
