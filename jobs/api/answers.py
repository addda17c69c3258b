"""How records look in answers: quantities as decimal strings, moments in UTC."""

from __future__ import annotations

from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

from jobs.models import Crew, Entry, Hours, Job, Person, Wall, Word, WorkUnit
from jobs.notices import Notice
from jobs.requests import plain
from jobs.services.entry_state import EntryAnswer
from jobs.services.hours_state import HoursAnswer
from jobs.services.inspections import InspectionAnswer
from jobs.services.words import WordAnswer
from jobs.spoken import Reason


def moment(value: datetime) -> str:
    return value.astimezone(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")


def entry_answer(entry: EntryAnswer) -> dict[str, Any]:
    return {
        "id": entry.id,
        "uuid": str(entry.uuid),
        "work_unit": entry.work_unit,
        "worked_on": entry.worked_on.isoformat(),
        "quantity": plain(entry.quantity),
        "shares": [{"person": person, "quantity": plain(part)} for person, part in entry.shares],
        "received_at": moment(entry.received_at),
        "replaces": str(entry.replaces) if entry.replaces else None,
        "because": [reason.json() for reason in entry.because],
        "notices": [notice.json() for notice in entry.notices],
        "started_at": moment(entry.started_at) if entry.started_at else None,
        "finished_at": moment(entry.finished_at) if entry.finished_at else None,
    }


def entry_row(entry: Entry, person: int | None) -> dict[str, Any]:
    """An entry in a list. A worker, `person`, is told his own share alone."""
    answer = EntryAnswer(
        id=entry.pk,
        uuid=entry.uuid,
        work_unit=entry.work_unit_id,
        worked_on=entry.worked_on,
        quantity=entry.quantity,
        shares=tuple(
            (share.person_id, share.quantity)
            for share in entry.shares.all()
            if person is None or share.person_id == person
        ),
        received_at=entry.received_at,
        replaces=entry.replaces.uuid if entry.replaces else None,
        because=tuple(Reason(**reason) for reason in entry.because),
        notices=tuple(Notice(**notice) for notice in entry.notices),
        started_at=entry.started_at,
        finished_at=entry.finished_at,
    )
    return entry_answer(answer)


def hours_answer(hours: HoursAnswer) -> dict[str, Any]:
    return {
        "id": hours.id,
        "uuid": str(hours.uuid),
        "job": hours.job,
        "person": hours.person,
        "worked_on": hours.worked_on.isoformat(),
        "kind": hours.kind,
        "hours": f"{hours.minutes // 60}:{hours.minutes % 60:02d}",
        "received_at": moment(hours.received_at),
        "replaces": str(hours.replaces) if hours.replaces else None,
        "started_at": moment(hours.started_at) if hours.started_at else None,
        "finished_at": moment(hours.finished_at) if hours.finished_at else None,
    }


def hours_row(hours: Hours) -> dict[str, Any]:
    return hours_answer(
        HoursAnswer(
            id=hours.pk,
            uuid=hours.uuid,
            job=hours.job_id,
            person=hours.person_id,
            worked_on=hours.worked_on,
            kind=hours.kind,
            minutes=hours.minutes,
            received_at=hours.received_at,
            replaces=hours.replaces.uuid if hours.replaces else None,
            started_at=hours.started_at,
            finished_at=hours.finished_at,
        )
    )


def inspection_answer(inspection: InspectionAnswer) -> dict[str, Any]:
    return {
        "id": inspection.id,
        "uuid": str(inspection.uuid),
        "work_unit": inspection.work_unit,
        "verdict": inspection.verdict,
        "reason": inspection.reason,
        "inspected_on": inspection.inspected_on.isoformat(),
        "received_at": moment(inspection.received_at),
    }


def word_answer(word: WordAnswer) -> dict[str, Any]:
    return {
        "id": word.id,
        "uuid": str(word.uuid),
        "about": str(word.about),
        "person": word.person,
        "says": word.says,
        "reason": word.reason,
        "received_at": moment(word.received_at),
    }


def word_row(word: Word) -> dict[str, Any]:
    reason = next((note.text for note in word.notes.all()), "")
    return word_answer(WordAnswer(word.pk, word.uuid, word.about, word.person_id, word.says, reason, word.received_at))


def job_row(job: Job) -> dict[str, Any]:
    return {
        "id": job.pk,
        "name": job.name,
        "code": job.code,
        "time_zone": job.time_zone,
        "unit_system": job.unit_system,
        "started_on": job.started_on.isoformat(),
    }


def wall_row(wall: Wall) -> dict[str, Any]:
    return {"id": wall.pk, "level": wall.level.name, "mark": wall.mark}


def work_unit_row(unit: WorkUnit) -> dict[str, Any]:
    left = max(unit.measured - unit.done, Decimal(0))
    return {
        "id": unit.pk,
        "level": unit.level.name,
        "wall": unit.wall_id,
        "mark": unit.wall.mark if unit.wall else None,
        "operation": unit.operation.code,
        "operation_name": unit.operation.name,
        "unit": unit.operation.unit,
        "face": unit.face,
        "layer": unit.layer,
        "opening": unit.opening,
        "measured": plain(unit.measured),
        "done": plain(unit.done),
        "left": plain(left),
    }


def person_row(person: Person) -> dict[str, Any]:
    return {"id": person.pk, "name": person.name, "number": person.number, "worker_class": person.worker_class}


def crew_row(crew: Crew) -> dict[str, Any]:
    members = [
        {"person": member.person_id, "weight": plain(member.weight)} for member in crew.members.all() if member.active
    ]
    return {"id": crew.pk, "name": crew.name, "people": members}
