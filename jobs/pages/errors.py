"""Error pages: what went wrong, and the next step."""

from __future__ import annotations

from django.core.exceptions import RequestDataTooBig
from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.urls import Resolver404

from jobs.pages.doors import closed
from jobs.pages.tongue import spoken, words_for
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
    context = {"why": why, "ways_in": ways_in, "wait": words_for(request).wait(seconds)}
    response = spoken(request, "jobs/errors/429.html", context, status=429)
    response.headers["Retry-After"] = str(seconds)
    return response


def form_too_old(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Django's answer where a form's token is not this session's; `reason` is for its log."""
    return spoken(request, "jobs/errors/403_csrf.html", status=403)


def broken(request: HttpRequest) -> HttpResponse:
    # Without a request's context: whatever broke must not break this page too.
    page = render_to_string("jobs/errors/500.html", {"words": words_for(request)})
    return closed(HttpResponse(page, status=500))


def _page(request: HttpRequest, template: str, status: int, why: str = "") -> HttpResponse:
    return spoken(request, template, {"why": why}, status=status)
