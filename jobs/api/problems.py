"""Problem documents (RFC 9457): how every error of the API looks, with a path for each field that is wrong."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import DatabaseError
from django.http import Http404
from rest_framework import exceptions
from rest_framework.renderers import JSONRenderer
from rest_framework.response import Response
from rest_framework.views import set_rollback

from jobs import refusals
from jobs.refusals import Mistake, Refusal, refusal_of

STATUS: dict[type[Refusal], int] = {
    refusals.Invalid: 400,
    refusals.NotFound: 404,
    refusals.NotAllowed: 403,
    refusals.OverClaim: 409,
    refusals.UuidReused: 409,
    refusals.AlreadyReplaced: 409,
    refusals.Conflict: 409,
}
KINDS: dict[str, type[Refusal]] = {kind.kind: kind for kind in STATUS}

# What the framework itself refuses, in our words: kind, title, next step.
_FRAMEWORK: dict[int, tuple[str, str, str]] = {
    400: ("unreadable", "The request cannot be read", "Send a JSON object."),
    401: ("not-signed-in", "No valid token", "Send Authorization: Token, with the token of a device in force."),
    403: ("not-allowed", "Not allowed for this role", "Ask the office."),
    404: ("not-found", "Not found", "Ask for the list and choose one of it."),
    405: ("method", "The method is not served here", "See the Allow header."),
    406: ("accept", "Only JSON is served here", "Send Accept: application/json."),
    413: ("too-large", "The request is too large", "Send it in parts."),
    415: ("media-type", "Only JSON is read here", "Send Content-Type: application/json."),
    503: ("busy", "Try again in a moment", "Send the same request again."),
    429: ("too-many", "Too many requests", "Wait as long as Retry-After says."),
}
# PostgreSQL ended this transaction for another's sake: serialization_failure, deadlock_detected.
_GAVE_WAY = frozenset({"40001", "40P01"})


class ProblemRenderer(JSONRenderer):
    """JSON under the media type of problem documents."""

    media_type = "application/problem+json"


def problem(status: int, kind: str, title: str, mistakes: tuple[Mistake, ...]) -> dict[str, Any]:
    """The document: type, title, status, detail, and errors with a path each."""
    return {
        "type": f"/api/problems/{kind}/",
        "title": title,
        "status": status,
        "detail": " ".join(mistake.sentence for mistake in mistakes),
        "errors": [{"path": mistake.path, "detail": mistake.sentence} for mistake in mistakes],
    }


def problem_of(refusal: Refusal) -> dict[str, Any]:
    return problem(STATUS.get(type(refusal), 409), refusal.kind, refusal.title, refusal.mistakes)


def exception_handler(error: Exception, context: dict[str, Any]) -> Response | None:
    """DRF's handler of exceptions: everything that is an answer becomes a problem document; accidents stay loud."""
    body, headers = _body(error)
    if body is None:
        return None
    # Nothing is half-saved: the request's transaction is rolled back.
    set_rollback()
    request = context.get("request")
    if request is not None:
        request.accepted_renderer = ProblemRenderer()
        request.accepted_media_type = ProblemRenderer.media_type
    return Response(body, status=body["status"], headers=headers, content_type=ProblemRenderer.media_type)


def _body(error: Exception) -> tuple[dict[str, Any] | None, dict[str, str]]:
    if isinstance(error, Http404):
        error = exceptions.NotFound()
    elif isinstance(error, PermissionDenied):
        error = exceptions.PermissionDenied()
    if isinstance(error, DatabaseError):
        refusal = refusal_of(error)
        if refusal is None and getattr(error.__cause__, "sqlstate", None) in _GAVE_WAY:
            kind, title, step = _FRAMEWORK[503]
            sentence = f"Another request was in the way, and nothing of this one was stored. {step}"
            return problem(503, kind, title, (Mistake("", sentence),)), {"Retry-After": "1"}
        return (problem_of(refusal) if refusal else None), {}
    if isinstance(error, Refusal):
        return problem_of(error), {}
    if isinstance(error, exceptions.APIException):
        kind, title, step = _FRAMEWORK.get(
            error.status_code, ("refused", "The request was refused", "Try again later.")
        )
        headers = {}
        if getattr(error, "auth_header", None):
            headers["WWW-Authenticate"] = error.auth_header
        if getattr(error, "wait", None):
            headers["Retry-After"] = str(int(error.wait))
        return problem(error.status_code, kind, title, (Mistake("", f"{_plain(error)} {step}"),)), headers
    return None, {}


def _plain(error: exceptions.APIException) -> str:
    text = error.detail if isinstance(error.detail, str) else "This was refused."
    return text if text.endswith(".") else f"{text}."
