"""Error pages: what went wrong, and the next step."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import Resolver404

from jobs.pages.doors import closed


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    return _page(request, "jobs/errors/400.html", 400)


def forbidden(request: HttpRequest, exception: Exception) -> HttpResponse:
    return _page(request, "jobs/errors/403.html", 403, str(exception))


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    # The sentence of a refusal is told; the resolver's own, which lists addresses, is not.
    return _page(request, "jobs/errors/404.html", 404, "" if isinstance(exception, Resolver404) else str(exception))


def broken(request: HttpRequest) -> HttpResponse:
    # Without a request's context: whatever broke must not break this page too.
    return closed(render(None, "jobs/errors/500.html", status=500))


def _page(request: HttpRequest, template: str, status: int, why: str = "") -> HttpResponse:
    context = {"why": why[:1].upper() + why[1:], "guest": getattr(request, "guest", None)}
    return closed(render(request, template, context, status=status))
