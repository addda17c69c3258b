"""In which language a page speaks: the person's own once he is signed in; before that the one chosen in this browser,
else the one the browser asks for. And the quiet way to another one, at the foot of every page that speaks."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import get_language_from_request
from django.views.decorators.http import require_POST

from jobs.pages.doors import closed, safe_way
from jobs.services.people import person_language_choose
from jobs.signin import MEMBERSHIP, membership_chosen, memberships_of
from jobs.wording import LANGUAGES, WorkWords, work_words


def words_for(request: HttpRequest) -> WorkWords:
    """The words for who reads."""
    guest = getattr(request, "guest", None)
    return guest.words if guest is not None else work_words(get_language_from_request(request))


def spoken(
    request: HttpRequest, template: str, context: dict[str, Any] | None = None, status: int = 200
) -> HttpResponse:
    """Render a page that stands before the door, or in its place, in the language of who reads."""
    given = {"words": words_for(request), "guest": getattr(request, "guest", None), **(context or {})}
    return closed(render(request, template, given, status=status))


def language_keep(response: HttpResponse, language: str) -> None:
    """Have this browser remember a language for pages before sign-in."""
    response.set_cookie(
        settings.LANGUAGE_COOKIE_NAME,
        language,
        max_age=settings.LANGUAGE_COOKIE_AGE,
        secure=settings.LANGUAGE_COOKIE_SECURE,
        httponly=settings.LANGUAGE_COOKIE_HTTPONLY,
        samesite=settings.LANGUAGE_COOKIE_SAMESITE,
    )


@require_POST
@transaction.non_atomic_requests
def language(request: HttpRequest) -> HttpResponse:
    """Speak another language from now on: to the person who is signed in, and in this browser. Back to the page."""
    response = redirect(safe_way(request, request.POST.get("next", "")))
    chosen = request.POST.get("language", "")
    if chosen not in LANGUAGES:
        return response
    if request.user.is_authenticated:
        actor = membership_chosen(memberships_of(request.user.pk), request.session.get(MEMBERSHIP))
        if actor is not None and actor.person is not None:
            person_language_choose(actor=actor, language=chosen, now=timezone.now())
    language_keep(response, chosen)
    return response
