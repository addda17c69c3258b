"""What a device is told since it last asked: nothing left out, whatever commits late; nothing kept that was withdrawn.

The ground of it is PostgreSQL's own documentation of pg_current_snapshot and pg_visible_in_snapshot (functions on
transaction ids and snapshots): a snapshot names the transactions whose work it does not hold. The rest is derived.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from decimal import Decimal
from threading import Event
from typing import Any

import psycopg
import pytest
from django.conf import settings
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from config import env
from jobs.models import CrewMember, JobAccess, Membership, WorkUnit
from jobs.refusals import Invalid
from jobs.selectors.changes import Changes, changes_since
from jobs.selectors.changes_cursor import MOST_RUNNING, Cursor, cursor_read, cursor_text, snapshot_short
from jobs.services.entries import entry_log
from jobs.services.inspections import inspection_record
from jobs.services.people import CrewPlace, PersonFacts, crew_create, person_create
from jobs.services.sites import JobFacts, job_access_give, job_create
from jobs.tenancy import organisation_scope
from tests.jobs.test_inspections_take_nothing_back import verdict
from tests.jobs.world import DAY, NOW, World, entry
from tests.support.at_once import at_once


def ask(world: World, since: str | None = None, who: str = "foreman", page: int = 2000) -> Changes:
    with transaction.atomic(), organisation_scope(world.organisation):
        return changes_since(actor=world.actors[who], since=since, page=page)


class Held:
    """What a device holds: it follows the rules the API tells it, and no others."""

    def __init__(self, world: World, who: str = "foreman") -> None:
        self.world, self.who = world, who
        self.cursor: str | None = None
        self.rows: dict[str, dict[int, Any]] = {}

    def follow(self, page: int = 2000) -> int:
        """Ask until there is no more; how many rows were told."""
        told = 0
        while True:
            found = ask(self.world, self.cursor, self.who, page)
            told += self._take(found)
            self.cursor = found.cursor
            if not found.more:
                return told

    def _take(self, found: Changes) -> int:
        if found.whole:
            self.rows = {}
        told = 0
        for kind in ("jobs", "operations", "levels", "crews", "people", "walls", "work_units"):
            rows = getattr(found, kind)
            told += len(rows)
            self.rows.setdefault(kind, {}).update({row.id: row for row in rows})
        jobs = set(found.reach.jobs)
        for kind, reach in (("jobs", jobs), ("crews", set(found.reach.crews)), ("people", set(found.reach.people))):
            self.rows[kind] = {id_: row for id_, row in self.rows[kind].items() if id_ in reach}
        for kind in ("levels", "walls", "work_units"):
            self.rows[kind] = {id_: row for id_, row in self.rows[kind].items() if row.job in jobs}
        return told

    def agrees(self) -> bool:
        """Whether it holds what one that starts from nothing would be told now."""
        fresh = Held(self.world, self.who)
        fresh.follow()
        return fresh.rows == self.rows


@contextmanager
def another_connection(world: World) -> Iterator[psycopg.Connection]:
    """A transaction of the application on a connection of its own, in the world's organisation."""
    with psycopg.connect(env.database_url(settings.DATABASES["default"]), autocommit=False) as other:
        other.execute("SELECT set_config('piecewall.organisation', %s, true)", [str(world.organisation)])
        yield other
        other.rollback()


def measure(other: psycopg.Connection, unit: int, more: int) -> None:
    other.execute("UPDATE jobs_workunit SET measured = measured + %s WHERE id = %s", [more, unit])


def test_the_first_round_tells_all_in_reach_and_the_second_nothing(committed_world: World):
    held = Held(committed_world)
    assert held.follow() > 0
    assert len(held.rows["work_units"]) == len(committed_world.units)
    assert len(held.rows["walls"]) == 2
    assert {len(held.rows[kind]) for kind in ("jobs", "levels", "crews")} == {1}
    assert set(held.rows["people"]) == set(committed_world.people)
    assert held.follow() == 0


def test_a_row_written_early_and_committed_late_is_not_passed_over(committed_world: World):
    world = committed_world
    early, late = world.unit("A", "TRACK"), world.unit("B", "TRACK")
    held = Held(world)
    held.follow()
    with another_connection(world) as slow, another_connection(world) as quick:
        measure(slow, early, 1)
        measure(quick, late, 1)
        quick.commit()
        assert held.follow() == 1, "the quick one, though the slow one has the lower transaction"
        assert held.follow() == 0
        slow.commit()
    with transaction.atomic(), organisation_scope(world.organisation), connection.cursor() as cursor:
        cursor.execute("SELECT changed::text::bigint FROM jobs_workunit WHERE id = ANY(%s)", [[early, late]])
        cursor.execute("SELECT id FROM jobs_workunit WHERE id = ANY(%s) ORDER BY changed", [[early, late]])
        assert [row[0] for row in cursor.fetchall()] == [early, late]
    assert held.follow() == 1
    assert held.agrees()


