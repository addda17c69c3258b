"""What a decision about entries needs to know, read in a few statements whatever their number.

`units_lock` comes first: work units are locked in id order, and everything read after it is read behind the locks.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any
from uuid import UUID

from jobs.actors import Actor
from jobs.notices import Notice
from jobs.prepared import cursor_for
from jobs.spoken import Reason, Spoken
from jobs.tenancy import organisation_in_scope


@dataclass(slots=True)
class UnitState:
    """A locked work unit. `done` moves on as entries of one batch are decided one after the other."""

    id: int
    job: int
    zone: str
    measured: Decimal
    done: Decimal
    operation: int
    operation_name: str

    @property
    def left(self) -> Decimal:
        """What remains; 0 where a revised plan measured less than is done."""
        return max(self.measured - self.done, Decimal(0))


@dataclass(frozen=True, slots=True)
class FirstEntry:
    """An entry that another one asks to replace."""

    id: int
    uuid: UUID
    work_unit: int
    quantity: Decimal
    replaced: bool


@dataclass(frozen=True, slots=True)
class Worker:
    """A person who may be given a share, his weight in the crew, and the days he is employed."""

    person: int
    weight: Fraction
    started_on: date
    left_on: date | None


@dataclass(frozen=True, slots=True)
class EntryAnswer:
    """What is told of an entry: facts that never change, so that a repeated request gets the very same answer."""

    id: int
    uuid: UUID
    work_unit: int
    worked_on: date
    quantity: Decimal
    shares: tuple[tuple[int, Decimal], ...]
    received_at: datetime
    replaces: UUID | None
    because: tuple[Reason, ...] = ()
    notices: tuple[Notice, ...] = ()
    started_at: datetime | None = None
    finished_at: datetime | None = None


@dataclass(slots=True)
class State:
    """All of it, for one wave of requests."""

    actor: Actor
    now: datetime
    units: dict[int, UnitState]
    words: Callable[[int], tuple[str, str]]
    firsts: dict[UUID, FirstEntry] = field(default_factory=dict)
    crews: dict[int, list[Worker]] = field(default_factory=dict)
    people: dict[int, Worker] = field(default_factory=dict)
    spoken: dict[int, Spoken] = field(default_factory=dict)
    # Sheets named by entries in force, by work unit: the plan revision and number of each, and the entry.
    sheets: dict[int, dict[tuple[int, int], UUID]] = field(default_factory=dict)


def _rows(sql: str, values: Sequence[Any], asked: int) -> list[Any]:
    with cursor_for(asked) as cursor:
        cursor.execute(sql, values)
        return cursor.fetchall()


def units_lock(*, ids: Iterable[int], actor: Actor) -> dict[int, UnitState]:
    """Lock the work units among `ids` that are in the actor's reach, in id order, until the transaction ends."""
    wanted = sorted(set(ids))
    if not wanted:
        return {}
    rows = _rows(
        """
        SELECT w.id, w.job_id, j.time_zone, w.measured, w.done, o.id, o.name
          FROM jobs_workunit w
          JOIN jobs_job j ON j.organisation_id = w.organisation_id AND j.id = w.job_id
          JOIN jobs_operation o ON o.organisation_id = w.organisation_id AND o.id = w.operation_id
         WHERE w.organisation_id = %s AND w.id = ANY(%s)
           AND (%s OR EXISTS (SELECT 1 FROM jobs_jobaccess a
                               WHERE a.organisation_id = w.organisation_id AND a.job_id = w.job_id
                                 AND a.membership_id = %s))
         ORDER BY w.id FOR NO KEY UPDATE OF w
        """,
        [organisation_in_scope(), wanted, actor.sees_every_job, actor.membership],
        len(wanted),
    )
    return {row[0]: UnitState(*row) for row in rows}


def unit_words(unit: int) -> tuple[str, str]:
    """A work unit as a person would name it, and the unit it is measured in; for the sentence of a refusal."""
    rows = _rows(
        """
        SELECT concat_ws(', ', l.name, 'wall ' || wall.mark, o.name, 'opening ' || NULLIF(w.opening, ''),
                         NULLIF(w.face, '') || ' face', 'layer ' || NULLIF(w.layer, 0)), o.unit
          FROM jobs_workunit w
          JOIN jobs_level l ON l.organisation_id = w.organisation_id AND l.id = w.level_id
          JOIN jobs_operation o ON o.organisation_id = w.organisation_id AND o.id = w.operation_id
          LEFT JOIN jobs_wall wall ON wall.organisation_id = w.organisation_id AND wall.id = w.wall_id
         WHERE w.organisation_id = %s AND w.id = %s
        """,
        [organisation_in_scope(), unit],
        1,
    )
    name, measured_in = rows[0]
    return name, measured_in


