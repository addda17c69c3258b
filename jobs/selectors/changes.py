"""What a device must be told since it last asked: jobs, levels, walls, work units, operations, crews and people.

Every row bears the transaction that changed it last (`changed`, made in migration 0004), and a device's cursor holds
a snapshot of PostgreSQL: the transactions that had ended when it last asked. What is new to it is every row whose
transaction that snapshot does not hold. So a row that was written early and committed late is told when it can be
seen, never passed over; clocks play no part, and a long transaction elsewhere delays and repeats nothing.

The snapshot is taken before the rows are read, each in a statement of its own: rows committed in between are told now
and once more next time, which does no harm, for a device keeps rows by id.

Reach is told whole, as ids: what a device holds and `reach` no longer names has been withdrawn, and goes with
everything below it. What came into reach (access to a job, a place in a crew) is told whole, however old its rows are.
Walls and work units are told in pages; the rest is small and stands on the first. Whatever is asked takes the same
number of statements.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import connection

from jobs.actors import Actor
from jobs.selectors.changes_cursor import (
    NOTHING,
    STAGES,
    Cursor,
    Place,
    cursor_read,
    cursor_text,
    lowest_running,
    snapshot_short,
)
from jobs.selectors.unit_states import state_of
from jobs.tenancy import organisation_in_scope

PAGE = 2000


@dataclass(frozen=True, slots=True)
class JobChange:
    id: int
    name: str
    code: str
    time_zone: str
    unit_system: str
    started_on: date


@dataclass(frozen=True, slots=True)
class OperationChange:
    id: int
    code: str
    name: str
    measure: str
    unit: str
    grain: str
    position: int
    active: bool


@dataclass(frozen=True, slots=True)
class LevelChange:
    id: int
    job: int
    name: str
    position: int


@dataclass(frozen=True, slots=True)
class CrewChange:
    """A crew with its active people and their weights, by person id."""

    id: int
    name: str
    people: tuple[tuple[int, Decimal], ...]


@dataclass(frozen=True, slots=True)
class PersonChange:
    id: int
    name: str
    number: str
    worker_class: str
    started_on: date
    left_on: date | None


@dataclass(frozen=True, slots=True)
class WallChange:
    id: int
    job: int
    level: int
    mark: str


@dataclass(frozen=True, slots=True)
class UnitChange:
    """A work unit, quantities in its operation's unit. `reason` says why it was reopened, if it was."""

    id: int
    job: int
    level: int
    wall: int | None
    operation: int
    face: str
    layer: int
    opening: str
    measured: Decimal
    done: Decimal
    verdict: str | None
    reason: str

    @property
    def left(self) -> Decimal:
        return max(self.measured - self.done, Decimal(0))

    @property
    def state(self) -> str:
        return state_of(self.measured, self.done, self.verdict)


@dataclass(frozen=True, slots=True)
class Reach:
    """Ids of all that the actor may see now."""

    jobs: tuple[int, ...]
    crews: tuple[int, ...]
    people: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Changes:
    """One page. `whole` says that the device must forget what it holds: this starts from nothing."""

    cursor: str
    more: bool
    whole: bool
    reach: Reach
    jobs: tuple[JobChange, ...] = ()
    operations: tuple[OperationChange, ...] = ()
    levels: tuple[LevelChange, ...] = ()
    crews: tuple[CrewChange, ...] = ()
    people: tuple[PersonChange, ...] = ()
    walls: tuple[WallChange, ...] = ()
    work_units: tuple[UnitChange, ...] = ()


def changes_since(*, actor: Actor, since: str | None, page: int = PAGE) -> Changes:
    """One page of what changed after the cursor `since`; None starts from nothing. Raises Invalid for another text.

    Needs the organisation in scope, at READ COMMITTED or stricter.
    """
    given = cursor_read(since) if since is not None else None
    now, cluster, changed_member = _moment(actor)
    cursor = _own(given, actor, cluster, now, changed_member)
    seen = cursor.seen
    jobs = _jobs(actor, seen)
    crews, people = _crews(actor, seen), _people(actor, seen)
    reach = Reach(
        tuple(row[0] for row in jobs),
        tuple(row[0] for row in crews),
        tuple(row[0] for row in people),
    )
    seeing = cursor.seeing if cursor.place else now
    snapshots = {row[0]: NOTHING if row[1] else seen for row in jobs}
    walls, units, place = _pages(snapshots, cursor.place or Place(), page, seeing)
    following = (
        Cursor(cluster, actor.membership or 0, seen, seeing, place)
        if place
        else Cursor(cluster, actor.membership or 0, seeing)
    )
    first = cursor.place is None
    return Changes(
        cursor=cursor_text(following),
        more=place is not None,
        whole=first and seen == NOTHING,
        reach=reach,
        jobs=tuple(JobChange(row[0], *row[3:]) for row in jobs if row[2]) if first else (),
        operations=_operations(seen) if first else (),
        levels=_levels(snapshots) if first else (),
        crews=tuple(_crew(row) for row in crews if row[1]) if first else (),
        people=tuple(PersonChange(row[0], *row[2:]) for row in people if row[1]) if first else (),
        walls=walls,
        work_units=units,
    )


