"""Setting up a second factor, new recovery codes, and the end of it."""

from __future__ import annotations

from base64 import b32encode
from typing import Any

from django.contrib.auth import update_session_auth_hash
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone

from jobs.models import SecondFactor, User
from jobs.pages.doors import Guest, answer, asked_for_second_factor, page
from jobs.pages.errors import too_many
from jobs.pages.scan import scannable
from jobs.pages.tries import code_counters, code_was_right, seconds_to_wait
from jobs.refusals import Conflict, Invalid
from jobs.selectors.second_factors import has_second_factor
from jobs.services.second_factors import (
    codes_left,
    factor_begin,
    factor_confirm,
    factor_end,
    factor_offered,
    recovery_codes_renew,
)
from jobs.signin import SECOND_FACTOR


@page
def second_factor(request: HttpRequest, guest: Guest) -> HttpResponse:
    """What stands, and the step that was asked for: begin, confirm, renew or end."""
    user = User.objects.get(pk=request.user.pk)
    wrong: tuple[str, ...] = ()
    if request.method == "POST":
        try:
            return _step(request, guest, user)
        except (Invalid, Conflict) as refusal:
            wrong = tuple(mistake.sentence for mistake in refusal.mistakes)
    context: dict[str, Any] = {"words": guest.words, "wrong": wrong, "asked": asked_for_second_factor(request, guest)}
    if has_second_factor(user.pk):
        context |= {"stands": True, "left": codes_left(user=user)}
    elif (offered := factor_offered(user=user)) is not None:
        context |= _to_scan(offered)
    return answer(request, guest, "jobs/second_factor.html", 400 if wrong else 200, **context)


def _step(request: HttpRequest, guest: Guest, user: User) -> HttpResponse:
    """Raises Invalid for a wrong code and Conflict for a step that does not fit what stands."""
    do, code, now = request.POST.get("do", ""), request.POST.get("code", ""), timezone.now()
    if do == "begin":
        factor_begin(user=user)
        return redirect("second-factor")
    if do == "confirm":
        codes = factor_confirm(user=user, code=code, now=now)
        # This session goes on under a new key and has proved the factor; every other one has ended.
        update_session_auth_hash(request, user)
        request.session[SECOND_FACTOR] = True
        return answer(request, guest, "jobs/second_factor.html", words=guest.words, codes=codes)
    if do not in {"renew", "end"}:
        return redirect("second-factor")
    counters = code_counters(request, user)
    if wait := seconds_to_wait(counters):
        return too_many(request, wait, "Too many codes were tried.")
    if do == "renew":
        codes = recovery_codes_renew(user=user, code=code, now=now)
        code_was_right(counters)
        return answer(request, guest, "jobs/second_factor.html", words=guest.words, codes=codes, renewed=True)
    factor_end(user=user, code=code, now=now)
    code_was_right(counters)
    update_session_auth_hash(request, User.objects.get(pk=user.pk))
    request.session.pop(SECOND_FACTOR, None)
    return redirect("second-factor")


def _to_scan(offered: SecondFactor) -> dict[str, str]:
    key = b32encode(offered.bin_key).decode()
    return {
        "code": scannable(offered.config_url),
        "key": " ".join(key[place : place + 4] for place in range(0, len(key), 4)),
    }
