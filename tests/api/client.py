"""A client of the API with a device's token, and the checks every problem document passes."""

from __future__ import annotations

import json
from typing import Any

from django.http import HttpResponse
from django.test import Client

# RFC 9457, 3.1: members of a problem document; `errors` is our own.
PROBLEM_MEMBERS = {"type", "title", "status", "detail", "errors"}


class Phone:
    """Speaks JSON with a token, as a phone does."""

    def __init__(self, token: str | None) -> None:
        self._client = Client(raise_request_exception=True)
        self._headers = {"Authorization": f"Token {token}"} if token else {}

    def get(self, path: str, **query: Any) -> HttpResponse:
        return self._client.get(path, query, headers=self._headers)

    def post(self, path: str, body: Any) -> HttpResponse:
        text = body if isinstance(body, str | bytes) else json.dumps(body)
        return self._client.post(path, text, "application/json", headers=self._headers)

    def call(self, method: str, path: str) -> HttpResponse:
        return self._client.generic(method, path, "{}", "application/json", headers=self._headers)


def expect_problem(answer: HttpResponse, status: int, kind: str) -> dict[str, str]:
    """Check that `answer` is a problem document of this status and kind; its errors, path -> sentence."""
    assert answer.status_code == status, answer.content
    assert answer["Content-Type"] == "application/problem+json"
    body = json.loads(answer.content)
    assert set(body) == PROBLEM_MEMBERS
    assert (body["type"], body["status"]) == (f"/api/problems/{kind}/", status)
    return {error["path"]: error["detail"] for error in body["errors"]}
