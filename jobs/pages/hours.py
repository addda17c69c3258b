"""Logging hours: one kind of time on one day, a field for each person. All of the form is recorded, or nothing."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

from django.db import transaction
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone

from jobs.models.hours import HoursKind
from jobs.pages.doors import Guest, answer, page, reading
from jobs.pages.printed import clock
from jobs.pages.printed import day as printed_day
from jobs.pages.typed import Unreadable, read_day, read_minutes
from jobs.refusals import Refusal, UuidReused
from jobs.requests import HoursRequest
from jobs.selectors.day_book import hours_sheet, minutes_by_person
from jobs.selectors.job_sheet import job_line
from jobs.selectors.log_choices import Team, team_of
from jobs.services.hours import hours_batch_log


@dataclass(slots=True)
class Row:
    """A person's line of the form; its UUID is made when the form is shown. `stood`: his minutes of the day so far."""

    person: int
    name: str
    uuid: str
    hours: str = ""
    stood: int = 0
    wrong: list[str] = field(default_factory=list)

    @property
    def told(self) -> list[str]:
        """What is wrong, each sentence with the name in it."""
        return [one if one.startswith(self.name) else f"{self.name}: {one}" for one in self.wrong]

    @property
    def wrong_id(self) -> str:
        return f"hours{self.person}-wrong"


@dataclass(slots=True)
class HoursForm:
    """The form as typed. `shown`: the day whose hours stood beside the boxes when it was sent."""

    worked_on: str
    kind: str
    rows: list[Row]
    shown: str = ""
    wrong: dict[str, list[str]] = field(default_factory=dict)

    @property
    def refused(self) -> bool:
        return bool(self.wrong) or any(row.wrong for row in self.rows)


@page
def hours(request: HttpRequest, guest: Guest, job: int) -> HttpResponse:
    with reading(guest.actor):
        line = job_line(guest.actor, job)
        today = timezone.now().astimezone(ZoneInfo(line.time_zone)).date()
        team = team_of(guest.actor, today)
    form = _fresh(team, today)
    if request.method == "POST":
        form = _typed([(one.id, one.name) for one in team.people], request.POST)
        worked_on = _record(guest, form, job, timezone.now())
        if worked_on is not None:
            return redirect(reverse("day", args=[job, worked_on]) + "?recorded")
    _show_day(guest, form)
    context = {"form": form, "job": line, "kinds": HoursKind.choices, "latest": today.isoformat()}
    return answer(request, guest, "jobs/hours.html", status=400 if form.refused else 200, **context)


@page
def correct_hours(request: HttpRequest, guest: Guest, uuid: UUID) -> HttpResponse:
    """The form for other hours in the place of these; 0 takes them back."""
    with reading(guest.actor):
        first = hours_sheet(guest.actor, uuid)
    if request.method == "POST":
        form = _typed([(first.person, first.name)], request.POST)
        worked_on = _record(guest, form, first.job.id, timezone.now(), replaces=uuid)
        if worked_on is not None:
            return redirect(reverse("day", args=[first.job.id, worked_on]) + "?recorded")
    else:
        row = Row(first.person, first.name, str(uuid4()), clock(first.minutes))
        form = HoursForm(first.worked_on.isoformat(), first.kind, [row])
    today = timezone.now().astimezone(ZoneInfo(first.job.time_zone)).date()
    context = {"form": form, "job": first.job, "kinds": HoursKind.choices, "latest": today.isoformat(), "first": first}
    return answer(request, guest, "jobs/hours.html", status=400 if form.refused else 200, **context)


def _fresh(team: Team, today: date) -> HoursForm:
    return HoursForm(today.isoformat(), "piece", [Row(one.id, one.name, str(uuid4())) for one in team.people])