def test_what_is_rolled_back_is_never_told(committed_world: World):
    held = Held(committed_world)
    held.follow()
    with another_connection(committed_world) as other:
        measure(other, committed_world.unit("A", "TRACK"), 5)
    assert held.follow() == 0
    assert held.agrees()


def test_pages_are_cut_anywhere_and_changes_between_them_lose_nothing(committed_world: World):
    world = committed_world
    dice = random.Random(5)
    units = list(world.units.values())
    held = Held(world)
    for page in (1, 2, 3, 5):
        held.cursor, held.rows = None, {}
        while True:
            found = ask(world, held.cursor, page=page)
            held._take(found)
            held.cursor = found.cursor
            with another_connection(world) as other:
                measure(other, dice.choice(units), 1)
                other.commit()
            if not found.more:
                break
        held.follow(page)
        assert held.agrees(), page


def test_a_device_that_asks_all_the_while_ends_with_what_stands(committed_world: World):
    """Cursor races: writers log on few units, several at once, while devices follow; nothing is missing at the end."""
    world = committed_world
    units = [world.unit("A", "TRACK"), world.unit("B", "TRACK"), world.unit("A", "BOARD", "left")]
    over = Event()
    devices = [Held(world), Held(world)]

    def step(nth: int) -> int:
        if nth < len(devices):
            while not over.is_set():
                devices[nth].follow(page=4)
            return devices[nth].follow()
        for turn in range(12):
            request = entry(world, units[(nth + turn) % 3], "0.01")
            entry_log(actor=world.foreman, request=request, now=NOW)
        if nth == 9:
            over.set()
        return 0

    done = at_once(step, range(10))
    assert not [one for one in done if isinstance(one, Exception)], done
    for device in devices:
        device.follow()
        assert device.agrees()
        assert sum(device.rows["work_units"][unit].done for unit in units) == Decimal("0.96")


def test_an_entry_tells_what_is_left_and_an_inspection_the_state(committed_world: World):
    world = committed_world
    unit = world.unit("A", "TRACK")
    held = Held(world)
    held.follow()
    entry_log(actor=world.foreman, request=entry(world, unit, "5"), now=NOW)
    assert held.follow() == 1
    row = held.rows["work_units"][unit]
    assert (row.done, row.left, row.state) == (5, row.measured - 5, "part done")
    inspection_record(actor=world.foreman, request=verdict(unit, "reopened", "pins are missing"), now=NOW)
    assert held.follow() == 1
    assert (held.rows["work_units"][unit].state, held.rows["work_units"][unit].reason) == (
        "reopened",
        "pins are missing",
    )


def test_a_job_withdrawn_leaves_reach_and_given_again_comes_whole(committed_world: World):
    world = committed_world
    held = Held(world)
    held.follow()
    with transaction.atomic(), organisation_scope(world.organisation):
        JobAccess.objects.filter(membership=world.foreman.membership).delete()
    held.follow()
    assert not held.rows["jobs"] and not held.rows["walls"] and not held.rows["work_units"]
    job_access_give(actor=world.owner, job=world.job, membership=world.foreman.membership or 0, now=NOW)
    assert held.follow(page=3) >= len(world.units)
    assert held.agrees()


def test_a_second_job_is_told_beside_the_first_without_repeating_it(committed_world: World):
    world = committed_world
    held = Held(world)
    held.follow()
    second = job_create(actor=world.owner, facts=JobFacts("Annexe", "ANX", DAY), now=NOW).pk
    assert held.follow() == 0, "no access yet"
    job_access_give(actor=world.owner, job=second, membership=world.foreman.membership or 0, now=NOW)
    assert held.follow() == 1
    assert set(held.rows["jobs"]) == {world.job, second}


def test_people_come_and_go_with_their_crew(committed_world: World):
    world = committed_world
    held = Held(world)
    held.follow()
    newcomer = person_create(actor=world.owner, facts=PersonFacts("Person 9", "009", DAY), now=NOW).pk
    assert held.follow() == 0, "in no crew of his"
    crew_create(
        actor=world.owner, name="Crew 9", foreman=world.foreman.membership, places=[CrewPlace(newcomer)], now=NOW
    )
    assert held.follow() == 2
    assert newcomer in held.rows["people"]
    with transaction.atomic(), organisation_scope(world.organisation):
        CrewMember.objects.filter(person=newcomer).update(active=False)
    held.follow()
    assert newcomer not in held.rows["people"]
    assert held.agrees()


