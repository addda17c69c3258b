"""How received operations and changes look in answers."""

from __future__ import annotations

from typing import Any

from jobs.api import answers
from jobs.api.problems import problem_of
from jobs.refusals import Refusal
from jobs.requests import plain
from jobs.selectors.changes import Changes, CrewChange, JobChange, PersonChange, UnitChange
from jobs.services.entry_state import EntryAnswer
from jobs.services.hours_state import HoursAnswer
from jobs.services.inspections import InspectionAnswer


def outcome(uuid: str | None, found: EntryAnswer | HoursAnswer | InspectionAnswer | Refusal) -> dict[str, Any]:
    """One operation's answer: 201 with what was received, or the status of its problem."""
    told: dict[str, Any] = {"uuid": uuid}
    if isinstance(found, Refusal):
        problem = problem_of(found)
        return told | {"status": problem["status"], "problem": problem}
    if isinstance(found, EntryAnswer):
        return told | {"status": 201, "entry": answers.entry_answer(found)}
    if isinstance(found, HoursAnswer):
        return told | {"status": 201, "hours": answers.hours_answer(found)}
    return told | {"status": 201, "inspection": answers.inspection_answer(found)}


def changes(found: Changes) -> dict[str, Any]:
    return {
        "cursor": found.cursor,
        "more": found.more,
        "whole": found.whole,
        "reach": {
            "jobs": list(found.reach.jobs),
            "crews": list(found.reach.crews),
            "people": list(found.reach.people),
        },
        "jobs": [_job(job) for job in found.jobs],
        "operations": [
            {
                "id": one.id,
                "code": one.code,
                "name": one.name,
                "measure": one.measure,
                "unit": one.unit,
                "grain": one.grain,
                "position": one.position,
                "active": one.active,
            }
            for one in found.operations
        ],
        "levels": [{"id": one.id, "job": one.job, "name": one.name, "position": one.position} for one in found.levels],
        "crews": [_crew(crew) for crew in found.crews],
        "people": [_person(person) for person in found.people],
        "walls": [{"id": one.id, "job": one.job, "level": one.level, "mark": one.mark} for one in found.walls],
        "work_units": [_unit(unit) for unit in found.work_units],
    }


def _job(job: JobChange) -> dict[str, Any]:
    return {
        "id": job.id,
        "name": job.name,
        "code": job.code,
        "time_zone": job.time_zone,
        "unit_system": job.unit_system,
        "started_on": job.started_on.isoformat(),
    }


def _crew(crew: CrewChange) -> dict[str, Any]:
    people = [{"person": person, "weight": plain(weight)} for person, weight in crew.people]
    return {"id": crew.id, "name": crew.name, "people": people}


def _person(person: PersonChange) -> dict[str, Any]:
    return {
        "id": person.id,
        "name": person.name,
        "number": person.number,
        "worker_class": person.worker_class,
        "started_on": person.started_on.isoformat(),
        "left_on": person.left_on.isoformat() if person.left_on else None,
    }


def _unit(unit: UnitChange) -> dict[str, Any]:
    return {
        "id": unit.id,
        "job": unit.job,
        "level": unit.level,
        "wall": unit.wall,
        "operation": unit.operation,
        "face": unit.face,
        "layer": unit.layer,
        "opening": unit.opening,
        "measured": plain(unit.measured),
        "done": plain(unit.done),
        "left": plain(unit.left),
        "state": unit.state,
        "reason": unit.reason,
    }
