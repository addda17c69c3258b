"""Deciding on one piece of time: pure, from what `hours_state` read behind the locks."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from jobs.models.hours import HoursKind
from jobs.refusals import AlreadyReplaced, Conflict, Mistake, invalid, not_found
from jobs.requests import HoursRequest
from jobs.services.day_spans import at_job, check_on_day
from jobs.services.hours_state import FirstHours, HoursState, Span


@dataclass(frozen=True, slots=True)
class DecidedHours:
    """Hours that will be written."""

    request: HoursRequest
    first: FirstHours | None


def day_minutes(day: date, zone: str) -> int:
    """Minutes the clock of `zone` shows on `day`: 1380, 1440 or 1500."""
    start = datetime.combine(day, time(), ZoneInfo(zone))
    end = datetime.combine(day + timedelta(days=1), time(), ZoneInfo(zone))
    return int((end.astimezone(UTC) - start.astimezone(UTC)).total_seconds()) // 60


def decide(request: HoursRequest, state: HoursState) -> DecidedHours:
    """Check one request and count it on its day. Raises Invalid, NotFound, Conflict or AlreadyReplaced."""
    _check_who_and_when(request, state)
    first = _first(request, state)
    if request.minutes < 0 or (request.minutes == 0 and first is None):
        raise invalid(
            "hours", f"{request.minutes} minutes is no time worked. Give more than 0; only a correction may be 0."
        )
    zone = state.zones[request.job]
    _check_span(request, zone, state)
    stood = _check_day(request, first, zone, state)
    state.minutes[request.person, request.worked_on] = stood + request.minutes
    _take(request, first, state)
    return DecidedHours(request, first)


def _check_who_and_when(request: HoursRequest, state: HoursState) -> None:
    if request.job not in state.zones:
        raise not_found("job", "job", request.job)
    worker = state.people.get(request.person)
    if worker is None:
        raise not_found("person", "person", request.person)
    if request.kind not in HoursKind.values:
        raise invalid("kind", f"{request.kind!r} is no kind of hours. Use one of: {', '.join(HoursKind.values)}.")
    today = state.now.astimezone(ZoneInfo(state.zones[request.job])).date()
    if request.worked_on > today:
        raise invalid("worked_on", f"{request.worked_on} is after today at the job, {today}. Log hours once worked.")
    if request.worked_on < worker.started_on or (worker.left_on and request.worked_on > worker.left_on):
        raise invalid(
            "person", f"person {request.person} was not employed on {request.worked_on}. Mend his dates first."
        )


def _first(request: HoursRequest, state: HoursState) -> FirstHours | None:
    if request.replaces is None:
        return None
    first = state.firsts.get(request.replaces)
    if first is None or first.person != request.person:
        raise not_found("replaces", "hours of this person", request.replaces)
    if first.replaced:
        raise AlreadyReplaced(
            Mistake("replaces", f"hours {request.replaces} were corrected already. Correct the newest.")
        )
    return first


def _check_span(request: HoursRequest, zone: str, state: HoursState) -> None:
    """Start and finish make up the minutes, begin on the day worked, and cross no other span of the person."""
    start, finish = request.started_at, request.finished_at
    if start is None or finish is None:
        if start is not None or finish is not None:
            raise invalid("finished_at", "start and finish are given together. Give both, or the hours alone.")
        return
    between = int((finish - start).total_seconds())
    if between != request.minutes * 60:
        raise invalid(
            "hours",
            f"from start to finish it is {clock(between // 60)}, not {clock(request.minutes)}. Mend one of them.",
        )
    check_on_day(start, finish, day=request.worked_on, zone=zone, now=state.now)
    for other in state.spans.get(request.person, ()):
        if other.hours != request.replaces and other.started_at < finish and other.finished_at > start:
            raise Conflict(
                Mistake(
                    "started_at",
                    f"person {request.person} has hours from {at_job(other.started_at, zone)} to "
                    f"{at_job(other.finished_at, zone)} already; {at_job(start, zone)} to "
                    f"{at_job(finish, zone)} crosses them. Correct those first, or mend the times.",
                )
            )


def _check_day(request: HoursRequest, first: FirstHours | None, zone: str, state: HoursState) -> int:
    """The person's other minutes in force on the day."""
    stood = state.minutes.get((request.person, request.worked_on), 0)
    if first is not None and first.worked_on == request.worked_on:
        stood -= first.minutes
    longest = day_minutes(request.worked_on, zone)
    if stood + request.minutes > longest and request.minutes > (first.minutes if first else 0):
        if stood <= 0:
            raise invalid(
                "hours",
                f"person {request.person} cannot have {clock(request.minutes)} on {request.worked_on}: that day has "
                f"{clock(longest)}. Check the hours.",
            )
        raise Conflict(
            Mistake(
                "hours",
                f"person {request.person} has {clock(stood)} on {request.worked_on}; {clock(request.minutes)} more "
                f"is past the {clock(longest)} of that day. Correct the earlier hours first.",
            )
        )
    return stood


def _take(request: HoursRequest, first: FirstHours | None, state: HoursState) -> None:
    spans = [span for span in state.spans.get(request.person, []) if span.hours != request.replaces]
    if request.started_at and request.finished_at and request.minutes:
        spans.append(Span(request.uuid, request.started_at, request.finished_at))
    state.spans[request.person] = spans
    if first is not None:
        state.firsts[first.uuid] = replace(first, replaced=True)
        if first.worked_on != request.worked_on:
            state.minutes[first.person, first.worked_on] = (
                state.minutes.get((first.person, first.worked_on), first.minutes) - first.minutes
            )


def clock(minutes: int) -> str:
    return f"{minutes // 60}:{minutes % 60:02d} h"