def _rows(sql: str, **values: Any) -> list[Any]:
    with connection.cursor() as cursor:
        cursor.execute(sql, {"organisation": organisation_in_scope(), **values})
        return cursor.fetchall()


def _moment(actor: Actor) -> tuple[str, int, int]:
    """The snapshot now, the database's own number, and the transaction that changed the membership last."""
    rows = _rows(
        """
        SELECT pg_current_snapshot()::text, (SELECT system_identifier FROM pg_control_system()),
               (SELECT m.changed::text FROM jobs_membership m
                 WHERE m.organisation_id = %(organisation)s AND m.id = %(member)s)
        """,
        member=actor.membership,
    )
    snapshot, cluster, changed = rows[0]
    return snapshot_short(snapshot), int(cluster), int(changed or 0)


def _own(given: Cursor | None, actor: Actor, cluster: int, now: str, changed_member: int) -> Cursor:
    """The cursor if it is good here; otherwise one that has seen nothing.

    Not good are those of another database or member, those from a time that this database, restored, has not come to
    yet, and those from before the member's role changed.
    """
    nothing = Cursor(cluster, actor.membership or 0)
    if given is None or (given.cluster, given.membership) != (cluster, actor.membership or 0):
        return nothing
    if given.seen == NOTHING:
        return given
    _, following, running = given.seen.split(":")
    ahead = lowest_running(given.seen) > int(now.split(":")[1])
    role_is_seen = changed_member < int(following) and str(changed_member) not in running.split(",")
    return given if role_is_seen and not ahead else nothing


def _jobs(actor: Actor, seen: str) -> list[Any]:
    """Jobs in reach: id, whether it came into reach since, whether its own row is to be told, and the row."""
    return _rows(
        """
        SELECT j.id, a.fresh, a.fresh OR NOT pg_visible_in_snapshot(j.changed, %(seen)s::pg_snapshot), j.name, j.code,
               j.time_zone, j.unit_system, j.started_on
          FROM jobs_job j
          LEFT JOIN LATERAL (SELECT NOT pg_visible_in_snapshot(x.changed, %(seen)s::pg_snapshot) AS fresh
                               FROM jobs_jobaccess x
                              WHERE x.organisation_id = j.organisation_id AND x.job_id = j.id
                                AND x.membership_id = %(member)s AND NOT %(all)s) a ON true
         WHERE j.organisation_id = %(organisation)s AND (%(all)s OR a.fresh IS NOT NULL)
         ORDER BY j.id
        """,
        seen=seen,
        member=actor.membership,
        all=actor.sees_every_job,
    )


def _operations(seen: str) -> tuple[OperationChange, ...]:
    rows = _rows(
        """
        SELECT o.id, o.code, o.name, o.measure, o.unit, o.grain, o.position, o.active FROM jobs_operation o
         WHERE o.organisation_id = %(organisation)s AND NOT pg_visible_in_snapshot(o.changed, %(seen)s::pg_snapshot)
         ORDER BY o.id
        """,
        seen=seen,
    )
    return tuple(OperationChange(*row) for row in rows)


def _levels(snapshots: dict[int, str]) -> tuple[LevelChange, ...]:
    rows = _rows(
        """
        SELECT l.id, l.job_id, l.name, l.position
          FROM unnest(%(jobs)s::bigint[], %(seen)s::text[]) AS j (id, seen)
          JOIN jobs_level l ON l.organisation_id = %(organisation)s AND l.job_id = j.id
         WHERE NOT pg_visible_in_snapshot(l.changed, j.seen::pg_snapshot)
         ORDER BY l.id
        """,
        jobs=list(snapshots),
        seen=list(snapshots.values()),
    )
    return tuple(LevelChange(*row) for row in rows)


def _crews(actor: Actor, seen: str) -> list[Any]:
    """Crews in reach: id, whether to be told (itself or a place in it changed), name, people, weights."""
    return _rows(
        """
        SELECT c.id, NOT pg_visible_in_snapshot(c.changed, %(seen)s::pg_snapshot)
                     OR bool_or(m.id IS NOT NULL AND NOT pg_visible_in_snapshot(m.changed, %(seen)s::pg_snapshot)),
               c.name,
               COALESCE(array_agg(m.person_id ORDER BY m.person_id) FILTER (WHERE m.active), '{}'),
               COALESCE(array_agg(m.weight ORDER BY m.person_id) FILTER (WHERE m.active), '{}')
          FROM jobs_crew c
          LEFT JOIN jobs_crewmember m ON m.organisation_id = c.organisation_id AND m.crew_id = c.id
         WHERE c.organisation_id = %(organisation)s AND (%(all)s OR c.foreman_id = %(member)s)
         GROUP BY c.id ORDER BY c.id
        """,
        seen=seen,
        member=actor.membership,
        all=actor.sees_every_job,
    )


def _crew(row: Sequence[Any]) -> CrewChange:
    return CrewChange(row[0], row[2], tuple(zip(row[3], row[4], strict=True)))


