"""Members of the organisation: the list, inviting, another place for one, and the end of a membership."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone

from jobs import throttle
from jobs.pages.doors import Guest, answer, page, reading
from jobs.pages.errors import too_many
from jobs.pages.tries import seconds_to_wait
from jobs.refusals import Conflict, Invalid, invalid
from jobs.selectors.members import choices, invitation_lines, member_lines, member_sheet, ranks_over
from jobs.services.invitations import invitation_make, invitation_send_again, invitation_withdraw
from jobs.services.members import member_end, member_place_set
from jobs.services.second_factors import second_factor_require
from jobs.throttle import Counter

# What a role sees and does, in one sentence each, beside the choice.
ROLES = (
    ("owner", "everything, members and pay too, and appoints owners and the office"),
    ("office", "everything of every job, closes weeks, invites foremen and workers"),
    ("foreman", "logs work and hours on the jobs and with the crews ticked below"),
    ("worker", "his own entries, hours and statements"),
)


@dataclass(frozen=True, slots=True)
class Place:
    """The role, person, jobs and crews typed in a form."""

    role: str
    person: int | None
    jobs: tuple[int, ...]
    crews: tuple[int, ...]


@page
def members(request: HttpRequest, guest: Guest) -> HttpResponse:
    """Members and open invitations."""
    with reading(guest.actor):
        lines = member_lines(guest.actor)
        invitations = invitation_lines(guest.actor, timezone.now())
    return answer(request, guest, "jobs/members.html", members=lines, invitations=invitations)


@page
def invite(request: HttpRequest, guest: Guest) -> HttpResponse:
    """Offer a place by mail."""
    wrong: tuple[str, ...] = ()
    hints: tuple[str, ...] = ()
    place, email = Place("foreman", None, (), ()), request.POST.get("email", "")
    if request.method == "POST":
        try:
            place = _place(request)
            hints = _hints(place)
            if hints and "anyway" not in request.POST:
                return _form(request, guest, "jobs/invite.html", place, wrong, email=email, hints=hints)
            if wait := _mails(guest):
                return too_many(request, wait, "Your organisation sent many invitations today.")
            invitation_make(
                actor=guest.actor,
                email=email,
                role=place.role,
                person=place.person,
                jobs=place.jobs,
                crews=place.crews,
                now=timezone.now(),
            )
            return redirect("members")
        except (Invalid, Conflict) as refusal:
            wrong = tuple(mistake.sentence for mistake in refusal.mistakes)
    return _form(request, guest, "jobs/invite.html", place, wrong, email=email, hints=hints)


def _hints(place: Place) -> tuple[str, ...]:
    """What a foreman could not do with this place, told before anything is mailed."""
    if place.role != "foreman":
        return ()
    found = []
    if not place.jobs:
        found.append("No job is ticked: he will see none and can log nothing. Tick his jobs.")
    if not place.crews:
        found.append("No crew is ticked: he can name nobody but himself when he logs. Tick his crews.")
    return tuple(found)


@page
def member(request: HttpRequest, guest: Guest, member: int) -> HttpResponse:
    """One member, and another place for him."""
    with reading(guest.actor):
        sheet = member_sheet(guest.actor, member)
    place = Place(sheet.line.role, sheet.person, tuple(sheet.jobs), tuple(sheet.crews))
    wrong: tuple[str, ...] = ()
    if request.method == "POST":
        try:
            place = _place(request)
            member_place_set(
                actor=guest.actor,
                membership=member,
                role=place.role,
                person=place.person,
                jobs=place.jobs,
                crews=place.crews,
                now=timezone.now(),
            )
            return redirect("members")
        except (Invalid, Conflict) as refusal:
            wrong = tuple(mistake.sentence for mistake in refusal.mistakes)
    return _form(request, guest, "jobs/member.html", place, wrong, sheet=sheet)


@page
def end(request: HttpRequest, guest: Guest, member: int) -> HttpResponse:
    """Ask once more, then end the membership."""
    with reading(guest.actor):
        sheet = member_sheet(guest.actor, member)
    refused = ""
    if request.method == "POST":
        try:
            member_end(actor=guest.actor, membership=member, now=timezone.now())
            return redirect("members")
        except Conflict as refusal:
            refused = str(refusal)
    return answer(request, guest, "jobs/member_end.html", 409 if refused else 200, sheet=sheet, refused=refused)


@page
def send_again(request: HttpRequest, guest: Guest, invitation: int) -> HttpResponse:
    """Mail an invitation anew."""
    if wait := _mails(guest):
        return too_many(request, wait, "Your organisation sent many invitations today.")
    invitation_send_again(actor=guest.actor, invitation=invitation, now=timezone.now())
    return redirect("members")


@page
def second_factor_rule(request: HttpRequest, guest: Guest) -> HttpResponse:
    """Ask a second factor of every owner and office, or ask it no more."""
    second_factor_require(actor=guest.actor, required=request.POST.get("required") == "1", now=timezone.now())
    return redirect("members")


@page
def withdraw(request: HttpRequest, guest: Guest, invitation: int) -> HttpResponse:
    """Take an invitation back."""
    invitation_withdraw(actor=guest.actor, invitation=invitation, now=timezone.now())
    return redirect("members")


def _mails(guest: Guest) -> int:
    return seconds_to_wait([Counter(throttle.INVITATIONS, str(guest.actor.organisation))])


def _place(request: HttpRequest) -> Place:
    person = request.POST.get("person", "")
    return Place(
        role=request.POST.get("role", ""),
        person=_id("person", person) if person else None,
        jobs=tuple(_id("jobs", one) for one in request.POST.getlist("jobs")),
        crews=tuple(_id("crews", one) for one in request.POST.getlist("crews")),
    )


def _id(path: str, text: str) -> int:
    if text.isascii() and text.isdigit() and len(text) <= 18:
        return int(text)
    raise invalid(path, f"{text[:40]!r} is none of the list. Choose one of it.")


def _form(
    request: HttpRequest, guest: Guest, template: str, place: Place, wrong: tuple[str, ...], **more: Any
) -> HttpResponse:
    with reading(guest.actor):
        offered = choices()
    roles = [(role, does) for role, does in ROLES if ranks_over(guest.actor.role, role)]
    return answer(
        request, guest, template, 400 if wrong else 200, place=place, offered=offered, roles=roles, wrong=wrong, **more
    )
