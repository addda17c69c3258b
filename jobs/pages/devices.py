"""Devices: phones and programs that hold a token. Everybody sees his own, the office those of all members."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone

from jobs.pages.doors import Guest, answer, page, reading
from jobs.pages.scan import scannable
from jobs.refusals import Invalid, NotFound, invalid
from jobs.selectors.devices import device_line, device_lines, members_to_give
from jobs.services.devices import LIFE, device_issue, device_rename, device_revoke


@page
def devices(request: HttpRequest, guest: Guest) -> HttpResponse:
    """The list, and linking another one; its token is shown in this one answer and never again."""
    wrong: tuple[str, ...] = ()
    typed = {"name": request.POST.get("name", ""), "days": request.POST.get("days", str(LIFE.days))}
    if request.method == "POST":
        try:
            return _linked(request, guest, typed)
        except (Invalid, NotFound) as refusal:
            wrong = tuple(mistake.sentence for mistake in refusal.mistakes)
    with reading(guest.actor):
        lines = device_lines(guest.actor, timezone.now())
        others = members_to_give(guest.actor)
    context: dict[str, Any] = {"mine": [one for one in lines if one.mine], "words": guest.words}
    context["theirs"] = [one for one in lines if not one.mine]
    return answer(
        request, guest, "jobs/devices.html", 400 if wrong else 200, others=others, typed=typed, wrong=wrong, **context
    )


def _linked(request: HttpRequest, guest: Guest, typed: dict[str, str]) -> HttpResponse:
    membership = _whole(request.POST.get("member", "") or str(guest.actor.membership), "member")
    life = timedelta(days=_whole(typed["days"], "days"))
    now = timezone.now()
    device, token = device_issue(actor=guest.actor, membership=membership, name=typed["name"], now=now, life=life)
    with reading(guest.actor):
        line = device_line(guest.actor, device.pk, now)
    given: dict[str, Any] = {"device": line, "token": token, "code": scannable(token), "words": guest.words}
    return answer(request, guest, "jobs/device_linked.html", **given)


@page
def device(request: HttpRequest, guest: Guest, device: int) -> HttpResponse:
    """One device: what is known of it, and another name for it."""
    wrong: tuple[str, ...] = ()
    if request.method == "POST":
        try:
            device_rename(actor=guest.actor, device=device, name=request.POST.get("name", ""), now=timezone.now())
            return redirect("devices")
        except Invalid as refusal:
            wrong = tuple(mistake.sentence for mistake in refusal.mistakes)
    with reading(guest.actor):
        line = device_line(guest.actor, device, timezone.now())
    return answer(
        request, guest, "jobs/device.html", 400 if wrong else 200, words=guest.words, device=line, wrong=wrong
    )


@page
def revoke(request: HttpRequest, guest: Guest, device: int) -> HttpResponse:
    """End its token at once."""
    device_revoke(actor=guest.actor, device=device, now=timezone.now())
    return redirect("devices")


def _whole(text: str, path: str) -> int:
    said = text.strip()
    if said.isascii() and said.isdigit() and len(said) <= 5 + 13 * (path == "member"):
        return int(said)
    raise invalid(path, f"{said[:40]!r} is no number of {path}. Write a whole number, such as 365.")