def units_of_entries(uuids: Iterable[UUID]) -> dict[UUID, int]:
    """Work unit of each entry; needs no lock, it never changes."""
    wanted = list(uuids)
    if not wanted:
        return {}
    scope = organisation_in_scope()
    return dict(
        _rows(
            "SELECT uuid, work_unit_id FROM jobs_entry WHERE organisation_id = %s AND uuid = ANY(%s)",
            [scope, wanted],
            len(wanted),
        )
    )


def first_entries(uuids: Iterable[UUID]) -> dict[UUID, FirstEntry]:
    """The entries named by `uuids` and whether each was replaced already. Read behind the lock of their work units."""
    wanted = list(uuids)
    if not wanted:
        return {}
    rows = _rows(
        """
        SELECT e.id, e.uuid, e.work_unit_id, e.quantity,
               EXISTS (SELECT 1 FROM jobs_entry n WHERE n.organisation_id = e.organisation_id AND n.replaces_id = e.id)
          FROM jobs_entry e WHERE e.organisation_id = %s AND e.uuid = ANY(%s)
        """,
        [organisation_in_scope(), wanted],
        len(wanted),
    )
    return {row[1]: FirstEntry(*row) for row in rows}


def crews_in_reach(*, ids: Iterable[int], actor: Actor) -> dict[int, list[Worker]]:
    """Active members of crews; a foreman reaches the crews he leads."""
    wanted = sorted(set(ids))
    if not wanted:
        return {}
    crews: dict[int, list[Worker]] = {}
    for crew, person, weight, started_on, left_on in _rows(
        """
        SELECT c.id, p.id, m.weight, p.started_on, p.left_on
          FROM jobs_crew c
          JOIN jobs_crewmember m ON m.organisation_id = c.organisation_id AND m.crew_id = c.id AND m.active
          JOIN jobs_person p ON p.organisation_id = c.organisation_id AND p.id = m.person_id
         WHERE c.organisation_id = %s AND c.id = ANY(%s) AND (%s OR c.foreman_id = %s)
         ORDER BY c.id, p.id
        """,
        [organisation_in_scope(), wanted, actor.sees_every_job, actor.membership],
        len(wanted),
    ):
        crews.setdefault(crew, []).append(Worker(person, Fraction(weight), started_on, left_on))
    return crews


def people_in_reach(*, ids: Iterable[int], actor: Actor, lock: bool = False) -> dict[int, Worker]:
    """People by id; a foreman reaches himself and the people of the crews he leads. `lock` locks them, in id order."""
    wanted = sorted(set(ids))
    if not wanted:
        return {}
    rows = _rows(
        f"""
        SELECT p.id, p.started_on, p.left_on FROM jobs_person p
         WHERE p.organisation_id = %s AND p.id = ANY(%s)
           AND (%s OR p.id = %s OR EXISTS (
                SELECT 1 FROM jobs_crewmember m
                  JOIN jobs_crew c ON c.organisation_id = m.organisation_id AND c.id = m.crew_id AND c.foreman_id = %s
                 WHERE m.organisation_id = p.organisation_id AND m.person_id = p.id AND m.active))
         ORDER BY p.id {"FOR NO KEY UPDATE OF p" if lock else ""}
        """,  # noqa: S608 - one of two fixed endings
        [organisation_in_scope(), wanted, actor.sees_every_job, actor.person, actor.membership],
        len(wanted),
    )
    return {person: Worker(person, Fraction(1), started_on, left_on) for person, started_on, left_on in rows}


def entry_answers(uuids: Iterable[UUID]) -> dict[UUID, EntryAnswer]:
    """Entries as they are told to whoever logged them."""
    wanted = list(uuids)
    if not wanted:
        return {}
    rows = _rows(
        """
        SELECT e.id, e.uuid, e.work_unit_id, e.worked_on, e.quantity, e.received_at, first.uuid,
               array_agg(s.person_id ORDER BY s.person_id), array_agg(s.quantity ORDER BY s.person_id),
               e.because::text, e.notices::text, e.started_at, e.finished_at
          FROM jobs_entry e
          JOIN jobs_entryshare s ON s.organisation_id = e.organisation_id AND s.entry_id = e.id
          LEFT JOIN jobs_entry first ON first.organisation_id = e.organisation_id AND first.id = e.replaces_id
         WHERE e.organisation_id = %s AND e.uuid = ANY(%s)
         GROUP BY e.id, first.uuid
        """,
        [organisation_in_scope(), wanted],
        len(wanted),
    )
    return {
        uuid: EntryAnswer(
            id,
            uuid,
            unit,
            worked_on,
            quantity,
            tuple(zip(people, parts, strict=True)),
            received_at,
            replaces,
            tuple(Reason(**reason) for reason in json.loads(because)),
            tuple(Notice(**notice) for notice in json.loads(notices)),
            started_at,
            finished_at,
        )
        for (
            id,
            uuid,
            unit,
            worked_on,
            quantity,
            received_at,
            replaces,
            people,
            parts,
            because,
            notices,
            started_at,
            finished_at,
        ) in rows
    }
