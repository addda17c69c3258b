"""The lists of the API: what each role sees, page by page, in a number of queries that does not grow."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.models import JobAccess
from jobs.tenancy import organisation_scope
from tests.api.client import Phone, expect_problem
from tests.jobs.world import World, entry_json

LISTS = [
    "/api/jobs/",
    "/api/jobs/{job}/walls/",
    "/api/jobs/{job}/work-units/",
    "/api/people/",
    "/api/crews/",
    "/api/entries/",
]


def test_a_foreman_finds_the_walls_and_what_is_left_of_their_work(world: World):
    phone = Phone(world.tokens["foreman"])
    phone.post("/api/entries/", entry_json(world, world.unit("A", "STUDS"), "4"))
    job = phone.get("/api/jobs/").json()["results"][0]
    assert (job["id"], job["code"]) == (world.job, "HSC")
    walls = phone.get(f"/api/jobs/{world.job}/walls/").json()["results"]
    assert {(wall["level"], wall["mark"]) for wall in walls} == {("Level 1", "A"), ("Level 1", "B")}
    wall_a = next(wall["id"] for wall in walls if wall["mark"] == "A")
    units = phone.get(f"/api/jobs/{world.job}/work-units/", wall=wall_a).json()["results"]
    assert {unit["mark"] for unit in units} == {"A"}
    studs = next(unit for unit in units if unit["operation"] == "STUDS")
    assert (studs["measured"], studs["done"], studs["left"], studs["unit"]) == ("9", "4", "5", "each")
    crew = phone.get("/api/crews/").json()["results"][0]
    assert [one["person"] for one in crew["people"]] == list(world.people)


def test_only_open_work_units_if_asked(world: World):
    phone = Phone(world.tokens["foreman"])
    unit = world.unit("A", "STUDS")
    phone.post("/api/entries/", entry_json(world, unit, "all left"))
    path = f"/api/jobs/{world.job}/work-units/"
    assert unit not in {one["id"] for one in phone.get(path, open=1).json()["results"]}
    assert [one["id"] for one in phone.get(path, open=0).json()["results"]] == [unit]
    assert "open" in expect_problem(phone.get(path, open="maybe"), 400, "invalid")
    assert "wall" in expect_problem(phone.get(path, wall="A"), 400, "invalid")


@pytest.mark.parametrize("path", LISTS)
def test_another_organisation_s_rows_are_in_no_list(world: World, other: World, path: str):
    Phone(other.tokens["foreman"]).post("/api/entries/", entry_json(other, other.unit("A", "TRACK"), "1"))
    for role in ("owner", "office", "foreman"):
        found = Phone(world.tokens[role]).get(path.format(job=world.job)).json()["results"]
        theirs = Phone(other.tokens[role]).get(path.format(job=other.job)).json()["results"]
        assert not {one["id"] for one in found} & {one["id"] for one in theirs}
        assert theirs


def test_a_job_out_of_reach_is_not_found_like_one_that_is_not_there(world: World, other: World):
    phone = Phone(world.tokens["foreman"])
    paths = [f"/api/jobs/{job}/{what}/" for what in ("walls", "work-units") for job in (other.job, 10**15, 2**70)]
    bodies = {phone.get(path).content for path in paths}
    assert len(bodies) == 1
    expect_problem(phone.get(paths[0]), 404, "not-found")
    with organisation_scope(world.organisation):
        JobAccess.objects.filter(membership=world.foreman.membership).delete()
    assert phone.get(f"/api/jobs/{world.job}/walls/").content in bodies
    assert phone.get("/api/jobs/").json()["results"] == []


def test_a_worker_is_told_his_own_share_alone(world: World):
    Phone(world.tokens["foreman"]).post("/api/entries/", entry_json(world, world.unit("A", "TRACK"), "5"))
    told = Phone(world.tokens["worker"]).get("/api/entries/").json()["results"]
    assert [one["shares"] for one in told] == [[{"person": world.people[0], "quantity": "1"}]]
    for path in LISTS[:-1]:
        expect_problem(Phone(world.tokens["worker"]).get(path.format(job=world.job)), 403, "not-allowed")


def test_pages_follow_each_other_by_cursor_without_a_gap_or_a_repetition(world: World):
    phone = Phone(world.tokens["foreman"])
    path: str | None = f"/api/jobs/{world.job}/work-units/?page_size=3"
    seen: list[int] = []
    while path:
        page = phone.get(path).json()
        assert len(page["results"]) <= 3
        seen += [one["id"] for one in page["results"]]
        path = page["next"]
    assert sorted(seen) == sorted(world.units.values())


@pytest.mark.parametrize("path", LISTS)
def test_queries_do_not_grow_with_the_list(world: World, path: str):
    phone = Phone(world.tokens["foreman"])

    def queries() -> int:
        with CaptureQueriesContext(connection) as captured:
            assert phone.get(path.format(job=world.job)).status_code == 200
        return len(captured)

    items = [entry_json(world, world.unit("A", "TRACK"), "0.1") for _ in range(3)]
    phone.post("/api/entries/batch/", {"entries": items[:1]})
    few = queries()
    phone.post("/api/entries/batch/", {"entries": items})
    assert queries() == few <= 8
