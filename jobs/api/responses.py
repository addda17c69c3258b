"""The responses of each kind of call, for the schema: the good one and every problem it may answer."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiResponse

from jobs.api import shapes

_PROBLEM = "application/problem+json"


def _problems(*statuses: tuple[int, str]) -> dict[tuple[int, str], OpenApiResponse]:
    return {(status, _PROBLEM): OpenApiResponse(shapes.Problem, description) for status, description in statuses}


# What any call may answer; see `jobs.api.problems`.
_DOOR = (
    (400, "some values cannot be used"),
    (401, "no valid token"),
    (403, "not allowed for this role"),
    (404, "not found, or not yours"),
    (406, "only JSON is served"),
    (429, "too many requests with bad tokens from this network"),
    (503, "try the same again in a moment"),
)
_BODY = (
    (409, "more than is left, a UUID used before, or in the way of what stands already"),
    (413, "the body is too large"),
    (415, "only JSON is read"),
)


def read_responses(shape: Any) -> dict[Any, Any]:
    return {(200, "application/json"): shape} | _problems(*_DOOR)


def write_responses(shape: Any, status: int = 201) -> dict[Any, Any]:
    return {(status, "application/json"): shape} | _problems(*_DOOR, *_BODY)