def _people(actor: Actor, seen: str) -> list[Any]:
    """People in reach: id, whether to be told (he himself, his place in a crew or its foreman changed), and the row."""
    return _rows(
        """
        SELECT p.id, COALESCE(led.fresh, false) OR NOT pg_visible_in_snapshot(p.changed, %(seen)s::pg_snapshot), p.name,
               p.number, p.worker_class, p.started_on, p.left_on
          FROM jobs_person p
          LEFT JOIN (SELECT m.person_id, bool_or(NOT pg_visible_in_snapshot(m.changed, %(seen)s::pg_snapshot)
                                         OR NOT pg_visible_in_snapshot(c.changed, %(seen)s::pg_snapshot)) AS fresh
                       FROM jobs_crewmember m
                       JOIN jobs_crew c ON c.organisation_id = m.organisation_id AND c.id = m.crew_id
                      WHERE m.organisation_id = %(organisation)s AND m.active AND c.foreman_id = %(member)s
                        AND NOT %(all)s
                      GROUP BY m.person_id) led ON led.person_id = p.id
         WHERE p.organisation_id = %(organisation)s
           AND (%(all)s OR p.id = %(person)s OR led.person_id IS NOT NULL)
         ORDER BY p.id
        """,
        seen=seen,
        member=actor.membership,
        person=actor.person,
        all=actor.sees_every_job,
    )


def _pages(
    snapshots: dict[int, str], place: Place, page: int, seeing: str
) -> tuple[tuple[WallChange, ...], tuple[UnitChange, ...], Place | None]:
    """Walls, then work units, behind `place`: `page` of them at most, and the place to go on from if there are more.

    A page that ends with the last wall may be followed by one without rows.
    """
    walls: list[Any] = []
    if place.stage == STAGES[0]:
        walls = _large("jobs_wall w", "w.id, w.job_id, w.level_id, w.mark", snapshots, place, page, seeing)
        if len(walls) == page:
            return _walls(walls), (), Place(STAGES[0], walls[-1][1], int(walls[-1][-1]), walls[-1][0])
        place = Place(STAGES[1])
    room = page - len(walls)
    units = _large(_UNITS, _UNIT_COLUMNS, snapshots, place, room, seeing)
    more = Place(STAGES[1], units[-1][1], int(units[-1][-1]), units[-1][0]) if len(units) == room else None
    return _walls(walls), tuple(UnitChange(*row[:-1]) for row in units), more


def _walls(rows: list[Any]) -> tuple[WallChange, ...]:
    return tuple(WallChange(*row[:-1]) for row in rows)


_UNITS = """jobs_workunit w
          LEFT JOIN LATERAL (SELECT i.verdict, n.text AS reason
                               FROM jobs_inspection i
                               LEFT JOIN jobs_inspectionnote n
                                 ON n.organisation_id = i.organisation_id AND n.inspection_id = i.id
                              WHERE i.organisation_id = w.organisation_id AND i.work_unit_id = w.id
                              ORDER BY i.id DESC LIMIT 1) last ON true"""
_UNIT_COLUMNS = """w.id, w.job_id, w.level_id, w.wall_id, w.operation_id, w.face, w.layer, w.opening, w.measured,
                   w.done, last.verdict,
                   CASE WHEN last.verdict = 'reopened' THEN COALESCE(last.reason, '') ELSE '' END"""


def _large(table: str, columns: str, snapshots: dict[int, str], place: Place, room: int, seeing: str) -> list[Any]:
    """Rows under the jobs, job by job, in the order of their change: the index gives them so, and a page stops early.

    A round of pages ends, however busy the job: what changes while it lasts is left for the next. Numbers that no
    transaction here has come to yet are of a database this one was copied from, and are told each time.
    """
    jobs = {job: seen for job, seen in snapshots.items() if job >= place.job}
    return _rows(
        f"""
        SELECT row.* FROM unnest(%(jobs)s::bigint[], %(seen)s::text[], %(changed)s::text[], %(ids)s::bigint[])
                          AS j (id, seen, changed, after)
          CROSS JOIN LATERAL (
            SELECT {columns}, w.changed::text
              FROM {table}
             WHERE w.organisation_id = %(organisation)s AND w.job_id = j.id
               AND w.changed >= pg_snapshot_xmin(j.seen::pg_snapshot)
               AND NOT pg_visible_in_snapshot(w.changed, j.seen::pg_snapshot)
               AND (w.changed < pg_snapshot_xmax(%(seeing)s::pg_snapshot)
                    OR w.changed >= pg_snapshot_xmax(pg_current_snapshot()))
               AND (w.changed, w.id) > (j.changed::xid8, j.after)
             ORDER BY w.changed, w.id LIMIT %(room)s) row
         LIMIT %(room)s
        """,  # noqa: S608 - table and columns are ours
        jobs=sorted(jobs),
        seen=[jobs[job] for job in sorted(jobs)],
        changed=[str(place.changed if job == place.job else 0) for job in sorted(jobs)],
        ids=[place.id if job == place.job else 0 for job in sorted(jobs)],
        room=room,
        seeing=seeing,
    )