def _show_day(guest: Guest, form: HoursForm) -> None:
    """Put beside every name what stands of that person on the day of the form."""
    try:
        day = read_day(form.worked_on)
    except Unreadable:
        form.shown = ""
        return
    stood = _stood(guest, form, day)
    for row in form.rows:
        row.stood = stood.get(row.person, 0)
    form.shown = day.isoformat()


def _stood(guest: Guest, form: HoursForm, day: date) -> dict[int, int]:
    """Minutes of the form's people on a day, without those that this form recorded itself if it is sent twice."""
    sent = []
    for row in form.rows:
        try:
            sent.append(UUID(row.uuid))
        except ValueError:
            continue
    with reading(guest.actor):
        return minutes_by_person([row.person for row in form.rows], day, sent)


def _look_first(guest: Guest, form: HoursForm, day: date) -> None:
    """Refuse once where hours stand on another day than the one that was shown: they may be these same ones."""
    if form.shown == day.isoformat():
        return
    stood = _stood(guest, form, day)
    for row in form.rows:
        if row.hours and row.person in stood:
            row.wrong.append(
                f"{row.name} has {clock(stood[row.person])} h on {printed_day(day)} already. Send again only if these "
                "are more."
            )


def _typed(people: Iterable[tuple[int, str]], sent: QueryDict) -> HoursForm:
    rows = [
        Row(person, name, sent.get(f"uuid-{person}", ""), sent.get(f"hours-{person}", "").strip())
        for person, name in people
    ]
    return HoursForm(sent.get("worked_on", ""), sent.get("kind", ""), rows, sent.get("shown", ""))


def _record(guest: Guest, form: HoursForm, job: int, now: datetime, replaces: UUID | None = None) -> date | None:
    """Record every line that has hours, and the day they are for; None, and nothing stored, where one is refused."""
    try:
        worked_on = read_day(form.worked_on)
    except Unreadable as wrong:
        form.wrong["worked_on"] = [str(wrong)]
        return None
    asked = [
        (row, request)
        for row in form.rows
        if row.hours and (request := _request(row, form, job, worked_on, now, replaces))
    ]
    if not any(row.hours for row in form.rows):
        form.wrong[""] = ["No hours were given. Write them beside a name."]
    if replaces is None:
        _look_first(guest, form, worked_on)
    # Asked even where one line cannot be read, and then rolled back, so that all that is wrong is told at once.
    with transaction.atomic():
        outcomes = hours_batch_log(actor=guest.actor, requests=[request for _, request in asked], now=now)
        for (row, _), outcome in zip(asked, outcomes, strict=True):
            if isinstance(outcome, Refusal):
                _refuse(form, row, outcome)
        transaction.set_rollback(form.refused)
    return None if form.refused else worked_on


def _request(
    row: Row, form: HoursForm, job: int, worked_on: date, now: datetime, replaces: UUID | None
) -> HoursRequest | None:
    try:
        minutes = read_minutes(row.hours)
        return HoursRequest(UUID(row.uuid), job, row.person, worked_on, form.kind, minutes, now, replaces)
    except Unreadable as wrong:
        row.wrong.append(str(wrong))
    except ValueError:
        row.uuid = str(uuid4())
        row.wrong.append("The form lost its number on the way. Send it again: it has a new one now.")
    return None


def _refuse(form: HoursForm, row: Row, refusal: Refusal) -> None:
    if isinstance(refusal, UuidReused):
        row.uuid = str(uuid4())
        row.wrong.append(
            "This line was recorded before with other hours; those stand. Send again only if these are more."
        )
        return
    for mistake in refusal.mistakes:
        sentence = mistake.sentence.replace(f"person {row.person} ", f"{row.name} ")
        if not sentence.startswith(row.name):
            sentence = sentence[:1].upper() + sentence[1:]
        if mistake.path in {"worked_on", "kind"}:
            if sentence not in form.wrong.setdefault(mistake.path, []):
                form.wrong[mistake.path].append(sentence)
        else:
            row.wrong.append(sentence)
