"""What workers say of what was logged about them, and how the office settles what they dispute."""

from __future__ import annotations

from datetime import timedelta
from uuid import UUID, uuid4

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone

from jobs.models.words import SETTLED
from jobs.pages.doors import Guest, answer, page, reading
from jobs.refusals import Refusal, invalid
from jobs.requests import WordRequest
from jobs.selectors.words import disputes_open, own_work
from jobs.services.words import word_say

# Far enough back for the week that is paid next.
SHOWN_DAYS = 28


@page
def my_work(request: HttpRequest, guest: Guest) -> HttpResponse:
    """The last weeks' entries and hours of who reads, each to be confirmed or disputed."""
    refused: tuple[str, ...] = ()
    if request.method == "POST":
        person = str(guest.actor.person or "")
        refused = _say(request, guest, person, request.POST.get("says", ""))
        if not refused:
            return redirect(reverse("my-work") + "?recorded")
    with reading(guest.actor):
        work = own_work(guest.actor, guest.seat.today - timedelta(days=SHOWN_DAYS))
    context = {"work": work, "refused": refused, "recorded": "recorded" in request.GET, "uuid": uuid4()}
    context["words"] = guest.words
    return answer(request, guest, "jobs/my_work.html", status=400 if refused else 200, **context)


@page
def disputes(request: HttpRequest, guest: Guest) -> HttpResponse:
    """All that is disputed and not settled, to be settled with a word or corrected."""
    refused: tuple[str, ...] = ()
    if request.method == "POST":
        refused = _say(request, guest, request.POST.get("person", ""), SETTLED)
        if not refused:
            return redirect(reverse("disputes") + "?recorded")
    with reading(guest.actor):
        found = disputes_open()
    context = {"disputes": found, "refused": refused, "recorded": "recorded" in request.GET, "uuid": uuid4()}
    return answer(request, guest, "jobs/disputes.html", status=400 if refused else 200, **context)


def _say(request: HttpRequest, guest: Guest, person: str, says: str) -> tuple[str, ...]:
    """Keep what was said; empty, or the sentences that refuse it."""
    now = timezone.now()
    try:
        asked = _read(request, person, says)
        word_say(actor=guest.actor, request=asked, now=now)
    except Refusal as refusal:
        return tuple(mistake.sentence for mistake in refusal.mistakes)
    return ()


def _read(request: HttpRequest, person: str, says: str) -> WordRequest:
    reason = request.POST.get("reason", "").strip()
    if len(reason) > 500 or "\0" in reason:
        raise invalid("reason", "the reason is too long or holds a character that cannot be kept. Keep it to 500.")
    try:
        uuid, about = UUID(request.POST.get("uuid", "")), UUID(request.POST.get("about", ""))
    except ValueError:
        raise invalid("uuid", "the form lost its number on the way. Load the page again.") from None
    if not (person.isascii() and person.isdigit() and len(person) < 19):
        raise invalid("person", "the form does not say whom it is about. Load the page again.")
    return WordRequest(uuid, about, int(person), says, reason, timezone.now())
