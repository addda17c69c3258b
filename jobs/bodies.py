"""A request's body is bounded before any of it is read: what a form takes of it would be written to the disk first.

The API bounds its own bodies, and answers with a problem document (`jobs.api.reading`).
"""

from __future__ import annotations

from collections.abc import Callable

from django.core.exceptions import RequestDataTooBig
from django.http import HttpRequest, HttpResponse

MOST_BYTES = 20_000_000
"""More than any page takes, files of its form among it."""


def bounded_bodies(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Middleware: RequestDataTooBig, which is answered as an error page, for a body that says it is larger.

    A body that does not say its size is read as empty: WSGI servers hand out no more than `CONTENT_LENGTH`.
    """

    def through(request: HttpRequest) -> HttpResponse:
        told = request.META.get("CONTENT_LENGTH") or "0"
        if told.isdecimal() and int(told) > MOST_BYTES and not request.path.startswith("/api/"):
            raise RequestDataTooBig(f"The request has {int(told):,} bytes; {MOST_BYTES:,} are read.")
        return get_response(request)

    return through