def test_another_role_starts_from_nothing(committed_world: World):
    world = committed_world
    held = Held(world)
    held.follow()
    with transaction.atomic(), organisation_scope(world.organisation):
        Membership.objects.filter(pk=world.foreman.membership).update(role="office")
    world.actors["foreman"] = replace(world.foreman, role="office")
    found = ask(world, held.cursor)
    assert found.whole
    assert len(found.work_units) == len(world.units)


@pytest.mark.parametrize("who", ["owner", "office"])
def test_the_office_is_told_every_job_once(committed_world: World, who: str):
    held = Held(committed_world, who)
    held.follow()
    assert len(held.rows["work_units"]) == len(committed_world.units)
    assert held.follow() == 0


def test_a_cursor_of_another_member_database_or_time_starts_from_nothing(world: World):
    own = cursor_read(ask(world).cursor)
    ahead = f"{2**62}:{2**62}:"
    for other in (
        replace(own, membership=own.membership + 1),
        replace(own, cluster=own.cluster + 1),
        replace(own, seen=ahead),
    ):
        assert ask(world, cursor_text(other)).whole


@pytest.mark.parametrize(
    "text",
    ["", "x", "💥", "a" * 10_000, cursor_text(Cursor(1, 1, "5:4:")), cursor_text(Cursor(1, 1, "5:9:3")),
     cursor_text(Cursor(1, 1, "5:9:7,6")), cursor_text(Cursor(1, 1, "0:1:")), cursor_text(Cursor(1, 1, "5:9:7,,8")),
     cursor_text(Cursor(1, 1, f"1:{2**70}:"))],
)  # fmt: skip
def test_a_cursor_of_one_s_own_making_is_refused(world: World, text: str):
    with pytest.raises(Invalid, match="not given out here"):
        ask(world, text)


def test_a_snapshot_with_very_many_running_is_cut_to_an_older_one():
    running = ",".join(str(number) for number in range(100, 102 + MOST_RUNNING))
    assert snapshot_short("100:500:100,300") == "100:500:100,300"
    assert snapshot_short(f"100:900:{running}") == "100:100:"


def test_nothing_of_another_organisation_is_ever_told(committed_worlds: tuple[World, World, Any]):
    world, other, _ = committed_worlds
    held = Held(world)
    held.follow()
    entry_log(actor=other.foreman, request=entry(other, other.unit("A", "TRACK"), "1"), now=NOW)
    assert held.follow() == 0
    assert not set(held.rows["work_units"]) & set(other.units.values())


def test_a_hundred_thousand_work_units_come_in_pages_with_as_many_queries_each(committed_world: World):
    world = committed_world
    _many_units(world, 100_000)
    held = Held(world)
    counts, walls, units = set(), 0, set()
    while True:
        with CaptureQueriesContext(connection) as captured:
            found = ask(world, held.cursor)
        counts.add(len(captured))
        walls += len(found.walls)
        told = {row.id for row in found.work_units}
        assert not told & units
        units |= told
        assert len(found.walls) + len(found.work_units) <= 2000
        held.cursor = found.cursor
        if not found.more:
            break
    with transaction.atomic(), organisation_scope(world.organisation):
        assert units == set(WorkUnit.objects.values_list("pk", flat=True))
    assert len(units) == 100_000 + len(world.units)
    assert held.follow() == 0
    # BEGIN, COMMIT, scope and its end, and one each; the first page asks for operations, levels and walls as well.
    assert len(counts) == 2 and max(counts) <= 12, counts


def _many_units(world: World, count: int) -> None:
    """Work units for every opening mark of a wall; the plan makes as many on a real tower."""
    with transaction.atomic(), organisation_scope(world.organisation), connection.cursor() as cursor:
        cursor.execute(
            """
            INSERT INTO jobs_workunit (organisation_id, job_id, level_id, wall_id, operation_id, face, layer, opening,
                                       measured, revision_id, because, done)
            SELECT w.organisation_id, w.job_id, w.level_id, w.wall_id, w.operation_id, '', 0, 'many ' || n, 1,
                   w.revision_id, '[]', 0
              FROM jobs_workunit w, generate_series(1, %s) n WHERE w.id = %s
            """,
            [count, world.unit("A", "TRACK")],
        )
