"""From JSON to the frozen requests of the services. Raises Invalid with every mistake and its path."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from jobs.api.fields import Fields
from jobs.models.hours import HoursKind
from jobs.models.inspections import Verdict
from jobs.models.words import Says
from jobs.pictures import MOST_BYTES
from jobs.refusals import Mistake, raise_mistakes
from jobs.requests import (
    ALL_LEFT,
    SHEETS,
    SPOKEN_UNITS,
    EntryRequest,
    HoursRequest,
    InspectionRequest,
    PartAsked,
    PersonAsked,
    PhotoRequest,
    SharesAsked,
    WordRequest,
)

LONGEST_NOTE = 500
# In minutes; a day on which the clock goes back.
LONGEST_DAY = 1500
MOST_PEOPLE = 100
MOST_SHEETS = 200
SPLITS = ("equal", "weight", "quantity")


def entry_request(data: Any) -> EntryRequest:
    """Read an entry or a correction. Raises Invalid."""
    mistakes: list[Mistake] = []
    fields = Fields(data, mistakes)
    uuid = fields.uuid("uuid")
    replaces = fields.uuid("replaces", needed=False)
    work_unit = fields.id("work_unit", needed=replaces is None)
    worked_on = fields.day("worked_on")
    made_at = fields.moment("made_at")
    part = _part(fields, mistakes)
    everything = fields.raw("quantity") == ALL_LEFT
    quantity = None if everything else fields.quantity("quantity", needed=fields.raw("part") is None)
    if fields.raw("part") is not None and (everything or quantity is not None):
        mistakes.append(Mistake("part", "give either a quantity or a part, one of the two."))
    shares = _shares(fields.raw("shares"), mistakes)
    note = fields.text("note", longest=LONGEST_NOTE)
    started_at, finished_at = _span(fields, mistakes)
    fields.only()
    raise_mistakes(mistakes)
    assert uuid is not None and worked_on is not None and made_at is not None  # noqa: S101 - mistakes were raised
    return EntryRequest(
        uuid, work_unit, worked_on, quantity, shares, made_at, note, replaces, part, started_at, finished_at
    )


def _part(entry: Fields, mistakes: list[Mistake]) -> PartAsked | None:
    """A part in sheets, feet or studs: a count, or sheets by number."""
    data = entry.raw("part")
    if data is None:
        return None
    fields = Fields(data, mistakes, "part")
    unit = fields.one_of("unit", SPOKEN_UNITS)
    numbers, plan = fields.raw("numbers"), fields.id("plan", needed=False)
    count = fields.number("count", needed=numbers is None)
    fields.only()
    if numbers is None:
        return PartAsked(unit, count)
    good = isinstance(numbers, list) and 0 < len(numbers) <= MOST_SHEETS
    if not good or any(not isinstance(one, int) or isinstance(one, bool) or not 0 < one < 10**6 for one in numbers):
        mistakes.append(Mistake("part.numbers", f"numbers must be a list of 1 to {MOST_SHEETS} sheet numbers."))
        return None
    if unit != SHEETS or count is not None:
        mistakes.append(Mistake("part.numbers", "numbers name sheets, without a count. Leave one of them out."))
    return PartAsked(unit, None, tuple(sorted(set(numbers))), plan)


def _shares(data: Any, mistakes: list[Mistake]) -> SharesAsked:
    if data is None:
        mistakes.append(Mistake("shares", "shares are missing. Name a crew or the people who did the work."))
        return SharesAsked()
    fields = Fields(data, mistakes, "shares")
    by = fields.one_of("by", SPLITS, default="equal")
    crew = fields.id("crew", needed=False)
    people = _people(fields.raw("people"), by, mistakes)
    fields.only()
    if isinstance(data, dict) and (crew is None) == (data.get("people") is None) and "crew" not in _paths(mistakes):
        mistakes.append(Mistake("shares", "name either a crew or people, one of the two."))
    if crew is not None and by == "quantity":
        mistakes.append(
            Mistake("shares.by", "quantities are given for people by name. Name the people instead of a crew.")
        )
    return SharesAsked(by, crew, people)


def _paths(mistakes: list[Mistake]) -> set[str]:
    return {mistake.path.removeprefix("shares.") for mistake in mistakes}


def _people(data: Any, by: str, mistakes: list[Mistake]) -> tuple[PersonAsked, ...]:
    if data is None:
        return ()
    if not isinstance(data, list) or not 0 < len(data) <= MOST_PEOPLE:
        mistakes.append(Mistake("shares.people", f"people must be a list of 1 to {MOST_PEOPLE}."))
        return ()
    people: list[PersonAsked] = []
    for place, item in enumerate(data):
        fields = Fields(item, mistakes, f"shares.people[{place}]")
        person = fields.id("person")
        weight = fields.decimal("weight") if by == "weight" else None
        quantity = fields.decimal("quantity") if by == "quantity" else None
        fields.only()
        if weight is not None and weight == 0:
            mistakes.append(Mistake(fields.at("weight"), "a weight is above 0. Leave the person out instead."))
        if person is not None and any(person == earlier.person for earlier in people):
            mistakes.append(Mistake(fields.at("person"), f"person {person} stands twice. Name each once."))
        if person is not None:
            people.append(PersonAsked(person, weight, quantity))
    return tuple(people)


def hours_request(data: Any) -> HoursRequest:
    """Read hours or their correction. Raises Invalid."""
    mistakes: list[Mistake] = []
    fields = Fields(data, mistakes)
    uuid, job, person = fields.uuid("uuid"), fields.id("job"), fields.id("person")
    worked_on, made_at = fields.day("worked_on"), fields.moment("made_at")
    kind = fields.one_of("kind", tuple(HoursKind.values))
    started_at, finished_at = _span(fields, mistakes)
    given = fields.minutes("hours", needed=started_at is None and finished_at is None)
    replaces = fields.uuid("replaces", needed=False)
    fields.only()
    minutes = _minutes(given, started_at, finished_at)
    raise_mistakes(mistakes)
    assert uuid and job and person and worked_on and made_at  # noqa: S101 - mistakes were raised
    return HoursRequest(uuid, job, person, worked_on, kind, minutes, made_at, replaces, started_at, finished_at)


def _span(fields: Fields, mistakes: list[Mistake]) -> tuple[datetime | None, datetime | None]:
    """Start and finish, to the minute and within a day of each other. Whether both are there is for the service."""
    start, finish = fields.moment("started_at", needed=False), fields.moment("finished_at", needed=False)
    if start is None or finish is None:
        return start, finish
    if start.second or start.microsecond or finish.second or finish.microsecond:
        mistakes.append(Mistake("started_at", "start and finish are given to the minute. Leave the seconds at 00."))
    if not 0 <= _between(start, finish) <= LONGEST_DAY:
        mistakes.append(Mistake("finished_at", "the finish is not within a day after the start. Mend one of them."))
    return start, finish


def _between(start: datetime, finish: datetime) -> int:
    return int((finish - start).total_seconds()) // 60


def _minutes(given: int | None, start: datetime | None, finish: datetime | None) -> int:
    """The minutes given, or those from start to finish. Whether both agree is for the service to say."""
    if given is not None or start is None or finish is None:
        return given or 0
    return _between(start, finish)


def inspection_request(data: Any) -> InspectionRequest:
    """Read a verdict on a work unit. Raises Invalid."""
    mistakes: list[Mistake] = []
    fields = Fields(data, mistakes)
    uuid, work_unit = fields.uuid("uuid"), fields.id("work_unit")
    verdict = fields.one_of("verdict", tuple(Verdict.values))
    reason = fields.text("reason", longest=LONGEST_NOTE)
    inspected_on, made_at = fields.day("inspected_on"), fields.moment("made_at")
    fields.only()
    raise_mistakes(mistakes)
    assert uuid and work_unit and inspected_on and made_at  # noqa: S101 - mistakes were raised
    return InspectionRequest(uuid, work_unit, verdict, reason, inspected_on, made_at)


def word_request(data: Any) -> WordRequest:
    """Read a word on an entry or hours. Raises Invalid."""
    mistakes: list[Mistake] = []
    fields = Fields(data, mistakes)
    uuid, about, person = fields.uuid("uuid"), fields.uuid("about"), fields.id("person")
    says = fields.one_of("says", tuple(Says.values))
    reason = fields.text("reason", longest=LONGEST_NOTE)
    made_at = fields.moment("made_at")
    fields.only()
    raise_mistakes(mistakes)
    assert uuid and about and person and made_at  # noqa: S101 - mistakes were raised
    return WordRequest(uuid, about, person, says, reason, made_at)


def photo_request(data: Any, entry: UUID) -> PhotoRequest:
    """Read a photo of an entry. Raises Invalid."""
    mistakes: list[Mistake] = []
    fields = Fields(data, mistakes)
    uuid, made_at = fields.uuid("uuid"), fields.moment("made_at")
    source = fields.base64("photo", most=MOST_BYTES)
    fields.only()
    raise_mistakes(mistakes)
    assert uuid and made_at  # noqa: S101 - mistakes were raised
    return PhotoRequest(uuid, entry, source, made_at)


def batch(data: Any, most: int) -> list[Any]:
    """The items of a batch, unread. Raises Invalid for anything but an object with 1 to `most` items."""
    mistakes: list[Mistake] = []
    fields = Fields(data, mistakes)
    items = fields.raw("entries")
    fields.only()
    if not isinstance(items, list) or not 0 < len(items) <= most:
        mistakes.append(Mistake("entries", f"entries must be a list of 1 to {most}. Send longer lists in parts."))
    raise_mistakes(mistakes)
    return list(items)
