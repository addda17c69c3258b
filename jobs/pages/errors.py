"""Error pages: what went wrong, and the next step."""

from __future__ import annotations

from django.core.exceptions import RequestDataTooBig
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import Resolver404

from jobs.pages.doors import closed
from jobs.refusals import ASK_FOR_THE_LIST


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    if isinstance(exception, RequestDataTooBig):
        return _page(request, "jobs/errors/413.html", 413)
    return _page(request, "jobs/errors/400.html", 400)


def forbidden(request: HttpRequest, exception: Exception) -> HttpResponse:
    return _page(request, "jobs/errors/403.html", 403, str(exception))


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    # The sentence of a refusal is told; the resolver's own, which lists addresses, is not.
    why = "" if isinstance(exception, Resolver404) else str(exception)
    return _page(
        request, "jobs/errors/404.html", 404, why.replace(ASK_FOR_THE_LIST, "Go back and open one that is shown.")
    )


def too_many(request: HttpRequest, seconds: int, why: str, *, ways_in: bool = False) -> HttpResponse:
    """Wait a while: `why` says what was tried too often, the page how long to wait and, for a password, how else to
    come in."""
    context = {"why": why, "ways_in": ways_in, "wait": in_words(seconds), "guest": getattr(request, "guest", None)}
    response = closed(render(request, "jobs/errors/429.html", context, status=429))
    response.headers["Retry-After"] = str(seconds)
    return response


def in_words(seconds: int) -> str:
    """A wait as people say it, never too short: 45 seconds, 2 minutes, 4 hours."""
    size, word = (3600, "hour") if seconds > 3600 else (60, "minute") if seconds > 60 else (1, "second")
    count = -(-seconds // size)
    return f"{count} {word}{'' if count == 1 else 's'}"


def broken(request: HttpRequest) -> HttpResponse:
    # Without a request's context: whatever broke must not break this page too.
    return closed(render(None, "jobs/errors/500.html", status=500))


def _page(request: HttpRequest, template: str, status: int, why: str = "") -> HttpResponse:
    context = {"why": why[:1].upper() + why[1:], "guest": getattr(request, "guest", None)}
    return closed(render(request, template, context, status=status))
