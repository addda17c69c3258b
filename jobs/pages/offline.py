"""What makes the log pages work without signal: the worker between pages and network, and the page it falls back to."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from jobs.pages.doors import Guest, answer, closed, page


@require_safe
def service_worker(request: HttpRequest) -> HttpResponse:
    """The service worker, from the root, so that it stands between every page and the network."""
    script = render(request, "jobs/service-worker.js", content_type="text/javascript; charset=utf-8")
    script.headers["Cache-Control"] = "no-cache"
    return closed(script)


@page
def outbox(request: HttpRequest, guest: Guest) -> HttpResponse:
    """What waits on this phone, and the steps of logging from what it was told last."""
    return answer(request, guest, "jobs/outbox.html")
