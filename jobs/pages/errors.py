"""Error pages: what went wrong, and the next step."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from jobs.pages.doors import closed

def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    return closed(render(request, "jobs/errors/400.html", status=400))


def forbidden(request: HttpRequest, exception: Exception) -> HttpResponse:
    return closed(render(request, "jobs/errors/403.html", {"why": str(exception)}, status=403))


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    # The sentence of a refusal is told; the resolver's own, which lists addresses, is not.
    why = str(exception) if isinstance(exception, Http404) and "tried" not in str(exception) else ""
    return closed(render(request, "jobs/errors/404.html", {"why": why}, status=404))


def broken(request: HttpRequest) -> HttpResponse:
    # Without a request's context: whatever broke must not break this page too.
    return closed(render(None, "jobs/errors/500.html", status=500))  # type: ignore[arg-type]
